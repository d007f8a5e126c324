package calendar

import (
	"errors"
	"fmt"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Every sentence that a client reads in a calendar stands in this file. The words are those of a client of seventy:
// squeeze, relax, breathe in, pause, breathe out, your reading. No sentence holds a number of its own.

const (
	calendarName = "Training sessions"
	category     = "Training"
	alarmText    = "Training. Read the entry before you begin."
)

// What an all-day entry is called; its description begins with the same words.
var otherText = map[record.OtherKind]string{
	record.Baseline: "Pressure readings, morning and evening",
	record.Final:    "Pressure readings, morning and evening",
	record.Measure:  "Measure again before the next session",
	record.Check:    "Take your readings to your prescriber",
	record.Review:   "Review meeting with your coach",
}

const (
	cancelledSession = "This session is cancelled. There is nothing to do."
	cancelledEntry   = "This entry is cancelled. There is nothing to do."

	sheetNumber = "Sheet %d."
	readMorning = "Morning and evening, before training: sit quietly for %s, take %s, a minute apart, and write every number down. No coffee, smoking or exercise in the %s before."
	checkText   = "Ask whether anything should change, and tell your coach the answer. Change nothing yourself."
	reviewText  = "Bring your readings and your questions."

	gatherTimes = "%s today, such as at %s."

	measureFirst  = "Measure again before this session. Until then: your last load: %s, do not raise it."
	measureNoLoad = "Measure again before this session. It has no load until then."
	yourLoad      = "Your load: %s."

	gateSymptoms  = "Chest pain or pressure, weakness on one side, trouble speaking, sudden loss of sight, fainting or sudden breathlessness: call %s at any reading."
	gateCall      = "the emergency number"
	gateSit       = "Sit quietly for %s, then take %s."
	gateMean      = "If a number is at one of the limits below: rest %s, take %s more %s; their mean counts."
	gateThreshold = "Upper number %s or more, or lower number %s or more: no training today, and call your clinic the same day."
	gateEffort    = "%s: no squeezes, squats or loaded breathing today. Slow breathing is allowed; it does not treat the reading. After %s such days: tell your prescriber this week."
	gateLow       = "Upper number under %s, light-headed, resting pulse over %s or newly uneven: no training; call your coach today. Light-headed, or pulse over %s: call your clinic today."
	gateShared    = "The reading before the first session of this sitting counts for this one too."

	setTrainer    = "Set the trainer to %s (%s cmH2O)."
	lastSetting   = "Measure again before this session. Until then: your last setting: %s (%s cmH2O), do not raise it."
	slideDown     = "Slide down the wall until your knees make about %s degrees."
	slideHeels    = "Put your heels %s cm from the wall and slide down until your knees make about %s degrees."
	squatRate     = "Your heart rate should be %s to %s."
	squatEffort   = "Squat to an effort of %s out of 10."
	supervised    = "Your coach is with you in this session."
	firstSqueeze  = "If you cannot hold the first squeeze for %s: stop for today, and call your coach%s."
	maternityGate = "If the upper number is %s or more, or the lower number is %s or more: no training; call your maternity unit today. At %s or more, or %s or more: call %s."

	measureGrip  = "Only if your coach has taught you: squeeze the gauge as hard as you can %d times with each hand, %s each, breathing out, %s between. Write every number down and send it to your coach. If you were not taught, your coach measures."
	measureCoach = "Your coach measures with you; do not test yourself alone."

	breatheLoaded    = "Breathe in against the load, breathe out gently; never hold your breath."
	breatheSqueezing = "Keep breathing; never hold your breath while squeezing."
	breatheSquatting = "Keep breathing; never hold your breath while squatting."
	sitAtEnd         = "Then sit for %s before you get up."
)

// sessionTitle is the SUMMARY of a session up to the number of its week.
func sessionTitle(title string, s record.Status) string { return cancelledTitle(title, s) + ", week " }

func cancelledTitle(title string, s record.Status) string {
	if s == record.Cancelled {
		return "Cancelled: " + title
	}
	return title
}

// describe is the description of a session without its cautions, line by line. A cancelled session says only that: its
// old load must not be trained by mistake.
func describe(p *record.Plan, k *record.Kind, status record.Status, at place, call string) ([]string, error) {
	if len(k.Steps) == 0 {
		return nil, errors.New("it has no steps, allowed: at least one")
	}
	if k.Modality == record.Handgrip && len(k.Loads) == 0 {
		return nil, errors.New("it is handgrip without a load, allowed: a load for each hand that squeezes")
	}
	if status == record.Cancelled {
		return []string{cancelledSession}, nil
	}
	var out []string
	if at.supervised {
		out = append(out, supervised)
	}
	out = append(out, gateIf(p, at, call)...) // whoever must not train reads no load
	switch {
	case status == record.Provisional && k.NoNumber:
		return append(out, measureNoLoad), nil
	case k.Modality == record.Inspiratory || k.Modality == record.WallSquat:
		out = append(out, setLoad(k, status)...)
	case len(k.Loads) > 0 && status == record.Provisional:
		out = append(out, fmt.Sprintf(measureFirst, loads(k.Loads, false)))
	case len(k.Loads) > 0:
		out = append(out, fmt.Sprintf(yourLoad, loads(k.Loads, true)))
	case status == record.Provisional && k.Modality != record.SlowBreathing:
		out = append(out, measureNoLoad)
	}
	out = append(out, workLine(k.Steps))
	if at.first {
		coach := ""
		if p.Coach != "" {
			coach = ", " + p.Coach
		}
		out = append(out, fmt.Sprintf(firstSqueeze, span(unit.Seconds(p.Sitting.FirstHoldSeconds)), coach))
	}
	if k.Modality == record.Inspiratory {
		out = append(out, breatheLoaded)
	}
	squeeze, squat := holds(k.Steps)
	if squeeze {
		out = append(out, breatheSqueezing)
	}
	if squat {
		out = append(out, breatheSquatting)
	}
	if at.end {
		out = append(out, fmt.Sprintf(sitAtEnd, span(unit.Seconds(p.Sitting.EndSeconds))))
	}
	return out, nil
}

func holdsText(w even) string {
	noun := "squeeze"
	if w.step.Kind == record.Squat {
		noun = "wall squat"
	}
	s := count(w.n, noun) + " of " + span(w.step.Seconds)
	switch hand := w.hands[0]; {
	case hand != w.hands[1]:
		s += ", " + string(hand) + " hand first, changing hands"
	case hand == record.Both:
		s += " with both hands at once"
	case hand != "":
		s += " with the " + string(hand) + " hand"
	}
	return sentence(s + between(w))
}

func between(w even) string {
	if w.n < 2 || w.rest == 0 {
		return ""
	}
	return "; relax " + span(w.rest) + " between"
}

func breathsText(w even) string {
	s := ""
	if w.step.Pattern != nil {
		s = pattern(*w.step.Pattern) + ": "
	}
	switch {
	case w.step.Count == 0:
		s += "breathe for " + span(w.step.Seconds)
	case w.n > 1:
		s += count(w.n, "set") + " of " + count(w.step.Count, "breath")
	default:
		s += count(w.step.Count, "breath") + " in " + span(w.step.Seconds)
	}
	return sentence(s + between(w))
}

// pattern says one breath; the phases that are not there are not said.
func pattern(b record.Breath) string {
	parts := []string{fmt.Sprintf("breathe in %v s", b.Inhale)}
	if b.Pause > 0 {
		parts = append(parts, fmt.Sprintf("pause %v s", b.Pause))
	}
	parts = append(parts, fmt.Sprintf("breathe out %v s", b.Exhale))
	if b.Rest > 0 {
		parts = append(parts, fmt.Sprintf("relax %v s", b.Rest))
	}
	return strings.Join(parts, ", ")
}

func stepText(s record.Step) string {
	switch s.Kind {
	case record.Squeeze:
		if s.Hand == record.Both {
			return "squeeze with both hands for " + span(s.Seconds)
		}
		return strings.TrimSpace("squeeze "+string(s.Hand)) + " for " + span(s.Seconds)
	case record.Squat:
		return "wall squat for " + span(s.Seconds)
	case record.Breathe:
		if s.Pattern != nil {
			return pattern(*s.Pattern) + ", for " + span(s.Seconds)
		}
		return "breathe for " + span(s.Seconds)
	case record.Sit:
		return "sit quietly for " + span(s.Seconds)
	case record.ReadingDue:
		return "take a reading"
	}
	return "relax " + span(s.Seconds)
}
