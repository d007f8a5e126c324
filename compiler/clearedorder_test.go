package compiler

import (
	"testing"
	"time"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// A clearance opens what its clinician knew: on one day the times tell, where both have one, and else it was not known. Source:
// docs/architecture.md, a plan after a plan.
func TestAClearanceOfTheSameDay(t *testing.T) {
	c := invented(t)
	cl := c.Reader.Bytes("c.yaml", []byte(demoText)).Client
	const day = "date: 2027-01-12, "
	clears := func(gate string) string {
		return "clearance: {for: [" + gate + `, handgrip], by: "T. Ansah", role: physician, date: 2027-01-12, until: 2027-06-01}`
	}
	medicine := func(change string) string { return "medicine: {class: beta-blocker, change: " + change + "}" }
	for _, x := range []struct {
		why, gate string
		entries   []string
		open      bool
	}{
		{"a clearance behind the change", "beta-blocker", []string{`time: "08:00", ` + medicine("started"), `time: "09:00", ` + clears("beta-blocker")}, true},
		{"a change behind the clearance", "beta-blocker", []string{`time: "08:00", ` + medicine("started"), `time: "09:00", ` + clears("beta-blocker"), `time: "14:00", ` + medicine("changed")}, false},
		{"of one minute", "beta-blocker", []string{`time: "09:00", ` + medicine("started"), `time: "09:00", ` + clears("beta-blocker")}, false},
		{"a change without a time", "beta-blocker", []string{medicine("started"), `time: "09:00", ` + clears("beta-blocker")}, false},
		{"a clearance without a time", "beta-blocker", []string{`time: "08:00", ` + medicine("started"), clears("beta-blocker")}, false},
		{"a condition before the clearance", "cough-faint", []string{`time: "08:00", condition: {code: cough-faint}`, `time: "09:00", ` + clears("cough-faint")}, true},
		{"a condition behind the clearance", "cough-faint", []string{`time: "08:00", condition: {code: cough-faint}`, `time: "09:00", ` + clears("cough-faint"), `time: "13:00", condition: {code: cough-faint}`}, false},
	} {
		text := ""
		for _, e := range x.entries {
			text += `- {by: "L. Brandt", ` + day + e + "}\n"
		}
		f := c.Reader.Bytes("a.diary.yaml", []byte(text))
		if len(f.Findings) > 0 {
			t.Fatalf("%s: %v", x.why, f.Findings)
		}
		now := time.Date(2027, 1, 12, 23, 0, 0, 0, time.UTC)
		told := c.Stands(cl, diary.Of(f.Diary.Of()), now)
		if got := c.Check.Opened(told.Record, x.gate, record.Handgrip, unit.DateOf(now)); got != x.open {
			t.Errorf("%s: open %t, want %t", x.why, got, x.open)
		}
	}
}
