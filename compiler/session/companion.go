package session

import (
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// walk is one step: how fast is told by the talk test, and nothing is set.
func walk(k *record.Kind, s *record.Stage) error {
	total, ok := unit.TenthsOf(s.Minutes.Mul(unit.Int(60)))
	if !ok || total <= 0 || s.Intensity == "" {
		return fmt.Errorf("found %s min of %q walking, allowed: a length above 0 and an intensity", s.Minutes, s.Intensity)
	}
	k.Steps = append(k.Steps, record.Step{Kind: record.Walk, Seconds: total, Intensity: s.Intensity})
	return nil
}

// exercises is every set of one exercise, then of the next, with the rest between any two sets. A repetition takes the
// sitting's usual time: the client counts, not the clock.
func exercises(k *record.Kind, s *record.Stage, sitting record.Sitting) error {
	if len(s.Exercises) == 0 || s.Sets < 1 || s.Repetitions < 1 || s.RestSeconds < 0 || sitting.Repetition <= 0 || s.Squat.Effort.Sign() <= 0 {
		return fmt.Errorf("found %d exercises of %d sets of %d repetitions at effort %s, allowed: one or more of each",
			len(s.Exercises), s.Sets, s.Repetitions, s.Squat.Effort)
	}
	for _, x := range s.Exercises {
		for range s.Sets {
			if len(k.Steps) > 0 && s.RestSeconds > 0 {
				k.Steps = append(k.Steps, record.Step{Kind: record.Rest, Seconds: unit.Seconds(s.RestSeconds)})
			}
			effort := s.Squat.Effort
			k.Steps = append(k.Steps, record.Step{Kind: record.Exercise, Name: x, Count: s.Repetitions,
				Seconds: sitting.Repetition * unit.Tenths(s.Repetitions), Target: &effort, Unit: "effort"})
		}
	}
	return nil
}
