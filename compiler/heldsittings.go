package compiler

import (
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// sittings makes whole again the sittings of a plan before of which some sessions stay and others are cancelled: what stays first has the
// pressure gate before it, in the time of what went away, so that its work begins when it did; what stays last has the end behind it.
// What cannot have its gate far enough from the session before it is cancelled too, for nobody trains without one.
func (c *Compiler) sittings(prev *record.Plan, stays, begun func(record.Session) bool) (out []record.Session) {
	var all []record.Session
	for _, s := range prev.Sessions {
		if s.Status != record.Cancelled {
			all = append(all, s)
		}
	}
	gate := c.Check.Base.Sitting.GateSeconds()
	last, free := map[string]unit.Local{}, unit.Local(0) // the last start of each protocol, and when the last session is over
	goesOn := func(i int) bool { return i+1 < len(all) && !all[i].End && all[i+1].Start == all[i].Until() }
	there := make([]bool, len(all)) // begun, or stays
	for i, s := range all {
		if there[i] = begun(s) || stays(s); !there[i] {
			continue
		}
		if before, ok := last[s.Protocol]; !begun(s) && !s.Gate && i > 0 && goesOn(i-1) && !there[i-1] {
			s.Gate, s.Seconds = true, s.Seconds+gate
			s.Start -= unit.Local((gate + 59) / 60)
			floor, _ := c.byItself().Check.Gaps(prev.Kinds[s.Kind].Modality)
			if there[i] = s.Start >= free && (!ok || s.Start-before >= unit.Local(floor)); !there[i] {
				continue
			}
		}
		last[s.Protocol], all[i] = s.Start, s
		if free = s.Until(); !s.End {
			free = s.Start + unit.Local((s.Seconds+c.Check.Base.Sitting.EndSeconds+59)/60)
		}
	}
	for i, s := range all {
		if !there[i] || begun(s) {
			continue
		}
		if !s.End && (i+1 == len(all) || !there[i+1]) {
			s.End, s.Seconds = true, s.Seconds+c.Check.Base.Sitting.EndSeconds
		}
		out = append(out, s)
	}
	return out
}
