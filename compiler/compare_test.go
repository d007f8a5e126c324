package compiler

import (
	"testing"

	"isocue.example/compiler/compare"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// What compare says of a protocol is what the compiler makes of it: squeezes, seconds, breaths and loads are counted from the
// steps of the plan's own sessions. Only the share of the load is the protocol's, because a set load is rounded down.
func TestCompareAgreesWithThePlan(t *testing.T) {
	c := engine(t)
	nobody := compare.Side{Node: tree.NewRecord(), Protocol: &record.Protocol{}}
	for _, id := range c.StandardIDs() {
		p := plan(t, c, demo(t, c, id))
		f := &c.Standard(id).Protocols[0]
		got := compare.Protocols(compare.Side{Node: f.Node, Protocol: f.Record}, nobody, c.Check.Base.Sitting)
		at := func(ms []compare.Measure, key string) unit.Dec {
			for _, m := range ms {
				if m.Key == key {
					return *m.A
				}
			}
			return unit.Dec{}
		}
		week := func(w int) []compare.Measure {
			for _, s := range got.Stretches {
				if s.From <= w && w <= s.To {
					return s.Measures
				}
			}
			t.Fatalf("%s: no stretch holds week %d", id, w)
			return nil
		}
		if len(p.Sessions) == 0 {
			t.Errorf("%s: no session", id)
		}
		for _, s := range p.Sessions {
			k, ms := p.Kinds[s.Kind], week(s.Week)
			var work, under unit.Tenths
			squeezes, squats, breaths, hand := 0, 0, 0, map[record.Hand]int{}
			for _, st := range k.Steps {
				work += st.Seconds
				switch st.Kind {
				case record.Squeeze:
					squeezes++
					hand[st.Hand]++
					under += st.Seconds
				case record.Squat:
					squats++
					under += st.Seconds
				case record.Breathe:
					breaths += st.Count
				}
			}
			load := f.Record.StageAt(s.Week).Load
			for key, want := range map[string]unit.Dec{
				"minutesSession":  unit.Ratio(int64(work), 600),
				"squeezesSession": unit.Int(int64(squeezes)), "squatsSession": unit.Int(int64(squats)), "breathsSession": unit.Int(int64(breaths)),
				"squeezesOneHand": unit.Int(int64(max(hand[record.Right], hand[record.Left]))),
				"tensionSeconds":  under.Dec(), "forceTimeSession": load.Mul(unit.Int(int64(squeezes))).Mul(at(ms, "holdSeconds")),
			} {
				if have := at(ms, key); have.Cmp(want) != 0 {
					t.Errorf("%s, week %d: %s is %s, the plan has %s", id, s.Week, key, have, want)
				}
			}
		}
		if placed := len(p.Sessions) + len(p.Unplaced); at(got.Course, "sessions").Cmp(unit.Int(int64(placed))) != 0 {
			t.Errorf("%s: a course of %s sessions, the plan has %d", id, at(got.Course, "sessions"), placed)
		}
	}
}
