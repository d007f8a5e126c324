package session

import (
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Verify says what is wrong with a kind, nil when nothing is: every step lasts, the steps sum to the work, rests stand
// only between squeezes, a breathing step is whole breaths, and a target lies on or between its lines. Build ends with it,
// because a list that does not add up would drift from the calendar unseen.
func Verify(k record.Kind) error {
	if len(k.Steps) == 0 {
		return fmt.Errorf("no steps, allowed: one or more")
	}
	var sum unit.Tenths
	for i, s := range k.Steps {
		if s.Seconds <= 0 {
			return fmt.Errorf("step %d (%s) lasts %s s, allowed: more than 0 s", i+1, s.Kind, s.Seconds)
		}
		if err := step(s); err != nil {
			return fmt.Errorf("step %d (%s): %w", i+1, s.Kind, err)
		}
		if edge := i == 0 || i == len(k.Steps)-1; edge && (s.Kind == record.Rest || s.Kind == record.ChangeHand) {
			return fmt.Errorf("step %d (%s) stands at an end, allowed: only between two squeezes", i+1, s.Kind)
		}
		sum += s.Seconds
	}
	if sum != k.WorkSeconds {
		return fmt.Errorf("the steps sum to %s s and the work is %s s, allowed: the same", sum, k.WorkSeconds)
	}
	return nil
}

func step(s record.Step) error {
	switch s.Kind {
	case record.Breathe:
		free := s.Pattern == nil && s.Target != nil && s.Count > 0 // against a load, at one's own pace
		if !free && (s.Pattern == nil || s.Count < 1 || s.Pattern.Cycle()*unit.Tenths(s.Count) != s.Seconds) {
			return fmt.Errorf("found %d breaths in %s s, allowed: a pattern and a count that fill the step", s.Count, s.Seconds)
		}
	case record.Walk:
		if s.Intensity == "" {
			return fmt.Errorf("a walk without an intensity, allowed: light, moderate or vigorous")
		}
	case record.Exercise:
		if s.Name == "" || s.Count < 1 || s.Target == nil {
			return fmt.Errorf("an exercise without name, repetitions or effort, allowed: all of them")
		}
	case record.Squeeze:
		if s.Hand == record.Both {
			if s.Target != nil {
				return fmt.Errorf("one target for two hands, allowed: none, the loads carry both")
			}
			return nil
		}
		if s.Hand == "" || s.Target == nil || s.Low == nil || s.High == nil || s.Unit == "" || s.From == "" {
			return fmt.Errorf("a squeeze without hand, target, lines, unit or measurement, allowed: all of them")
		}
		if s.Target.Less(*s.Low) || s.High.Less(*s.Target) {
			return fmt.Errorf("found target %s outside %s to %s %s, allowed: on or between the lines", s.Target, s.Low, s.High, s.Unit)
		}
	}
	return nil
}
