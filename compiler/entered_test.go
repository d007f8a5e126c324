package compiler

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/history"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// What an entry closes, and what opens it again, in any order of lines. Source: docs/architecture.md, a plan after a plan.
func TestWhatTheDiaryCloses(t *testing.T) {
	c := invented(t)
	cl := c.Reader.Bytes("c.yaml", []byte(demoText)).Client
	no := func(day string, but ...string) string {
		answers := []string{}
		for _, q := range c.Check.Base.Questions() {
			if a := `"no"`; q.Symptom {
				for _, b := range but {
					if q.ID == b {
						a = `"yes"`
					}
				}
				answers = append(answers, q.ID+": "+a)
			}
		}
		return "date: " + day + ", asked: {questions: 2, answers: {" + strings.Join(answers, ", ") + "}}"
	}
	const ill, well = `id: a, date: 2027-01-05, ill: "fever"`, "id: w, date: 2027-01-08, well: true"
	const pain = `id: p, date: 2027-01-05, symptom: "chest pain"`
	const clears = `date: 2027-01-09, clearance: {for: [alert-in-log, handgrip, wall-squat, inspiratory, slow-breathing, walking, strength], by: "R. Okafor", role: physician, date: 2027-01-09, until: 2027-06-01}`
	for _, x := range []struct {
		why          string
		entries      []string
		closed, open []int // days of January on which handgrip is closed, and open
		held         bool  // on the 20th
	}{
		{"ill goes on", []string{ill}, []int{5, 19, 25}, []int{4}, true},
		{"well alone opens nothing", []string{ill, well}, []int{8, 9, 25}, nil, true},
		{"well and the questions open the day after", []string{ill, well, no("2027-01-08")}, []int{5, 8}, []int{9, 20}, false},
		{"questions before well do not count", []string{ill, well, no("2027-01-07")}, []int{9, 20}, nil, true},
		{"questions later open on their day", []string{ill, well, no("2027-01-12")}, []int{8, 11}, []int{12}, false},
		{"a yes opens nothing", []string{ill, well, no("2027-01-08", "ill-now")}, []int{9, 20}, nil, true},
		{"ill and well of one day: ill holds", []string{ill, "date: 2027-01-05, well: true", no("2027-01-06")}, []int{6, 20}, nil, true},
		{"ill anew", []string{ill, well, no("2027-01-08"), `id: b, date: 2027-01-15, ill: "flu"`}, []int{5, 15, 20}, []int{9, 14}, true},
		{"a condition ill-now is an illness", []string{"date: 2027-01-05, condition: {code: ill-now}"}, []int{5, 20}, nil, true},
		{"over ends an illness", []string{ill, "date: 2027-01-08, over: {code: ill-now}", no("2027-01-08")}, []int{8}, []int{9}, false},
		{"a void waits for the questions", []string{ill, `date: 2027-01-07, void: {entry: a, why: "another"}`}, []int{5, 7, 20}, nil, true},
		{"a void opens its own day", []string{ill, `date: 2027-01-07, void: {entry: a, why: "another"}`, no("2027-01-07")}, []int{5, 6}, []int{7, 20}, false},
		{"a void opens no day before it", []string{ill, `date: 2027-01-07, void: {entry: a, why: "another"}`, no("2027-01-06")}, []int{7, 20}, nil, true},
		{"a symptom", []string{`date: 2027-01-05, symptom: "odd"`}, []int{5, 20}, []int{4}, true},
		{"a symptom, asked on its day without times", []string{`date: 2027-01-05, symptom: "odd"`, no("2027-01-05")}, []int{5, 20}, nil, true},
		{"a symptom, asked later", []string{`date: 2027-01-05, symptom: "odd"`, no("2027-01-06")}, []int{5}, []int{6, 20}, false},
		{"a danger sign", []string{pain, well, no("2027-01-09")}, []int{5, 20}, nil, true},
		{"a danger sign in an illness", []string{`date: 2027-01-05, ill: "fever and chest pain"`, well, no("2027-01-09")}, []int{5, 20}, nil, true},
		{"a danger sign in a note", []string{`date: 2027-01-05, walking: {minutesPerWeek: 60}, note: "he fainted on the way"`}, []int{5, 20}, nil, true},
		{"a danger sign taken back", []string{pain, `date: 2027-01-06, void: {entry: p, why: "another"}`, no("2027-01-06")}, []int{6, 20}, nil, true},
		{"a danger sign, cleared", []string{pain, no("2027-01-09"), clears}, nil, []int{9, 20}, false},
		{"a pause with an end", []string{"date: 2027-01-05, pause: {from: 2027-01-06, to: 2027-01-08}", no("2027-01-06")}, []int{6, 8}, []int{5, 9, 20}, false},
		{"a pause that nobody asked in", []string{"date: 2027-01-05, pause: {from: 2027-01-06, to: 2027-01-08}"}, []int{6, 9, 20}, []int{5}, true},
		{"a pause to come", []string{"date: 2027-01-05, pause: {from: 2027-01-22, to: 2027-01-24}"}, []int{22, 24}, []int{20, 25}, false},
		{"an open pause", []string{"date: 2027-01-05, pause: {from: 2027-01-06}"}, []int{6, 20}, []int{5}, true},
		{"resume without questions", []string{"date: 2027-01-05, pause: {from: 2027-01-06}", "date: 2027-01-10, resume: true"}, []int{10, 20}, nil, true},
		{"resume", []string{"date: 2027-01-05, pause: {from: 2027-01-06}", "date: 2027-01-10, resume: true", no("2027-01-10")}, []int{9}, []int{10, 20}, false},
		{"resume ends nothing that begins on its day", []string{"date: 2027-01-05, pause: {from: 2027-01-10}", "date: 2027-01-10, resume: true", no("2027-01-10")}, []int{10, 20}, nil, true},
		{"stop", []string{"date: 2027-01-12, stop: true"}, []int{12, 20}, []int{11}, true},
		{"stop and a course of another start", []string{"date: 2027-01-12, stop: true", "date: 2027-01-13, course: {protocols: [handgrip-maintenance], start: 2027-02-01}"}, []int{12, 20}, nil, true},
		{"a yes that waits", []string{no("2027-01-05", "ill-now")}, []int{5, 20}, nil, true},
		{"a yes that waits, then a no", []string{no("2027-01-05", "ill-now"), no("2027-01-08")}, []int{5, 8}, []int{9, 20}, false},
		{"a yes that blocks, then a no", []string{no("2027-01-05", "cough-faint"), no("2027-01-08")}, []int{5, 20}, nil, true},
	} {
		lines := []string{}
		for _, e := range x.entries {
			lines = append(lines, `- {by: "L. Brandt", `+e+"}\n")
		}
		rnd := rand.New(rand.NewPCG(7, 8))
		for range 4 {
			rnd.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
			f := c.Reader.Bytes("a.diary.yaml", []byte(strings.Join(lines, "")))
			if len(f.Findings) > 0 {
				t.Fatalf("%s: %v", x.why, f.Findings)
			}
			d := diary.Of(f.Diary.Of())
			today := unit.DateOf(time.Date(2027, 1, 20, 0, 0, 0, 0, time.UTC))
			start := unit.DateOf(time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC))
			told := c.Stands(cl, d, time.Date(2027, 1, 20, 12, 0, 0, 0, time.UTC))
			shut := c.entered(d, told.Record, today, start, false)
			var closes []history.Entered
			for _, y := range shut {
				closes = append(closes, y.Entered)
			}
			h := history.New(history.Input{Client: cl.Record, Questions: c.Check.Questions(false), Diary: closes, Now: time.Date(2027, 1, 20, 9, 0, 0, 0, time.UTC)})
			for _, n := range x.closed {
				if h.Open(record.Handgrip, start+unit.Date(n-4)) {
					t.Errorf("%s: January %d is open", x.why, n)
				}
			}
			for _, n := range x.open {
				if !h.Open(record.Handgrip, start+unit.Date(n-4)) {
					t.Errorf("%s: January %d is closed", x.why, n)
				}
			}
			if got := closings(shut, today, []record.Modality{record.Handgrip}); (len(got) > 0) != x.held {
				t.Errorf("%s: held by %v, want %t", x.why, got, x.held)
			}
			if got := closings(c.entered(d, nil, today, start, false), today, []record.Modality{record.Handgrip}); x.held && len(got) == 0 {
				t.Errorf("%s: without a record nothing holds", x.why)
			}
		}
	}
}
