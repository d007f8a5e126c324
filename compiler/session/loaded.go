package session

import (
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// one is the single load of a stage that has no hands. A load of zero is an error: nobody trains against nothing.
func one(k *record.Kind, s *record.Stage, doses []record.Dose) (*record.Dose, error) {
	for i := range doses {
		if d := &doses[i]; d.Protocol == k.Protocol && d.Stage == s.Index {
			if d.Set.Sign() <= 0 {
				return nil, fmt.Errorf("the load is %s %s, allowed: more than nothing", d.Set, d.Unit)
			}
			k.Loads = []record.Dose{*d}
			return d, nil
		}
	}
	return nil, fmt.Errorf("no load, allowed: a measured load")
}

// loadedBreaths is counted sets with rest between, or one timed bout. Without a pace a breath takes the sitting's usual
// length: the client counts, not the clock.
func loadedBreaths(k *record.Kind, s *record.Stage, doses []record.Dose, sitting record.Sitting) error {
	d, err := one(k, s, doses)
	if err != nil {
		return err
	}
	cycle, pattern := sitting.Breath, (*record.Breath)(nil)
	if b := s.Breath; b.Cycle() > 0 {
		cycle, pattern = b.Cycle(), &b
	}
	set := func(n int) record.Step {
		target := d.Set
		return record.Step{Kind: record.Breathe, Seconds: cycle * unit.Tenths(n), Pattern: pattern, Count: n, Target: &target, Unit: d.Unit, From: d.From()}
	}
	counted, timed := s.Sets > 0 && s.Breaths > 0, s.Minutes.Sign() > 0
	switch {
	case cycle <= 0 || counted == timed:
		return fmt.Errorf("found %d sets of %d breaths and %s min, allowed: sets of breaths, or minutes", s.Sets, s.Breaths, s.Minutes)
	case counted:
		for i := range s.Sets {
			if i > 0 && s.RestSeconds > 0 {
				k.Steps = append(k.Steps, record.Step{Kind: record.Rest, Seconds: unit.Seconds(s.RestSeconds)})
			}
			k.Steps = append(k.Steps, set(s.Breaths))
		}
		return nil
	}
	total, ok := unit.TenthsOf(s.Minutes.Mul(unit.Int(60)))
	n := int(total / cycle)
	if !ok || n < 1 {
		return fmt.Errorf("found %s min, allowed: one whole breath or more", s.Minutes)
	}
	k.Steps = append(k.Steps, set(n))
	if left := total - cycle*unit.Tenths(n); left > 0 {
		k.Steps = append(k.Steps, record.Step{Kind: record.Sit, Seconds: left})
	}
	return nil
}

func squats(k *record.Kind, s *record.Stage, doses []record.Dose) error {
	d, err := one(k, s, doses)
	if err != nil {
		return err
	}
	if s.Rounds < 1 || s.HoldSeconds < 1 || s.RestSeconds < 0 {
		return fmt.Errorf("found %d squats of %d s with %d s between, allowed: 1 squat or more of 1 s or more", s.Rounds, s.HoldSeconds, s.RestSeconds)
	}
	for i := range s.Rounds {
		if i > 0 && s.RestSeconds > 0 {
			k.Steps = append(k.Steps, record.Step{Kind: record.Rest, Seconds: unit.Seconds(s.RestSeconds)})
		}
		target := d.Set
		step := record.Step{Kind: record.Squat, Seconds: unit.Seconds(s.HoldSeconds), Target: &target, Unit: d.Unit}
		if d.Measured != 0 {
			step.From = d.From()
		}
		k.Steps = append(k.Steps, step)
	}
	return nil
}
