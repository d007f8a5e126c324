package diary

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"isocue.example/compiler/record"
)

// Sentence says what an entry says, as a trainer would say it aloud; without the client and without a full stop.
func Sentence(e *record.Entry) string {
	day := e.Date.String()
	if e.Time != nil {
		day += " at " + e.Time.String()
	}
	switch e.What {
	case record.Ill:
		return "ill from " + day + ": " + e.Words
	case record.Well:
		return "well again on " + day
	case record.Felt:
		return "felt or seen on " + day + ": " + e.Words
	case record.Asked:
		return "asked on " + day + ": " + answered(e.Answers.Answers)
	case record.Read:
		return readingSays(e.Reading) + " on " + day
	case record.GripIs:
		return fmt.Sprintf("the %s hand reached %s %s with %s on %s", e.Grip.Hand, e.Grip.Score(), e.Grip.Unit, e.Grip.Gauge, day)
	case record.MouthIs:
		return fmt.Sprintf("the inspiratory maximum was %s %s on %s", e.Inspiratory.Best(), e.Inspiratory.Unit, day)
	case record.SquatIs:
		return fmt.Sprintf("a squat test of %s on %s", counted(len(e.Squat.Stages), "stage"), day)
	case record.WalkingIs:
		return fmt.Sprintf("walks %d minutes in a usual week, asked on %s", e.Walking.Minutes, day)
	case record.HasDevice:
		return deviceSentence(e.Device) + " from " + day
	case record.HasMedicine:
		return fmt.Sprintf("%s %s on %s", strings.TrimSpace(e.Medicine.Class+" "+e.Medicine.Name), e.Medicine.Change, day)
	case record.Begins:
		return e.Condition.Code + sideOf(e.Condition.Side) + " from " + day
	case record.Over:
		return e.Condition.Code + sideOf(e.Condition.Side) + " is over from " + day
	case record.Cleared:
		return fmt.Sprintf("cleared by a clinician for %s until %s", e.Clearance.Gate, e.Clearance.Until)
	case record.Limited:
		return fmt.Sprintf("the prescriber's limits are %d/%d mmHg from %s", e.Limits.Systolic, e.Limits.Diastolic, day)
	case record.Moved:
		return fmt.Sprintf("lives in %s from %s, emergency number %s", e.Move.Zone, day, e.Move.Emergency)
	case record.HoursAre:
		return fmt.Sprintf("can train in %s of the week from %s", counted(len(e.Hours), "stretch"), day)
	case record.ContactsAre:
		return fmt.Sprintf("whom to call from %s: %s", day, strings.Join(slices.Sorted(maps.Keys(e.Contacts)), ", "))
	case record.Paused:
		if e.Pause.To == 0 {
			return fmt.Sprintf("no training from %s until resume", e.Pause.From)
		}
		return fmt.Sprintf("no training from %s to %s", e.Pause.From, e.Pause.To)
	case record.Resumed:
		return "trains again from " + day
	case record.Lighter:
		return "one step down in " + e.Protocol + " from " + day
	case record.CourseIs:
		return fmt.Sprintf("a course of %s from %s", strings.Join(e.Course.Protocols, " and "), e.Course.Start)
	case record.Stop:
		return "the course ends on " + day
	case record.DidTrain:
		return fmt.Sprintf("%s on %s: %s", e.Trained.Protocol, day, e.Trained.Outcome)
	case record.Taught:
		return fmt.Sprintf("taught %s on %s", e.Modality, day)
	case record.Told:
		reached := "was reached"
		if !e.Told.Reached {
			reached = "was not reached"
		}
		return fmt.Sprintf("%s %s on %s", e.Told.Who, reached, day)
	case record.Understood:
		return "words read as " + e.Understood.Finding + " on " + day
	}
	return "entry " + e.Void.Entry + " was written in error: " + e.Void.Why
}

// answered says the answers that are not no, and how many are.
func answered(answers map[string]string) string {
	var out []string
	no := 0
	for _, q := range slices.Sorted(maps.Keys(answers)) {
		if answers[q] == "no" {
			no++
		} else {
			out = append(out, answers[q]+" to "+q)
		}
	}
	if no > 0 {
		out = append(out, fmt.Sprintf("no to %s", counted(no, "question")))
	}
	return strings.Join(out, ", ")
}

func readingSays(r *record.LogReading) string {
	out := fmt.Sprintf("%d/%d mmHg", r.Systolic, r.Diastolic)
	if r.Pulse > 0 {
		out += fmt.Sprintf(", pulse %d", r.Pulse)
	}
	if r.Standing {
		out += ", standing"
	}
	if r.Clinic {
		return out + ", in the clinic"
	}
	return out + ", at home"
}

func deviceSentence(d *record.Device) string {
	out := "the gauge " + DeviceID(d)
	if d.Trainer != nil {
		out = "the trainer " + DeviceID(d)
	} else if d.Cuff != nil {
		out = "another cuff"
	}
	if d.Instead != "" {
		out += " in place of " + d.Instead
	}
	return out
}

func counted(n int, what string) string {
	switch {
	case n == 1:
		return "1 " + what
	case strings.HasSuffix(what, "ch"):
		return fmt.Sprintf("%d %ses", n, what)
	}
	return fmt.Sprintf("%d %ss", n, what)
}
