package say

import (
	"fmt"

	"isocue.example/compiler/record"
)

// Sheet is what a client's sheet says beside what the calendar says too.
type Sheet struct {
	Title, ForName, ForID                                                                      string
	Number, Valid, Destroy, Entries, OwnCalendar                                               string
	Call, AnyReading, Whom, Emergency, EmergencyFrom, Coach, Clinic, Prescriber, MaternityUnit string
	Weeks, Week, What, When, Long, SetTo, Nothing                                              string
	Also, Every, LastLoad, NoLoad                                                              string
	Gate, GateFirst                                                                            string
	EachStep, SetFirst                                                                         string
	PictureOf, OneBreath, Key, From, HowFar                                                    string
	Troubles                                                                                   string
	Expect, Know                                                                               string
	Log, LogNote, LogDay, LogReading, LogSecond                                                string
	LogDone, LogHow, LogWalk, LogWeek, LogOutcome                                              string
	LogNumbers                                                                                 string
	Sound, SoundAlso, Page                                                                     string
	Ended, EndedCall, EndedDelete, Held                                                        string
	MinuteShort, SecondShort, OneWeek, ManyWeeks                                               string
	Around                                                                                     string
	LoadTrainer, LoadEffort, LoadHeels, LoadKnees                                              string

	// One sentence for each thing that can go another way: when, and what to do.
	CannotHold, CannotHoldDo, CannotSquat, CannotSquatDo, Missed, MissedDo, Gap, GapDo, Disagree, DisagreeDo, Medicine, MedicineDo string

	// One sentence a step.
	Squeeze, SqueezeLoad, SqueezeBoth, SqueezeBothLoad, Squat, Change, Rest, Breathe, BreatheLoaded, BreatheFree, BreatheFor, Sit, GoOn string
	InFor, PauseFor, OutFor, RelaxFor                                                                                                   string
	// The same steps in a table.
	RowSqueeze, RowBoth, RowSquat, RowChange, RowRest, RowBreathe, RowBreaths, RowSit string
}

// StepSentence is one step as a sentence. With numbers it says the load of a squeeze, else that of the week.
func (l *Language) StepSentence(k *record.Kind, s record.Step, numbers bool) string {
	t, long := l.Sheet, l.Span(s.Seconds)
	switch s.Kind {
	case record.Squeeze:
		switch {
		case s.Hand == record.Both && numbers:
			return fmt.Sprintf(t.SqueezeBoth, long, l.Loads(k.Loads, true))
		case s.Hand == record.Both:
			return fmt.Sprintf(t.SqueezeBothLoad, long)
		case numbers:
			return fmt.Sprintf(t.Squeeze, l.HandName(s.Hand), long, l.target(s))
		}
		return fmt.Sprintf(t.SqueezeLoad, l.HandName(s.Hand), long)
	case record.Squat:
		return fmt.Sprintf(t.Squat, long)
	case record.ChangeHand:
		return fmt.Sprintf(t.Change, l.HandName(s.Hand), long)
	case record.Breathe:
		return l.breatheSentence(k, s)
	case record.Sit:
		return fmt.Sprintf(t.Sit, long)
	case record.Walk:
		return sentence(fmt.Sprintf(l.Companion.Walk, long))
	case record.Exercise:
		return sentence(l.exerciseSet(s))
	}
	return fmt.Sprintf(t.Rest, long)
}

// target is what one squeeze is set to: 12 kgf (10 to 14).
func (l *Language) target(s record.Step) string {
	if s.Target == nil {
		return ""
	}
	out := l.Number(*s.Target) + " " + s.Unit
	if s.Low != nil && s.High != nil && s.Low.Less(*s.High) {
		out += fmt.Sprintf(l.Session.YourRange, l.Number(*s.Low), l.Number(*s.High))
	}
	return out
}

// Target is what one squeeze is set to, for a line of its own.
func (l *Language) Target(s record.Step) string { return l.target(s) }

func (l *Language) breatheSentence(k *record.Kind, s record.Step) string {
	t, long := l.Sheet, l.Span(s.Seconds)
	times := l.Count(s.Count, l.Words.Time)
	switch {
	case s.Count == 0:
		return fmt.Sprintf(t.BreatheFor, long)
	case s.Pattern == nil:
		return fmt.Sprintf(t.BreatheFree, times, long)
	case k.Modality == record.Inspiratory:
		return fmt.Sprintf(t.BreatheLoaded, l.phases(*s.Pattern), times, long)
	}
	return Upper(fmt.Sprintf(t.Breathe, l.phases(*s.Pattern), times, long))
}

// phases is one breath with its seconds spelled out.
func (l *Language) phases(b record.Breath) string {
	t := l.Sheet
	return phases(b, l.Span, t.InFor, t.PauseFor, t.OutFor, t.RelaxFor)
}

// StepRow is one step in a table beside a drawing.
func (l *Language) StepRow(s record.Step) string {
	t := l.Sheet
	switch s.Kind {
	case record.Squeeze:
		if s.Hand == record.Both {
			return t.RowBoth
		}
		return fmt.Sprintf(t.RowSqueeze, l.HandName(s.Hand))
	case record.Squat:
		return t.RowSquat
	case record.ChangeHand:
		return fmt.Sprintf(t.RowChange, l.HandName(s.Hand))
	case record.Breathe:
		if s.Count > 0 {
			return fmt.Sprintf(t.RowBreaths, l.Count(s.Count, l.Words.Breath))
		}
		return t.RowBreathe
	case record.Sit:
		return t.RowSit
	case record.Walk:
		return l.Companion.RowWalk
	case record.Exercise:
		return l.exerciseSet(s)
	}
	return t.RowRest
}

// Weeks is a run of weeks: 1, or 2 to 8.
func (l *Language) Weeks(from, to int) string {
	if from == to {
		return fmt.Sprint(from)
	}
	return fmt.Sprint(from) + l.Words.To + fmt.Sprint(to)
}

// Minutes is a length in whole minutes, rounded up: 29 min.
func (l *Language) Minutes(seconds int) string {
	return fmt.Sprintf(l.Sheet.MinuteShort, (seconds+59)/60)
}

// Load is what a kind is set to, in a few words: right 12 kgf, left 10.5 kgf; 4 (40 cmH2O); 125 degrees, heels 44 cm.
func (l *Language) Load(k *record.Kind) string {
	t := l.Sheet
	if len(k.Loads) == 0 {
		return l.companionLoad(k)
	}
	d := k.Loads[0]
	switch {
	case k.Modality == record.Inspiratory:
		return fmt.Sprintf(t.LoadTrainer, d.Label, l.Number(d.Set))
	case k.Modality == record.WallSquat && d.Unit == "effort":
		return fmt.Sprintf(t.LoadEffort, l.Number(d.Set))
	case k.Modality == record.WallSquat && d.Heel.Sign() > 0:
		return fmt.Sprintf(t.LoadHeels, l.Number(d.Set), l.Number(d.Heel))
	case k.Modality == record.WallSquat:
		return fmt.Sprintf(t.LoadKnees, l.Number(d.Set))
	}
	return l.Loads(k.Loads, false)
}
