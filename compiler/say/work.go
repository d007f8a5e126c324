package say

import (
	"fmt"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Steps are the words of a session's work.
type Steps struct {
	// One line of work that is even. Holds: how many, each how long; the hand forms follow it. Between: the rest.
	Holds, HandsChange, BothHands, OneHand, Between string
	For, Sets, Breaths                              string
	In, Pause, Out, Relax                           string // phases, with seconds
	Squeeze, SqueezeBoth, Squat, Sit, Take, Rest    string
	PatternFor, PatternThen                         string
}

// Even is work in which one step returns n times, all but alike, with the same rest between: most sessions are. Hands are
// those of the first two rounds; where they differ they change every time.
type Even struct {
	Step  record.Step // the first round
	N     int
	Rest  unit.Tenths // between two rounds, the change of hands included
	Hands [2]record.Hand
}

// EvenWork reads steps as even work; ok is false where they are not, or where something stands before the first round or
// after the last.
func EvenWork(steps []record.Step) (w Even, ok bool) {
	if len(steps) == 0 || IsRest(steps[0]) || IsRest(steps[len(steps)-1]) {
		return w, false
	}
	w.Step = steps[0]
	switch w.Step.Kind {
	case record.Squeeze, record.Squat, record.Breathe:
	default:
		return w, false
	}
	w.Hands = [2]record.Hand{w.Step.Hand, w.Step.Hand}
	var rest unit.Tenths // since the last round
	for _, s := range steps {
		if IsRest(s) {
			rest += s.Seconds
			continue
		}
		switch w.N {
		case 0:
		case 1:
			w.Rest, w.Hands[1] = rest, s.Hand
		}
		if !sameWork(s, w.Step) || s.Hand != w.Hands[w.N%2] || w.N > 0 && rest != w.Rest {
			return w, false
		}
		w.N++
		rest = 0
	}
	return w, true
}

// IsRest says whether nothing is trained in a step: a rest, or the change of hands in it.
func IsRest(s record.Step) bool { return s.Kind == record.Rest || s.Kind == record.ChangeHand }

func sameWork(a, b record.Step) bool {
	samePattern := a.Pattern == nil && b.Pattern == nil || a.Pattern != nil && b.Pattern != nil && *a.Pattern == *b.Pattern
	return a.Kind == b.Kind && a.Seconds == b.Seconds && a.Count == b.Count && samePattern
}

// Work says the steps of a session in one line: the pattern where there is one, else step by step.
func (l *Language) Work(steps []record.Step) string {
	if s, ok := l.exercises(steps); ok {
		return s
	}
	w, ok := EvenWork(steps)
	switch {
	case ok && w.Step.Kind == record.Breathe:
		return l.breaths(w)
	case ok:
		return l.holds(w)
	}
	var parts []string
	for i := 0; i < len(steps); i++ {
		s := steps[i]
		if IsRest(s) {
			for i+1 < len(steps) && IsRest(steps[i+1]) {
				i++
				s.Seconds += steps[i].Seconds
			}
		}
		parts = append(parts, l.step(s))
	}
	return sentence(strings.Join(parts, ", "))
}

func (l *Language) holds(w Even) string {
	t, noun := l.Steps, l.Words.Squeeze
	if w.Step.Kind == record.Squat {
		noun = l.Words.Squat
	}
	s := fmt.Sprintf(t.Holds, l.Count(w.N, noun), l.Span(w.Step.Seconds))
	switch hand := w.Hands[0]; {
	case hand != w.Hands[1]:
		s += fmt.Sprintf(t.HandsChange, l.HandName(hand))
	case hand == record.Both:
		s += t.BothHands
	case hand != "":
		s += fmt.Sprintf(t.OneHand, l.HandName(hand))
	}
	return sentence(s + l.between(w))
}

func (l *Language) between(w Even) string {
	if w.N < 2 || w.Rest == 0 {
		return ""
	}
	return fmt.Sprintf(l.Steps.Between, l.Span(w.Rest))
}

func (l *Language) breaths(w Even) string {
	s, t := "", l.Steps
	if w.Step.Pattern != nil {
		s = l.Pattern(*w.Step.Pattern) + t.PatternThen
	}
	switch {
	case w.Step.Count == 0:
		s += fmt.Sprintf(t.For, l.Span(w.Step.Seconds))
	case w.N > 1:
		s += fmt.Sprintf(t.Sets, l.Count(w.N, l.Words.Set), l.Count(w.Step.Count, l.Words.Breath))
	default:
		s += fmt.Sprintf(t.Breaths, l.Count(w.Step.Count, l.Words.Breath), l.Span(w.Step.Seconds))
	}
	return sentence(s + l.between(w))
}

// Pattern says one breath; the phases that are not there are not said.
func (l *Language) Pattern(b record.Breath) string {
	t := l.Steps
	return phases(b, l.Tenths, t.In, t.Pause, t.Out, t.Relax)
}

// phases says the phases of one breath that are there, each with its time in a form of its own.
func phases(b record.Breath, time func(unit.Tenths) string, in, pause, out, relax string) string {
	var parts []string
	for _, x := range []struct {
		form string
		long unit.Tenths
	}{{in, b.Inhale}, {pause, b.Pause}, {out, b.Exhale}, {relax, b.Rest}} {
		if x.long > 0 {
			parts = append(parts, fmt.Sprintf(x.form, time(x.long)))
		}
	}
	return strings.Join(parts, ", ")
}

// step is one step in a line that names them all.
func (l *Language) step(s record.Step) string {
	t := l.Steps
	switch s.Kind {
	case record.Squeeze:
		if s.Hand == record.Both {
			return fmt.Sprintf(t.SqueezeBoth, l.Span(s.Seconds))
		}
		return fmt.Sprintf(t.Squeeze, l.HandName(s.Hand), l.Span(s.Seconds))
	case record.Squat:
		return fmt.Sprintf(t.Squat, l.Span(s.Seconds))
	case record.Breathe:
		if s.Pattern != nil {
			return l.Pattern(*s.Pattern) + fmt.Sprintf(t.PatternFor, l.Span(s.Seconds))
		}
		return fmt.Sprintf(t.For, l.Span(s.Seconds))
	case record.Sit:
		return fmt.Sprintf(t.Sit, l.Span(s.Seconds))
	case record.ReadingDue:
		return t.Take
	case record.Walk:
		return fmt.Sprintf(l.Companion.Walk, l.Span(s.Seconds))
	case record.Exercise:
		return l.exerciseSet(s)
	}
	return fmt.Sprintf(t.Rest, l.Span(s.Seconds))
}

// Holds says whether the steps have a squeeze, and whether they have a squat.
func Holds(steps []record.Step) (squeeze, squat bool) {
	for _, s := range steps {
		squeeze = squeeze || s.Kind == record.Squeeze
		squat = squat || s.Kind == record.Squat
	}
	return squeeze, squat
}
