package calendar

import (
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// even is work in which one step returns n times, all but alike, with the same rest between: most sessions are. hands
// are those of the first two rounds; where they differ they change every time.
type even struct {
	step  record.Step // the first round
	n     int
	rest  unit.Tenths // between two rounds, the change of hands included
	hands [2]record.Hand
}

// evenWork reads steps as even work; ok is false where they are not, or where something stands before the first round or
// after the last.
func evenWork(steps []record.Step) (w even, ok bool) {
	if len(steps) == 0 || isRest(steps[0]) || isRest(steps[len(steps)-1]) {
		return w, false
	}
	w.step = steps[0]
	switch w.step.Kind {
	case record.Squeeze, record.Squat, record.Breathe:
	default:
		return w, false
	}
	w.hands = [2]record.Hand{w.step.Hand, w.step.Hand}
	var rest unit.Tenths // since the last round
	for _, s := range steps {
		if isRest(s) {
			rest += s.Seconds
			continue
		}
		switch w.n {
		case 0:
		case 1:
			w.rest, w.hands[1] = rest, s.Hand
		}
		if !sameWork(s, w.step) || s.Hand != w.hands[w.n%2] || w.n > 0 && rest != w.rest {
			return w, false
		}
		w.n++
		rest = 0
	}
	return w, true
}

func isRest(s record.Step) bool { return s.Kind == record.Rest || s.Kind == record.ChangeHand }

func sameWork(a, b record.Step) bool {
	samePattern := a.Pattern == nil && b.Pattern == nil || a.Pattern != nil && b.Pattern != nil && *a.Pattern == *b.Pattern
	return a.Kind == b.Kind && a.Seconds == b.Seconds && a.Count == b.Count && samePattern
}

// workLine says the steps of a session in one line: the pattern where there is one, else step by step.
func workLine(steps []record.Step) string {
	w, ok := evenWork(steps)
	switch {
	case ok && w.step.Kind == record.Breathe:
		return breathsText(w)
	case ok:
		return holdsText(w)
	}
	var parts []string
	for i := 0; i < len(steps); i++ {
		s := steps[i]
		if isRest(s) {
			for i+1 < len(steps) && isRest(steps[i+1]) {
				i++
				s.Seconds += steps[i].Seconds
			}
		}
		parts = append(parts, stepText(s))
	}
	return sentence(strings.Join(parts, ", "))
}

// holds says whether the steps have a squeeze, and whether they have a squat.
func holds(steps []record.Step) (squeeze, squat bool) {
	for _, s := range steps {
		squeeze = squeeze || s.Kind == record.Squeeze
		squat = squat || s.Kind == record.Squat
	}
	return squeeze, squat
}
