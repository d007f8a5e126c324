package compiler

import (
	"slices"
	"testing"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// logTells are the rules that logs of the demo client come to, pressure rows and session rows, on 2027-01-03.
func logTells(t *testing.T, pressure, sessions string) (out []string) {
	t.Helper()
	c := engine(t)
	in := demo(t, c, "handgrip-alternating")
	span, err := c.LogSpan(in.Client.Record, in.Now)
	if err != nil {
		t.Fatal(err)
	}
	f := Following{Client: in.Client, Now: in.Now, Modalities: []record.Modality{record.Handgrip}}
	if pressure != "" {
		if f.Log, err = load.PressureLog("log.csv", []byte(pressure), span); err != nil {
			t.Fatal(err)
		}
	}
	if sessions != "" {
		if f.Sessions, err = load.SessionLog("sessions.csv", []byte(sessions), span); err != nil {
			t.Fatal(err)
		}
	}
	for _, x := range c.Follow(f).Tells {
		out = append(out, x.Rule)
	}
	return out
}

const (
	pressureHead = "at,systolic,diastolic,pulse,arm,posture,note,symptoms\n"
	sessionHead  = "at,uid,outcome,hand,heldSeconds,systolic,diastolic,symptoms,told\n"
)

// A severe reading counts by itself unless calmer ones repeat it: none before it, none of the same minute, of another arm or of the other
// log, and no posture makes it milder. Source: the lines of the gate; point 4 of "a severe number is never lost".
func TestASevereReadingCountsByItself(t *testing.T) {
	for _, x := range []struct{ why, pressure, sessions, want string }{
		{"a standing reading", "2027-01-02T21:00,212,125,70,,standing,,\n", "", "log-gate-systolic"},
		{"a standing reading, in German", "2027-01-02T21:00,150,112,70,,stehend,,\n", "", "log-gate-diastolic"},
		{"a pulse on standing", "2027-01-02T21:00,130,80,170,,upright,,\n", "", "log-pulse"},
		{"a mild one a minute before", "2027-01-02T21:00,125,75,66,,,,\n2027-01-02T21:01,230,135,66,,,,\n", "", "log-gate-systolic"},
		{"a mild one of the same minute", "2027-01-02T21:00,190,118,66,,,,\n2027-01-02T21:00,118,70,66,,,,\n", "", "log-gate-diastolic"},
		{"a mild one of the other arm", "2027-01-02T21:00,190,118,66,left,,,\n2027-01-02T21:01,118,70,66,right,,,\n", "", "log-gate-diastolic"},
		{"a repeat that is as high, and a mild one", "2027-01-02T21:00,184,100,66,,,,\n2027-01-02T21:01,184,100,66,,,,\n2027-01-02T21:02,118,70,66,,,,\n", "", "log-gate-systolic"},
		{"a fast pulse behind a usual one", "2027-01-02T21:00,130,81,60,,,,\n2027-01-02T21:01,130,80,170,,,,\n", "", "log-pulse"},
		{"the same reading with another pulse", "2027-01-02T21:00,130,80,60,,,,\n2027-01-02T21:00,130,80,170,,,,\n", "", "log-pulse"},
		{"a slow pulse behind a usual one", "2027-01-02T21:00,130,81,70,,,,\n2027-01-02T21:01,130,80,30,,,,\n", "", "log-pulse-slow"},
		{"a very low one behind a usual one", "2027-01-02T21:00,130,80,66,,,,\n2027-01-02T21:01,75,45,66,,,,\n", "", "log-low-very"},
		{"the session log's, with mild ones in the pressure log", "2027-01-02T21:00,118,70,66,,,,\n2027-01-02T21:01,118,70,66,,,,\n", "2027-01-02T21:00,x,not-started,,,205,125,,\n", "log-gate-systolic"},
		{"two rows of one session", "", "2027-01-02T21:00,x,not-started,,,205,125,,\n2027-01-02T21:00,x,not-started,,,120,70,,\n", "log-gate-systolic"},
		{"with a symptom, and a mild one beside it", "2027-01-02T21:00,192,112,66,,,,headache\n2027-01-02T21:00,128,78,66,,,,\n", "", "log-gate-systolic-symptoms"},
		{"a note of a row that says the same numbers", "2027-01-02T21:00,130,80,66,,,,\n2027-01-02T21:00,130,80,66,,,chest pain,\n", "", "log-danger-sign"},
	} {
		if x.pressure != "" {
			x.pressure = pressureHead + x.pressure
		}
		if x.sessions != "" {
			x.sessions = sessionHead + x.sessions
		}
		if got := logTells(t, x.pressure, x.sessions); !slices.Contains(got, x.want) {
			t.Errorf("%s: %v, want %s", x.why, got, x.want)
		}
	}
	for _, x := range []struct{ why, pressure string }{
		{"a severe one that a calmer one repeats", "2027-01-02T21:00,184,104,66,,,,\n2027-01-02T21:05,174,98,66,,,,\n"},
		{"a fast pulse that a calmer one repeats", "2027-01-02T21:00,130,80,124,,,,\n2027-01-02T21:05,130,80,70,,,,\n"},
		{"readings under every line", "2027-01-02T21:00,179,109,100,,,,\n2027-01-02T21:01,118,70,66,,,,\n"},
		{"standing, under every line", "2027-01-02T21:00,150,95,110,,standing,,\n"},
		{"a pulse at the lowest line", "2027-01-02T21:00,130,80,40,,,,\n"},
	} {
		for _, rule := range logTells(t, pressureHead+x.pressure, "") {
			if tell := engine(t).Check.Base.Rule(rule).Tell; tell.Closes() {
				t.Errorf("%s: %s closes training", x.why, rule)
			}
		}
	}
}

// The record is as strict as the log about single readings and the client's own limits. Source: the rules about logs.
func TestARecordsSingleReadingCounts(t *testing.T) {
	c := engine(t)
	usual := []string{`at: "2027-01-03T04:02", systolic: 130, diastolic: 80, pulse: 66`, `at: "2027-01-03T04:02", systolic: 131, diastolic: 80, pulse: 66`, `at: "2027-01-03T04:03", systolic: 128, diastolic: 79, pulse: 66`}
	for _, x := range []struct{ why, entry, limits, want string }{
		{"a very low one of the day before", `at: "2027-01-02T04:00", systolic: 75, diastolic: 45`, "", "pressure-week-low"},
		{"a slow pulse of the day before", `at: "2027-01-02T04:00", systolic: 130, diastolic: 80, pulse: 30`, "", "pulse-earlier-slow"},
		{"a fast pulse among usual ones", `at: "2027-01-03T04:03", systolic: 130, diastolic: 80, pulse: 170`, "", "pulse-earlier"},
		{"a severe one among usual ones of the last sitting", `at: "2027-01-03T04:03", systolic: 190, diastolic: 100`, "", "pressure-week-systolic"},
		{"a severe diastolic one", `at: "2027-01-03T04:03", systolic: 170, diastolic: 118`, "", "pressure-week-diastolic"},
		{"a severe one that calmer ones repeat", `at: "2027-01-03T04:01", systolic: 190, diastolic: 100`, "", ""},
		{"the client's own limit", `at: "2027-01-02T04:00", systolic: 141, diastolic: 80`, "{systolic: 140, by: \"T. Ansah\", date: 2027-01-02}", "pressure-own-systolic"},
		{"the client's own diastolic limit", `at: "2027-01-02T04:00", systolic: 135, diastolic: 90`, "{diastolic: 90, by: \"T. Ansah\", date: 2027-01-02}", "pressure-own-diastolic"},
		{"under the client's own limit", `at: "2027-01-02T04:00", systolic: 139, diastolic: 80`, "{systolic: 140, by: \"T. Ansah\", date: 2027-01-02}", ""},
	} {
		edit := inRecord(append(slices.Clone(usual), x.entry))
		var found []string
		for _, f := range judgedFor(t, c, nil, func(src string) string {
			if src = edit(src); x.limits != "" {
				src += "\nlimits: " + x.limits + "\n"
			}
			return src
		}, "handgrip-alternating").Findings {
			found = append(found, f.Rule)
		}
		strict := slices.ContainsFunc(found, func(r string) bool { return r == x.want })
		closes := slices.ContainsFunc(found, func(r string) bool { return r == "pressure-own-systolic" || r == "pressure-week-systolic" })
		if x.want == "" && closes || x.want != "" && !strict {
			t.Errorf("%s: %v, want %s", x.why, found, x.want)
		}
	}
}
