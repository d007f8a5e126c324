package say

import (
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Companion is what is said of walks and of exercises.
type Companion struct {
	Walk, RowWalk, WalkEnds  string
	Talk, TalkShort          map[string]string   // by intensity: how fast, by the talk test; in a few words
	Exercise                 map[string]Movement // by name
	Effort                   string              // how hard a set is
	Each, EachOne, EachRest  string              // one line for all exercises: sets of repetitions; of one set; the rest
	Sets, One, Rest          string              // one sentence an exercise; of one set; the rest after it
	Repetition               Noun
	BreatheExercises, RowSet string
}

// Movement is an exercise: its name, as what a client does, and how it is done.
type Movement struct{ Name, How string }

var englishCompanion = Companion{
	Walk: "walk for %s", RowWalk: "walk", WalkEnds: "Begin slowly and end slowly. If you cannot talk any more, walk slower.",
	Talk: map[string]string{
		"light":    "Walk so easily that you could sing.",
		"moderate": "Walk so that you can talk but not sing.",
		"vigorous": "Walk so that you can say only a few words at a time.",
	},
	TalkShort: map[string]string{"light": "you could sing", "moderate": "you can talk, not sing", "vigorous": "a few words at a time"},
	Exercise: map[string]Movement{
		"chair-rise":   {"Rise from a chair", "Sit on a firm chair that stands against a wall, arms crossed. Rise, then sit down again slowly."},
		"wall-push-up": {"Push off a wall", "Stand an arm's length from a wall, hands on it at the height of your chest. Bend your arms, then push yourself back."},
		"heel-raise":   {"Rise on your toes", "Hold on to the back of a chair. Rise on your toes, then sink down slowly."},
		"step-up":      {"Step up", "Hold the rail. Step up on the lowest stair and down again; begin with the other leg each time."},
		"bridge":       {"Lift your hips", "Lie on your back, knees bent, feet flat. Lift your hips, then lower them slowly."},
		"bag-row":      {"Pull a bag up", "Lean on a table with one hand, a bag in the other. Pull the bag up to your hip, then let it down slowly; half of the times with each arm."},
	},
	Effort: "Each set ends at an effort of about %s out of 10: you could do several more. If it is harder, do fewer.",
	Each:   "each exercise: %s of %s", EachOne: "each exercise: %s", EachRest: "; relax %s after each set",
	Sets: "%s: %s of %s.", One: "%s: %s.", Rest: "Relax for %s after each set.",
	Repetition:       Noun{"repetition", "repetitions"},
	BreatheExercises: "Breathe out while you push, pull or rise, and breathe in on the way back; never hold your breath.",
	RowSet:           "%s: %s",
}

// EvenExercises reads steps as sets of exercises that are all alike, with the same rest between any two; ok is false where they
// are not. Sets is of each exercise.
func EvenExercises(steps []record.Step) (names []string, sets, repetitions int, rest unit.Tenths, ok bool) {
	count := map[string]int{}
	for i, s := range steps {
		switch {
		case s.Kind == record.Rest && i > 0 && i < len(steps)-1:
			if rest != 0 && rest != s.Seconds {
				return nil, 0, 0, 0, false
			}
			rest = s.Seconds
		case s.Kind == record.Exercise && (repetitions == 0 || s.Count == repetitions):
			if count[s.Name] == 0 {
				names = append(names, s.Name)
			}
			repetitions = s.Count
			count[s.Name]++
		default:
			return nil, 0, 0, 0, false
		}
	}
	for _, n := range names {
		if sets != 0 && sets != count[n] {
			return nil, 0, 0, 0, false
		}
		sets = count[n]
	}
	return names, sets, repetitions, rest, sets > 0
}

// exercises is all exercises in one line; ok is false where the steps are no even sets.
func (l *Language) exercises(steps []record.Step) (string, bool) {
	t := l.Companion
	_, sets, n, rest, ok := EvenExercises(steps)
	if !ok {
		return "", false
	}
	s := fmt.Sprintf(t.EachOne, l.Count(n, t.Repetition))
	if sets > 1 {
		s = fmt.Sprintf(t.Each, l.Count(sets, l.Words.Set), l.Count(n, t.Repetition))
	}
	if rest > 0 {
		s += fmt.Sprintf(t.EachRest, l.Span(rest))
	}
	return sentence(s), true
}

// ExerciseSentences is one sentence an exercise and one for the rest; nil where the steps are no even sets.
func (l *Language) ExerciseSentences(steps []record.Step) (out []string) {
	t := l.Companion
	names, sets, n, rest, ok := EvenExercises(steps)
	if !ok {
		return nil
	}
	for _, name := range names {
		times := l.Count(n, t.Repetition)
		if sets > 1 {
			out = append(out, fmt.Sprintf(t.Sets, l.exercise(name), l.Count(sets, l.Words.Set), times))
		} else {
			out = append(out, fmt.Sprintf(t.One, l.exercise(name), times))
		}
	}
	if rest > 0 {
		out = append(out, fmt.Sprintf(t.Rest, l.Span(rest)))
	}
	return out
}

func (l *Language) exercise(name string) string {
	if m, ok := l.Companion.Exercise[name]; ok {
		return m.Name
	}
	return name
}

// exerciseSet is one set in a list of steps.
func (l *Language) exerciseSet(s record.Step) string {
	return fmt.Sprintf(l.Companion.RowSet, l.exercise(s.Name), l.Count(s.Count, l.Companion.Repetition))
}

// companion says how hard a walk or a set is and how each exercise is done.
func (l *Language) companion(k *record.Kind) []string {
	return append(l.hardness(k), l.movements(k)...)
}

func (l *Language) hardness(k *record.Kind) (out []string) {
	for _, s := range k.Steps {
		switch {
		case s.Kind == record.Walk:
			out = append(out, l.Companion.Talk[s.Intensity], l.Companion.WalkEnds)
		case s.Kind == record.Exercise && s.Target != nil && len(out) == 0:
			out = append(out, fmt.Sprintf(l.Companion.Effort, l.Number(*s.Target)))
		}
	}
	return out
}

func (l *Language) movements(k *record.Kind) (out []string) {
	said := map[string]bool{}
	for _, s := range k.Steps {
		if m, ok := l.Companion.Exercise[s.Name]; ok && s.Kind == record.Exercise && !said[s.Name] {
			said[s.Name] = true
			out = append(out, fmt.Sprintf(l.Companion.RowSet, m.Name, m.How))
		}
	}
	return out
}

// InShort says a walk or even sets of exercises as a sheet does that has many weeks of them: how hard, all of the work in one
// line, and how each exercise is done. ok is false for everything else.
func (l *Language) InShort(k *record.Kind) (hard []string, work string, how []string, ok bool) {
	if len(k.Steps) == 1 && k.Steps[0].Kind == record.Walk {
		work, ok = sentence(fmt.Sprintf(l.Companion.Walk, l.Span(k.Steps[0].Seconds))), true
	} else {
		work, ok = l.exercises(k.Steps)
	}
	if !ok {
		return nil, "", nil, false
	}
	return l.hardness(k), work, l.movements(k), true
}

// companionLoad is how hard a walk or a set is, in a few words.
func (l *Language) companionLoad(k *record.Kind) string {
	for _, s := range k.Steps {
		switch {
		case s.Kind == record.Walk:
			return l.Companion.TalkShort[s.Intensity]
		case s.Kind == record.Exercise && s.Target != nil:
			return fmt.Sprintf(l.Sheet.LoadEffort, l.Number(*s.Target))
		}
	}
	return l.Sheet.Nothing
}
