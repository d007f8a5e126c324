package compiler

import (
	"strings"
	"testing"

	"isocue.example/compiler/handout"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Numbers of the plan that are changed change in the sheet: none is written into its sentences.
func TestSheetFollowsThePlan(t *testing.T) {
	c := engine(t)
	in := demo(t, c, "handgrip-alternating")
	for _, x := range []struct {
		why    string
		change func(p *record.Plan)
		gone   string
		come   string
	}{
		{"the limit of the gate", func(p *record.Plan) { p.Gate.Systolic = unit.Int(173) }, "Upper number 180 or more", "Upper number 173 or more"},
		{"the line for effort", func(p *record.Plan) { p.Gate.EffortDiastolic = unit.Int(93) }, "lower number 100 or more", "lower number 93 or more"},
		{"the emergency number", func(p *record.Plan) { p.Emergency = "999" }, "911", "Stop, and call 999"},
		{"a load", func(p *record.Plan) {
			for _, k := range p.Kinds {
				for i := range k.Loads {
					k.Loads[i].Set = unit.MustDec("7.5")
				}
			}
		}, "right 12 kgf", "right 7.5 kgf"},
		{"the length of a squeeze", func(p *record.Plan) {
			for _, k := range p.Kinds {
				for i := range k.Steps {
					if k.Steps[i].Kind == record.Squeeze {
						k.Steps[i].Seconds = 900
					}
				}
			}
		}, "right hand for 2 minutes", "right hand for 1 minute 30 seconds"},
		{"the number of the sheet", func(p *record.Plan) { p.Sheet = 4 }, "Sheet 1.", "Sheet 4."},
	} {
		p := plan(t, c, in)
		sheet := func() string {
			h, err := c.Handout(p, in.Client, "t")
			if err != nil {
				t.Fatal(err)
			}
			b, err := handout.Sheet(h)
			if err != nil {
				t.Fatal(err)
			}
			return read(string(b))
		}
		if before := sheet(); !strings.Contains(before, x.gone) {
			t.Errorf("%s: %q is not there before", x.why, x.gone)
		}
		x.change(p)
		if after := sheet(); strings.Contains(after, x.gone) || !strings.Contains(after, x.come) {
			t.Errorf("%s: want %q in place of %q", x.why, x.come, x.gone)
		}
	}
}

func BenchmarkSheetDemo(b *testing.B) {
	c := engine(b)
	in := demo(b, c, "handgrip-alternating", "slow-breathing-even")
	h, err := c.Handout(plan(b, c, in), in.Client, "t")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := handout.Sheet(h); err != nil {
			b.Fatal(err)
		}
	}
}
