package session

import (
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Length is the work of a stage, which depends on no load: what a session takes out of a client's hours is known before
// the loads are. It is WorkSeconds of the kind that Build makes, whose steps must sum to it.
func Length(p *record.Protocol, s *record.Stage, sitting record.Sitting) (unit.Tenths, error) {
	holds := unit.Seconds(s.Rounds*s.HoldSeconds + (s.Rounds-1)*s.RestSeconds)
	minutes, ok := unit.TenthsOf(s.Minutes.Mul(unit.Int(60)))
	switch p.Modality {
	case record.Handgrip, record.WallSquat:
		minutes = holds
	case record.Strength:
		n := s.Sets * len(s.Exercises)
		minutes = sitting.Repetition*unit.Tenths(n*s.Repetitions) + unit.Seconds(s.RestSeconds*(n-1))
	case record.Inspiratory:
		if s.Sets > 0 && s.Breaths > 0 {
			cycle := sitting.Breath
			if s.Breath.Cycle() > 0 {
				cycle = s.Breath.Cycle()
			}
			minutes = cycle*unit.Tenths(s.Sets*s.Breaths) + unit.Seconds(s.RestSeconds*(s.Sets-1))
		}
	}
	if !ok || minutes <= 0 {
		return 0, fmt.Errorf("session %s lasts %s s, allowed: more than 0", Key(p.ID, s.Index), minutes)
	}
	return minutes, nil
}
