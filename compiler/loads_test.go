package compiler

import (
	"testing"
	"time"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Past its measurement a load is repeated and never raised, though a ramp ends just then; a compile in the middle knows what
// was trained. Source: schema/rules/grip-provisional-end.cue.
func TestProvisionalLoadIsNotRaised(t *testing.T) {
	c := engine(t)
	in := demo(t, c, "handgrip-start")
	first := plan(t, c, in)
	in.Previous, in.Now = reread(t, first), time.Date(2027, 2, 3, 18, 0, 0, 0, time.UTC)
	for name, p := range map[string]*record.Plan{"first": first, "compiled again": plan(t, c, in)} {
		last, held, provisional := map[record.Hand]unit.Dec{}, 0, 0
		for _, s := range p.Sessions {
			k := p.Kinds[s.Kind]
			if len(k.Loads) != 2 {
				t.Fatalf("%s: %s has %d loads", name, s.Start, len(k.Loads))
			}
			for _, d := range k.Loads {
				if s.Status == record.Provisional {
					provisional++
					if last[d.Hand].Less(d.Set) {
						t.Errorf("%s: on %s the %s hand rises from %s to %s past its measurement", name, s.Start, d.Hand, last[d.Hand], d.Set)
					}
				}
				last[d.Hand] = d.Set
			}
			for _, x := range k.Steps {
				if x.Kind == record.Squeeze && x.Target.Cmp(last[x.Hand]) != 0 {
					t.Errorf("%s: on %s a step has %s, the load is %s", name, s.Start, x.Target, last[x.Hand])
				} else if x.Kind == record.Squeeze {
					held++
				}
			}
		}
		if provisional == 0 || held == 0 {
			t.Errorf("%s: %d provisional loads, %d squeezes", name, provisional, held)
		}
	}
}
