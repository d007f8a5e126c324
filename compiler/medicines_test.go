package compiler

import (
	"slices"
	"strings"
	"testing"
	"time"

	"go.yaml.in/yaml/v3"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// inCourse is what a course that began on 2027-01-04 comes to in the evening of a day, by modality: whether it is held, and whether what
// was heard of the log and the medicines closes it that day, by the rules about medicines, pulse and log; and what is told.
func inCourse(t *testing.T, c *Compiler, id string) (closed map[record.Modality]string, told []string) {
	t.Helper()
	base, all := readCases(t)
	i := slices.IndexFunc(all, func(x aCase) bool { return x.ID == id })
	if i < 0 {
		t.Fatal("no case", id)
	}
	x := all[i]
	src, err := yaml.Marshal(asDays(personOf(base, x)))
	if err != nil {
		t.Fatal(err)
	}
	cl := c.Reader.Bytes("client.yaml", src)
	if cl.Client == nil {
		t.Fatal(cl.Findings)
	}
	src, err = yaml.Marshal(asDays(entriesOf(x.Diary)))
	if err != nil {
		t.Fatal(err)
	}
	d := c.Reader.Bytes("wren-58.diary.yaml", src)
	if finding.Rejected(d.Findings) {
		t.Fatal(d.Findings)
	}
	told, closed = nil, map[record.Modality]string{}
	start, _ := unit.ParseDate("2027-01-04")
	for m, name := range casesOf {
		p := c.Standard(name)
		in := Input{Client: cl.Client, Start: start, Now: time.Date(2027, 1, 3, 22, 0, 0, 0, time.UTC), Protocols: []*load.Protocol{&p.Protocols[0]}}
		first, err := c.Compile(in)
		if err != nil || first.Plan == nil {
			continue // some of these people begin nothing of that kind
		}
		in.Previous, in.Now, in.Diary = first.Plan, x.Today.Add(22*time.Hour), diary.Of(d.Diary.Of())
		on := Following{Client: cl.Client, Plan: first.Plan, Diary: in.Diary, Felt: true, Now: in.Now, Log: readingsOf(in.Diary)}
		for _, x := range c.Follow(on).Tells {
			if s := x.Who + " " + x.HowSoon + " " + x.Rule; !slices.Contains(told, s) {
				told = append(told, s)
			}
		}
		in.Closings, _ = c.Shut(on, []record.Modality{record.Modality(m)})
		in.Client = WithReadings(cl.Client, on.Log, nil, 30)
		again, err := c.Compile(in)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range again.Findings {
			ours := slices.ContainsFunc([]string{"log-", "medicine-", "pulse-"}, func(s string) bool { return strings.HasPrefix(f.Rule, s) })
			if ours && (f.Held != "" || f.Rejects()) { // not what an old measurement, or another reading of the week, asks for
				closed[record.Modality(m)] += " " + f.Rule
			}
		}
	}
	slices.Sort(told)
	return closed, told
}

func entriesOf(ds []map[string]any) (out []any) {
	for _, e := range ds {
		out = append(out, e)
	}
	return out
}

// readingsOf is the readings of a diary as a log.
func readingsOf(d *diary.Diary) *record.Log {
	l := &record.Log{File: "wren-58.diary.yaml"}
	for _, e := range d.Live() {
		if e.Reading != nil && e.Time != nil {
			r := *e.Reading
			r.At, r.File, r.Line, r.Column = unit.At(e.Date, *e.Time), e.File, max(e.Line, 1), 1
			l.Readings = append(l.Readings, r)
		}
	}
	return l
}

// What changes in the medicines and the pulse in mid-course closes what the cases say, and is told to whom they say. The people and the
// answers are those of testdata/cases.
func TestMedicinesInMidCourse(t *testing.T) {
	c := engine(t)
	strain := []record.Modality{record.Handgrip, record.WallSquat, record.Strength}
	all := append(slices.Clone(strain), record.Inspiratory, record.Walking, record.SlowBreathing)
	for _, x := range []struct {
		id   string
		shut []record.Modality
		tell string // the beginning of something that is told, "" for nothing for today or now
		why  string
	}{
		{"amlodipine-added", nil, "", "whoever prescribes knows, and loads are kept"},
		{"ibuprofen-added", nil, "prescriber this week log-medicine-raises", "it bars nothing"},
		{"beta-blocker-stopped-by-client", append(slices.Clone(strain), record.Inspiratory), "prescriber today log-medicine-stopped", "it can rebound within days"},
		{"beta-blocker-tapered", nil, "", "seven weeks later"},
		{"verapamil-added-to-bisoprolol", strain, "prescriber today log-pulse-pair", "two that slow the heart, and a pulse of 46"},
		{"amlodipine-added-to-bisoprolol", nil, "", "an ordinary pair"},
		{"anticoagulant-started-why", append(slices.Clone(strain), record.Inspiratory), "coach today log-medicine-purpose", "something is behind it"},
		{"log-pulse-36", all, "prescriber today log-pulse-slow", "under forty in every modality"},
		{"log-pulse-36-faint", all, "emergency now", "with a near faint it is an emergency"},
		{"log-pulse-45-beta-blocker", nil, "prescriber this week log-pulse-slowish-medicine", "the dose is the prescriber's to weigh"},
		{"log-pulse-45-athlete", nil, "", "a trained heart"},
		{"log-pulse-106", append(slices.Clone(strain), record.Inspiratory), "coach today log-pulse-fast", "nobody strains on such a day"},
		{"log-97-on-tablets", append(slices.Clone(strain), record.Inspiratory), "coach today log-low", "no effort on such a day"},
		{"log-97-then-118", nil, "prescriber this week log-low-medicine", "the next day is judged by its own reading"},
		{"palpitations-in-log", append(slices.Clone(strain), record.Inspiratory, record.Walking), "coach today log-symptom-coach", "a rhythm that nobody has looked at"},
	} {
		t.Run(x.id, func(t *testing.T) {
			closed, told := inCourse(t, c, x.id)
			for _, m := range all {
				if want := slices.Contains(x.shut, m); want != (closed[m] != "") {
					t.Errorf("%s: %s closed is %v (%s): %s", m, x.id, closed[m] != "", closed[m], x.why)
				}
			}
			if x.tell != "" && !slices.ContainsFunc(told, func(s string) bool { return strings.HasPrefix(s, x.tell) }) {
				t.Errorf("told %v, want %s", told, x.tell)
			}
			for _, s := range told {
				if x.tell == "" && (strings.Contains(s, " today ") || strings.Contains(s, " now ")) {
					t.Errorf("told %s: %s", s, x.why)
				}
			}
		})
	}
}
