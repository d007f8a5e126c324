package compiler

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// tomas is the invented client of testdata/follow, with the record changed by an edit.
func tomas(t testing.TB, c *Compiler, edit func(string) string) *load.Client {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "testdata", "follow", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	s := string(b)
	if edit != nil {
		if s = edit(s); s == string(b) {
			t.Fatal("the edit changes nothing")
		}
	}
	f := c.Reader.Bytes("client.yaml", []byte(s))
	if f.Client == nil {
		t.Fatalf("%v", f.Findings)
	}
	return f.Client
}

// course is Tomas's plan from 2027-02-01 on, by a standard protocol.
func aCourse(t testing.TB, c *Compiler, protocol string) *record.Plan {
	t.Helper()
	start, err := unit.ParseDate("2027-02-01")
	if err != nil {
		t.Fatal(err)
	}
	res, err := c.Compile(Input{Protocols: []*load.Protocol{&c.Standard(protocol).Protocols[0]}, Client: tomas(t, c, nil), Start: start, Now: time.Date(2027, 1, 31, 9, 0, 0, 0, time.UTC)})
	if err != nil || res.Plan == nil {
		t.Fatalf("%v %v", err, res.Findings)
	}
	return res.Plan
}

// days is a week of readings, two mornings and two evenings, of one value each.
func days(from string, systolic, diastolic int) (out string) {
	d, err := unit.ParseDate(from)
	if err != nil {
		panic(err)
	}
	for i := range unit.Date(7) {
		for _, at := range []string{"07:00", "07:01", "20:00", "20:01"} {
			out += fmt.Sprintf("%sT%s,%d,%d,68,left,,\n", d+i, at, systolic, diastolic)
		}
	}
	return out
}

const logHead = "at,systolic,diastolic,pulse,arm,posture,note\n"

// scene is one course from which a rule about a log must be heard.
type scene struct {
	rule, log, sessions string
	edit                [2]string // of the record, by pattern
	now                 string    // 2027-03-29T08:00:00Z without
}

var pregnant = [2]string{`pregnancy: "no"`, `pregnancy: "yes"`}

var uncleared = [2]string{`  - {for: \[pressure.*\n`, ``}

// takes is an edit by which the record has these medicines.
func takes(medicines ...string) [2]string {
	out := "medicines:\n"
	for _, m := range medicines {
		out += "  - {" + m + "}\n"
	}
	return [2]string{`medicines:\n(  - .*\n)+`, out}
}

const wednesday = "2027-02-10T12:00:00Z"

var scenes = []scene{
	{rule: "log-gate-systolic", log: "2027-02-10T07:00,180,90,68,left,,\n", now: wednesday},
	{rule: "log-gate-diastolic", log: "2027-02-10T07:00,150,110,68,left,,\n", now: wednesday},
	{rule: "log-gate-systolic-symptoms", log: "2027-02-10T07:00,180,90,68,left,,headache\n", now: wednesday},
	{rule: "log-gate-diastolic-symptoms", log: "2027-02-10T07:00,150,110,68,left,,headache\n", now: wednesday},
	{rule: "log-maternity-systolic", log: "2027-02-10T07:00,140,80,68,left,,\n", now: wednesday, edit: pregnant},
	{rule: "log-maternity-diastolic", log: "2027-02-10T07:00,130,90,68,left,,\n", now: wednesday, edit: pregnant},
	{rule: "log-maternity-emergency-systolic", log: "2027-02-10T07:00,160,80,68,left,,\n", now: wednesday, edit: pregnant},
	{rule: "log-maternity-emergency-diastolic", log: "2027-02-10T07:00,130,110,68,left,,\n", now: wednesday, edit: pregnant},
	{rule: "log-effort-systolic", log: "2027-02-10T07:00,160,90,68,left,,\n", now: wednesday, edit: uncleared},
	{rule: "log-effort-diastolic", log: "2027-02-10T07:00,150,100,68,left,,\n", now: wednesday, edit: uncleared},
	{rule: "log-low", log: "2027-02-10T07:00,99,62,68,left,,\n", now: wednesday},
	{rule: "log-low-medicine", log: "2027-02-10T07:00,99,62,68,left,,\n", now: wednesday},
	{rule: "log-low-very", log: "2027-02-10T07:00,89,62,68,left,,\n", now: wednesday},
	{rule: "log-low-symptoms", log: "2027-02-10T07:00,99,62,68,left,,dizzy\n", now: wednesday},
	{rule: "log-low-diastolic", log: "2027-02-10T07:00,110,59,68,left,,dizzy\n", now: wednesday},
	{rule: "log-pulse", log: "2027-02-10T07:00,130,80,121,left,,\n", now: wednesday},
	{rule: "log-pulse-slow", log: "2027-02-10T07:00,130,80,39,left,,\n", now: wednesday},
	{rule: "log-pulse-slow-signs", log: "2027-02-10T07:00,130,80,39,left,,dizzy\n", now: wednesday},
	{rule: "log-pulse-slowish", log: "2027-02-10T07:00,130,80,49,left,,\n", now: wednesday},
	{rule: "log-pulse-slowish-medicine", log: "2027-02-10T07:00,130,80,49,left,,\n", now: wednesday, edit: takes("name: bisoprolol, changed: 2025-03-01")},
	{rule: "log-pulse-pair", log: "2027-02-10T07:00,130,80,49,left,,\n", now: wednesday, edit: takes("name: bisoprolol, changed: 2025-03-01", "name: verapamil, changed: 2025-03-01")},
	{rule: "log-pair-today", log: "2027-02-10T07:00,130,80,68,left,,\n", now: wednesday, edit: takes("name: sildenafil, changed: 2027-02-08", "class: nitrate, changed: 2025-03-01")},
	{rule: "log-pair-week", log: "2027-02-10T07:00,130,80,68,left,,\n", now: wednesday, edit: takes("name: sildenafil, changed: 2027-02-08", "name: doxazosin, changed: 2025-03-01")},
	{rule: "log-medicine-raises", log: "2027-02-10T07:00,130,80,68,left,,\n", now: wednesday, edit: takes("name: ibuprofen, changed: 2027-02-08")},
	{rule: "log-medicine-purpose", log: "2027-02-10T07:00,130,80,68,left,,\n", now: wednesday, edit: takes("name: apixaban, changed: 2027-02-08")},
	{rule: "log-medicine-stopped", log: "2027-02-10T07:00,130,80,68,left,,\n", now: wednesday, edit: takes("name: clonidine, changed: 2027-02-08, stopped: true")},
	{rule: "log-pulse-fast", log: "2027-02-10T07:00,130,80,101,left,,\n", now: wednesday},
	{rule: "log-standing-systolic", log: "2027-02-10T07:00,130,80,68,left,,\n2027-02-10T07:03,110,76,80,left,standing,\n", now: wednesday},
	{rule: "log-standing-diastolic", log: "2027-02-10T07:00,130,80,68,left,,\n2027-02-10T07:03,125,70,80,left,standing,\n", now: wednesday},
	{rule: "log-standing-low", log: "2027-02-10T07:03,89,60,80,left,standing,\n", now: wednesday},
	{rule: "log-mean-low", log: days("2027-03-22", 99, 65)},
	{rule: "log-mean-lowish", log: days("2027-03-22", 109, 65)},
	{rule: "log-mean-symptoms", log: days("2027-03-22", 119, 65) + "2027-03-28T21:00,119,65,68,left,,dizzy\n"},
	{rule: "log-mean-high-systolic", log: days("2027-03-22", 145, 85), edit: uncleared},
	{rule: "log-mean-high-diastolic", log: days("2027-03-22", 140, 90), edit: uncleared},
	{rule: "log-high-days", log: days("2027-03-22", 165, 85), edit: uncleared},
	{rule: "log-window-thin", log: "2027-02-10T07:00,130,80,68,left,,\n2027-02-11T07:00,130,80,68,left,,\n", now: "2027-02-12T12:00:00Z"},
	{rule: "log-fall-medicine", log: days("2027-01-25", 150, 85) + days("2027-03-22", 130, 80)},
	{rule: "log-fall-medicine-dizzy", log: days("2027-01-25", 150, 85) + days("2027-03-22", 130, 80) + "2027-03-28T21:00,130,80,68,left,,dizzy\n"},
	{rule: "log-fall-dizzy", log: days("2027-01-25", 150, 85) + days("2027-03-22", 140, 80) + "2027-03-28T21:00,140,80,68,left,,dizzy\n"},
	{rule: "log-fall-large", log: days("2027-01-25", 150, 85) + days("2027-03-22", 130, 80), edit: [2]string{`medicines:\n(  - .*\n)+`, "medicines: []\n"}},
	{rule: "log-rise", log: days("2027-01-25", 130, 85) + days("2027-03-22", 150, 80)},
	{rule: "log-no-change", log: days("2027-01-25", 130, 85) + days("2027-03-22", 128, 80)},
	{rule: "log-still-high-systolic", log: days("2027-03-22", 135, 80)},
	{rule: "log-still-high-diastolic", log: days("2027-03-22", 130, 85)},
	{rule: "log-sessions-few", sessions: "\n"},
	{rule: "log-sessions-half", sessions: "\n"},
	{rule: "log-stops", sessions: "2027-02-08T07:00,a,stopped,\n2027-02-09T07:00,b,stopped,\n2027-02-10T07:00,c,stopped,\n", now: wednesday},
	{rule: "log-danger-sign", sessions: "2027-02-10T07:00,a,stopped,chest pain\n", now: wednesday},
	{rule: "log-danger-sign-past", sessions: "2027-02-08T07:00,a,stopped,chest pain\n", now: wednesday},
	{rule: "log-injury", sessions: "2027-02-10T07:00,a,stopped,injured\n", now: wednesday},
	{rule: "log-symptom", sessions: "2027-02-10T07:00,a,stopped,headache\n", now: wednesday},
	{rule: "log-symptom-coach", sessions: "2027-02-10T07:00,a,stopped,dizzy\n", now: wednesday},
	{rule: "log-symptom-prescriber", sessions: "2027-02-10T07:00,a,stopped,swollen ankles\n", now: wednesday},
	{rule: "log-matter", sessions: "2027-02-10T07:00,a,completed,new tablets\n", now: wednesday},
	{rule: "log-matter-week", sessions: "2027-02-10T07:00,a,completed,broken gauge\n", now: wednesday},
	{rule: "log-symptom-unknown", sessions: "2027-02-10T07:00,a,stopped,tintelingen\n", now: wednesday},
	{rule: "log-rows", log: "2027-02-10T07:00,0,80,68,left,,\n", now: wednesday},
	{rule: "log-row-hides", log: "2027-02-10T07:00,103,185,68,left,,\n", now: wednesday},
	{rule: "log-row-hides-diastolic", log: "2027-02-10T07:00,,118,68,left,,\n", now: wednesday},
	{rule: "log-row-hides-pulse", log: "2027-02-10T07:00,,,140,left,,\n", now: wednesday},
	{rule: "log-row-hides-unknown", log: "2027-02-10T07:00,19O,84,68,left,,\n", now: wednesday},
	{rule: "log-grip-loss", log: "2027-02-10T07:00,130,80,68,left,,\n", now: wednesday, edit: [2]string{`  grip:\n`, "  grip:\n    - {date: 2027-02-09, hand: left, unit: kgf, trials: [29.0, 30.0, 29.5], score: best, with: home-gauge}\n    - {date: 2027-02-09, hand: right, unit: kgf, trials: [39.0, 40.0, 39.5], score: best, with: home-gauge}\n"}},
	{rule: "log-measure-due", log: "2027-02-10T07:00,130,80,68,left,,\n", now: "2027-02-21T12:00:00Z"},
}

// heard is the rules that are heard from a scene.
func (s scene) heard(t *testing.T, c *Compiler) []string {
	t.Helper()
	edit := func(text string) string { return regexp.MustCompile(s.edit[0]).ReplaceAllString(text, s.edit[1]) }
	if s.edit[0] == "" {
		edit = nil
	}
	now, err := time.Parse(time.RFC3339, s.now)
	if s.now == "" {
		now, err = time.Date(2027, 3, 29, 8, 0, 0, 0, time.UTC), nil
	}
	if err != nil {
		t.Fatal(err)
	}
	in := Following{Client: tomas(t, c, edit), Now: now, Plan: aCourse(t, c, "handgrip-alternating")}
	span, err := c.LogSpan(in.Client.Record, in.Now)
	if err != nil {
		t.Fatal(err)
	}
	if in.Log, err = load.PressureLog("log.csv", []byte(logHead+s.log), span); err != nil {
		t.Fatal(err)
	}
	if s.sessions != "" {
		if in.Sessions, err = load.SessionLog("sessions.csv", []byte("at,uid,outcome,symptoms\n"+s.sessions), span); err != nil {
			t.Fatal(err)
		}
	}
	var out []string
	for _, x := range c.Follow(in).Tells {
		out = append(out, x.Rule)
	}
	return out
}

// Every rule about a log is heard from a real log: no fact is misspelt, none is missing, and none is silenced by another.
func TestEveryRuleAboutALogIsHeard(t *testing.T) {
	c := engine(t)
	want := map[string]bool{}
	for _, r := range c.Check.Base.About("log", "") {
		want[r.ID] = true
	}
	for _, s := range scenes {
		if heard := s.heard(t, c); !slices.Contains(heard, s.rule) {
			t.Errorf("%s is not heard, but %v", s.rule, heard)
		}
		delete(want, s.rule)
	}
	for id := range want {
		t.Errorf("no scene is there for %s", id)
	}
}

// A calm course tells nobody anything: no false alarm that somebody has to learn to ignore.
func TestACalmCourseTellsNobody(t *testing.T) {
	c := engine(t)
	s := scene{log: days("2027-01-25", 134, 82) + days("2027-03-22", 128, 79)}
	if heard := s.heard(t, c); len(heard) > 0 {
		t.Errorf("%v", heard)
	}
}

// Who and how soon are words of the program, the most urgent close training and are unsafe, and the others are cautions.
func TestTells(t *testing.T) {
	for _, r := range engine(t).Check.Base.About("log", "") {
		if !slices.Contains(progress.Whos, r.Tell.Who) || !slices.Contains(progress.Soons, r.Tell.HowSoon) {
			t.Errorf("%s tells %q %q", r.ID, r.Tell.Who, r.Tell.HowSoon)
		}
		if (r.Verdict == finding.Unsafe) != r.Tell.Closes() || r.Verdict == finding.OutOfEvidence {
			t.Errorf("%s is %s and tells %s", r.ID, r.Verdict, r.Tell.HowSoon)
		}
	}
}

// The figures that the arithmetic was tested with are those of the data. Sources: Warren 2010 for 4.2 and 3.9 percent, Wang 2020
// for 0.52 over 12 months, the ESH group's table for 4 days and 12 readings, Lea 2024 for 5 mmHg; the rest as the data says.
func TestFiguresOfAComparison(t *testing.T) {
	c := engine(t).Check.Base.Compared()
	got := fmt.Sprint(c.Weeks, c.MostWeeks, c.SystolicVariation, c.DiastolicVariation, c.Quantile, c.Coverage, c.AssumedMean, c.Remains, c.RemainsMonths, c.MorningEnds, c.MorningShare,
		c.RecentDays, c.AfterHours, c.LeastDays, c.LeastReadings, c.LeastFall, c.LeastSessions, c.SettleDays, c.KeepFirstDay)
	if want := "1 4 0.042 0.039 1.96 0.95 135 0.52 12 12:00 0.25 14 24 4 12 5 0.5 28 false"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// The numbers that two rules share are one number: the home mean from which no effort starts without a clearance, and the days that the gate promises.
func TestSharedNumbers(t *testing.T) {
	b := engine(t).Check.Base
	if a, s := b.Limit("log-high-days", "below").Whole(), b.Sitting.HighDays; a != s {
		t.Errorf("the rule tells from %d high days, the calendar promises %d", a, s)
	}
	for _, x := range []string{"systolic", "diastolic"} {
		low := b.Limit("log-mean-high-"+x, "below").Num
		if start := b.Limit("pressure-home-"+x, "below").Num; low.Cmp(start) != 0 {
			t.Errorf("a home mean is high from %s %s, no effort starts from %s", low, x, start)
		}
	}
}

// A log's readings stand beside the record's, in their own file, and the record stays as it was.
func TestWithReadings(t *testing.T) {
	c := engine(t)
	cl := tomas(t, c, nil)
	before := len(cl.Record.BloodPressure)
	l := &record.Log{File: "log.csv", Readings: []record.LogReading{
		{At: cl.Record.BloodPressure[0].At + 60*24, Systolic: 166, Diastolic: 94, File: "log.csv", Line: 2, Column: 1},
		{At: cl.Record.BloodPressure[0].At + 61*24, Systolic: 100, Diastolic: 60, Standing: true, File: "log.csv", Line: 3, Column: 1}}}
	with := WithReadings(cl, l, nil, 0)
	list := with.Node.Get("measured", "bloodPressure")
	if len(with.Record.BloodPressure) != before+1 || len(list.Elem) != before+1 || list.Elem[before].Pos.File != "log.csv" || with.Record.BloodPressure[before].Index != before {
		t.Errorf("%d readings, %d nodes", len(with.Record.BloodPressure), len(list.Elem))
	}
	if len(cl.Record.BloodPressure) != before || len(cl.Node.Get("measured", "bloodPressure").Elem) != before {
		t.Error("the record itself changed")
	}
	if p := cl.Node.Get("measured", "bloodPressure", "0", "systolic").Path(); !strings.HasPrefix(p, "measured.bloodPressure[0]") {
		t.Errorf("a place of the record moved to %s", p)
	}
	if WithReadings(cl, nil, nil, 0) != cl {
		t.Error("without a log nothing is copied")
	}
}
