package compiler

import (
	"slices"
	"testing"
	"time"

	"isocue.example/compiler/history"
	"isocue.example/compiler/record"
)

// Of a sitting of two protocols either may be held while the compile is refused: what stays has the pressure gate before it and the
// end behind it, and its work begins when it did.
func TestWhatStaysOfASittingHasItsGate(t *testing.T) {
	c := engine(t)
	in := demo(t, c, "handgrip-alternating", "slow-breathing-even")
	prev := plan(t, c, in)
	in.Previous, in.Now = prev, prev.Start.Time().AddDate(0, 0, 3).Add(3*time.Hour)
	sitting := c.Check.Base.Sitting
	for _, held := range []string{"handgrip-alternating", "slow-breathing-even"} {
		p, changes, err := c.heldAlone(in, history.New(history.Input{Client: in.Client.Record, Now: in.Now}), []record.Hold{{Protocol: held, Since: prev.Start, Rule: "r", Why: "w"}})
		if err != nil || len(changes) == 0 {
			t.Fatal(err, changes)
		}
		together := 0
		for _, s := range p.Sessions {
			i := slices.IndexFunc(prev.Sessions, func(x record.Session) bool { return x.UID == s.UID })
			was := prev.Sessions[i]
			if s.Status == record.Cancelled || history.Begun(prev, was, in.Now) {
				continue
			}
			work, before := s.Seconds-sitting.GateSeconds()-sitting.EndSeconds, 0
			if was.Gate {
				before = sitting.GateSeconds()
			} else {
				together++
			}
			if was.End {
				before += sitting.EndSeconds
			} else {
				together++
			}
			if !s.Gate || !s.End || work != was.Seconds-before {
				t.Errorf("%s held: %+v, and was %+v", held, s, was)
			}
			if at := was.Start; !was.Gate && int(at-s.Start)*60 != sitting.GateSeconds() {
				t.Errorf("%s held: the work of %s begins at another minute: %s", held, at, s.Start)
			}
		}
		if together == 0 {
			t.Errorf("%s held: no session stood in a sitting with it", held)
		}
		unedited(t, c, held, p, in.Now)
	}
}
