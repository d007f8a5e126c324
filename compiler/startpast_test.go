package compiler

import (
	"slices"
	"testing"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/unit"
)

// unsafeRules are the rules that find something unsafe, each once, in order.
func unsafeRules(fs []finding.Finding) (out []string) {
	for _, f := range fs {
		if f.Verdict == finding.Unsafe && !slices.Contains(out, f.Rule) {
			out = append(out, f.Rule)
		}
	}
	slices.Sort(out)
	return out
}

// Law: whatever start is written, a first plan is refused for everything that is too old on the first day to come: a start in the
// past gets no session that a start today does not get. Everything in the demo record was asked and measured in the first days
// of January.
func TestAStartInThePastIsJudgedByTheDaysToCome(t *testing.T) {
	c := engine(t)
	for _, ids := range [][]string{{"handgrip-alternating"}, {"slow-breathing-even"}, {"inspiratory-strength"}, {"wall-squat-home"}, {"handgrip-start", "slow-breathing-even"}} {
		for _, days := range []int{10, 29, 40, 150} {
			in := demo(t, c, ids...)
			start := in.Start
			in.Now = start.Time().AddDate(0, 0, days).Add(12 * time.Hour)
			in.Start = unit.DateOf(in.Now)
			today, err := c.Compile(in)
			if err != nil {
				t.Fatal(err)
			}
			if len(unsafeRules(today.Findings)) == 0 {
				t.Fatalf("%v: a start %d days after the record is not refused", ids, days)
			}
			for _, back := range []int{1, 7, 20, days} {
				in.Start = unit.DateOf(in.Now) - unit.Date(min(back, days))
				past, err := c.Compile(in)
				if err != nil {
					t.Fatal(err)
				}
				for _, rule := range unsafeRules(today.Findings) {
					if !slices.Contains(unsafeRules(past.Findings), rule) {
						t.Errorf("%v, %d days after the record, a start %d days back: %s is not found", ids, days, back, rule)
					}
				}
			}
		}
	}
}

// A protocol that joins a course, or comes back after weeks without a session, is judged as one that begins: neither the start of
// the course nor a plan before is a way round. One that was trained lately keeps the ages of its start.
func TestWhatJoinsACourseIsJudgedAsABeginning(t *testing.T) {
	c := engine(t)
	long := func(in Input) Input { // a course of the clinic's own that is there for longer
		in.Protocols = slices.Clone(in.Protocols)
		for i, p := range in.Protocols {
			mine, rec := *p, *p.Record
			rec.Weeks, rec.Stages = 30, slices.Clone(rec.Stages)
			rec.Stages[len(rec.Stages)-1].Weeks = 30
			mine.Record = &rec
			in.Protocols[i] = &mine
		}
		return in
	}
	for _, x := range []struct {
		why           string
		before, after []string
		days          int
		longer        bool
		want          []string
	}{
		{"what goes on is asked nothing", []string{"slow-breathing-even"}, []string{"slow-breathing-even"}, 40, false, nil},
		{"handgrip joins after forty days", []string{"slow-breathing-even"}, []string{"slow-breathing-even", "handgrip-alternating"}, 40, false,
			[]string{"grip-measurement-age", "pressure-age", "screening-symptoms-age"}},
		{"handgrip joins in the first week", []string{"slow-breathing-even"}, []string{"slow-breathing-even", "handgrip-alternating"}, 3, false, nil},
		{"a ramp begins at its beginning, whatever week the course is in", []string{"slow-breathing-even"}, []string{"slow-breathing-even", "handgrip-start"}, 22, false,
			[]string{"pressure-age"}},
		{"the course was over for weeks", []string{"slow-breathing-even"}, []string{"slow-breathing-even"}, 100, true, []string{"pressure-age", "screening-symptoms-age"}},
	} {
		in := demo(t, c, x.before...)
		before := plan(t, c, in)
		again := demo(t, c, x.after...)
		if x.longer {
			again = long(again)
		}
		again.Previous, again.Start, again.Now = before, before.Start, in.Now.AddDate(0, 0, x.days)
		r, err := c.Compile(again)
		if err != nil {
			t.Fatal(err)
		}
		got := unsafeRules(r.Findings)
		for _, rule := range x.want {
			if !slices.Contains(got, rule) {
				t.Errorf("%s: %v, want %v among them", x.why, got, x.want)
			}
		}
		if len(x.want) == 0 && len(got) > 0 {
			t.Errorf("%s: %v", x.why, got)
		}
	}
}

// No modality's ramp is passed over by a start in the past: the first session to come is one of the first stage, or the plan is refused.
// That of a start yesterday is.
func TestAStartInThePastPassesNoRamp(t *testing.T) {
	c, refused := engine(t), 0
	for _, id := range c.StandardIDs() {
		in := demo(t, c, id)
		p := in.Protocols[0].Record
		if len(p.Stages) == 1 {
			continue
		}
		for _, back := range []int{1, 5, 6, 7, 14, 70, 300} {
			again := in
			again.Start = unit.DateOf(in.Now) - unit.Date(back)
			r, err := c.Compile(again)
			if err != nil {
				t.Fatal(err)
			}
			found := slices.Contains(unsafeRules(r.Findings), "start-past-stages")
			if found {
				refused++
			}
			if back == 1 && found {
				t.Errorf("%s, a start %d days back: start-past-stages is found: %v", id, back, found)
			}
			if r.Plan == nil {
				continue
			}
			for _, s := range r.Plan.Sessions {
				if s.Start >= history.Wall(r.Plan.Zone, in.Now) {
					if k := r.Plan.Kinds[s.Kind]; k.Stage > 0 {
						t.Errorf("%s, a start %d days back: the first session to come is of stage %d", id, back, k.Stage)
					}
					break
				}
			}
		}
	}
	if refused < 10 {
		t.Errorf("only %d starts were refused for it", refused)
	}
}
