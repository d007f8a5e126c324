package compiler

import (
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Nothing keeps a hold from being made: where another protocol is refused for data that are missing, the one that is barred is held all
// the same, and the rest goes on as it stood. Source: docs/architecture.md, a plan after a plan.
func TestAHoldIsMadeBesideARefusal(t *testing.T) {
	c := invented(t)
	client := func(edits ...string) Input {
		f := c.Reader.Bytes("c.yaml", []byte(strings.NewReplacer(edits...).Replace(demoText)))
		if f.Client == nil {
			t.Fatal(f.Findings)
		}
		in := demo(t, c, "inspiratory-strength", "slow-breathing-even")
		in.Client = f.Client
		return in
	}
	first := plan(t, c, client())
	ill := client("conditions: []", "conditions: [{code: ear-or-sinus, since: 2027-01-05}]", `    panic: "no"`, `    panic: "unanswered"`)
	ill.Previous, ill.Now = first, now.AddDate(0, 0, 3)
	r, err := c.Compile(ill)
	if err != nil || r.Plan == nil || !finding.Rejected(r.Findings) {
		t.Fatal(err, r.Plan, r.Findings)
	}
	coming := map[string]int{}
	for _, s := range r.Plan.Sessions {
		if s.Status != record.Cancelled && moment(r.Plan, s).After(ill.Now) {
			coming[s.Protocol]++
		}
	}
	if coming["inspiratory-strength"] != 0 || coming["slow-breathing-even"] == 0 || len(r.Plan.Holds) != 1 {
		t.Errorf("%v, holds %+v", coming, r.Plan.Holds)
	}
	again := ill
	again.Previous, again.Now = r.Plan, ill.Now.Add(time.Hour)
	if twice, err := c.Compile(again); err != nil || len(twice.Changes) != 0 || twice.Plan.Sheet != r.Plan.Sheet {
		t.Errorf("held once more: %v %v", err, twice.Changes)
	}
	well := client("conditions: []", "conditions: [{code: ear-or-sinus, since: 2027-01-05, until: 2027-01-06}]", "    - {date: 2027-01-02, unit: cmH2O", "    - {date: 2027-01-13, unit: cmH2O, trials: [78, 82, 80], method: static}\n    - {date: 2027-01-02, unit: cmH2O",
		"screening:\n  date: 2027-01-02", "screening:\n  date: 2027-01-13", "  bloodPressure:\n", "  bloodPressure:\n    - {at: \"2027-01-12T07:30\", systolic: 136, diastolic: 83, setting: home, arm: left}\n")
	well.Previous, well.Now = r.Plan, now.AddDate(0, 0, 10)
	back, err := c.Compile(well)
	if err != nil || back.Plan == nil {
		t.Fatal(err, back.Findings)
	}
	was := map[string]bool{}
	for _, s := range first.Sessions {
		was[s.UID] = true
	}
	kept := 0
	for _, s := range back.Plan.Sessions {
		if was[s.UID] && s.Status != record.Cancelled && s.Protocol == "inspiratory-strength" && moment(back.Plan, s).After(well.Now) {
			kept++
		}
	}
	if kept == 0 || len(back.Plan.Holds) != 0 {
		t.Errorf("%d of the sessions before the hold come back, holds %v", kept, back.Plan.Holds)
	}
}

// A day that is closed is closed also where a compile is refused: nobody trains in a pause, in the wait after an illness or with a
// hand that must not be trained because a measurement is missing. Nothing else of the plan before changes.
func TestClosedDaysAreFollowedBesideARefusal(t *testing.T) {
	c := invented(t)
	client := func(edits ...string) Input {
		f := c.Reader.Bytes("c.yaml", []byte(strings.NewReplacer(append(edits, `    panic: "no"`, `    panic: "unanswered"`)...).Replace(demoText)))
		if f.Client == nil {
			t.Fatal(f.Findings)
		}
		in := demo(t, c, "handgrip-alternating", "slow-breathing-even")
		in.Client = f.Client
		return in
	}
	whole := demo(t, c, "handgrip-alternating", "slow-breathing-even")
	first := plan(t, c, whole)
	day := unit.DateOf(now) + 3
	pause := client()
	pause.Pauses = []record.Span{{From: day + 2, To: day + 8}}
	for name, x := range map[string]struct {
		in     Input
		closed func(m record.Modality, d unit.Date) bool
	}{
		"a pause": {pause, func(_ record.Modality, d unit.Date) bool { return day+2 <= d && d <= day+8 }},
		"away": {client("away: []", "away: [{from: 2027-01-12, to: 2027-01-14}]"), func(_ record.Modality, d unit.Date) bool {
			return d.String() >= "2027-01-12" && d.String() <= "2027-01-14"
		}},
		"a hand that hurts": {client("conditions: []", "conditions: [{code: hand-hurt, side: left, since: 2027-01-05}]"), func(m record.Modality, _ unit.Date) bool { return m == record.Handgrip }},
	} {
		x.in.Previous, x.in.Now = first, now.AddDate(0, 0, 3)
		r, err := c.Compile(x.in)
		if err != nil || r.Plan == nil || !finding.Rejected(r.Findings) {
			t.Errorf("%s: %v, plan %v, findings %v", name, err, r.Plan != nil, r.Findings)
			continue
		}
		at := map[string]record.Session{}
		for _, s := range r.Plan.Sessions {
			at[s.UID] = s
		}
		cancelled := 0
		for _, s := range first.Sessions {
			if want := x.closed(first.Kinds[s.Kind].Modality, s.Start.Date()); !moment(first, s).Before(x.in.Now) && want != (at[s.UID].Status == record.Cancelled) {
				t.Errorf("%s: the session of %s at %s, closed %v, is %s", name, s.Protocol, s.Start, want, at[s.UID].Status)
			} else if want {
				cancelled++
			}
		}
		if cancelled == 0 || len(r.Plan.Holds) != 0 {
			t.Errorf("%s: %d cancelled, holds %v", name, cancelled, r.Plan.Holds)
		}
	}
}

// A calendar that is made anew while the client trains moves nothing of the sitting that is going on, and an illness cancels what of it
// has not begun.
func TestNothingMovesInASitting(t *testing.T) {
	c := invented(t)
	first := plan(t, c, demo(t, c, "handgrip-alternating", "walking-start"))
	for _, day := range []int{4, 6, 8, 11} {
		for minute := range 45 { // the grip until 07:27, then the walk
			in := demo(t, c, "handgrip-alternating", "walking-start")
			in.Previous, in.Now = first, time.Date(2027, 1, day, 11, minute, 0, 0, time.UTC)
			if r, err := c.Compile(in); err != nil || r.Plan == nil || len(r.Changes) > 0 {
				t.Errorf("at %s: %v %v", in.Now, err, r.Changes)
			}
		}
	}
	in := demo(t, c, "handgrip-alternating", "walking-start")
	in.Previous, in.Now = first, time.Date(2027, 1, 6, 11, 10, 0, 0, time.UTC)
	in.Diary = diaryOf(t, c, `date: 2027-01-06, time: "07:08", ill: fever`)
	r, err := c.Compile(in)
	if err != nil || r.Plan == nil {
		t.Fatal(err, r.Findings)
	}
	for _, s := range r.Plan.Sessions {
		if !moment(r.Plan, s).Before(in.Now) && s.Status != record.Cancelled {
			t.Errorf("ill, and %s at %s stands", s.Protocol, s.Start)
		}
	}
}
