package followup

import (
	"fmt"
	"strings"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/unit"
)

// leftWords says which readings stand in no window, and why.
func leftWords(f progress.Followed) string {
	var parts []string
	for _, x := range []struct {
		n   int
		why string
	}{{f.Left.FirstDay, "of a window's first day, which runs high"}, {f.Left.OtherArm, "of the other arm"}, {f.Left.AfterSession, "soon after a session"},
		{f.Left.Clinic, "taken in the clinic"}, {f.Left.Standing, "taken standing"}} {
		if x.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", x.n, x.why))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "left out of the means: " + strings.Join(parts, ", ")
}

// changeWords says what the change is and what it is not, a sentence each.
func changeWords(f progress.Followed) (out []string) {
	c := f.Change
	if c == nil {
		return nil
	}
	var other []string
	for _, o := range c.Other {
		other = append(other, fmt.Sprintf("%s with %s each", o.MmHg.Text(1), weeks(o.Weeks)))
	}
	out = append(out,
		fmt.Sprintf("change: %s systolic (%s to %s), %s diastolic", plusMinus(c.Systolic), plusMinus(c.Low), plusMinus(c.High), plusMinus(c.Diastolic)),
		fmt.Sprintf("two means of one person, of %s each, lie up to %s mmHg apart by themselves in 95 of 100 comparisons (%s)", weeks(f.Weeks), c.Limit.Text(1), strings.Join(other, ", ")))
	if c.Noise != nil {
		out = append(out, fmt.Sprintf("noise inside these weeks: %s to %s; it tells nothing about other weeks", plusMinus(c.Noise.Low), plusMinus(c.Noise.High)))
	}
	if s := selectionWords(f); s != "" {
		out = append(out, s)
	}
	return append(out, "what caused a change cannot be told from readings")
}

// selectionWords says how far a baseline that was chosen for being high falls by itself, with both assumptions.
func selectionWords(f progress.Followed) string {
	if f.Change == nil || f.Change.Selected == nil {
		return ""
	}
	return fmt.Sprintf("if the baseline was chosen because it was high, about %s could come from that choice alone (assumed: a usual mean of %s; in one cohort %s of the distance to it remained over %d months)",
		mmHg(*f.Change.Selected), f.Figures.AssumedMean, f.Figures.Remains, f.Figures.RemainsMonths)
}

func weeks(n int) string {
	if n == 1 {
		return "1 week"
	}
	return fmt.Sprintf("%d weeks", n)
}

// tellWords is why somebody is told, with how often it was found.
func tellWords(t progress.Tell) string {
	if t.Times > 1 {
		return fmt.Sprintf("%s (%d times, this is the newest)", t.Why, t.Times)
	}
	return t.Why
}

// conditionEntry is the entry of a client record that closes training since a day.
func conditionEntry(since unit.Date) string {
	return fmt.Sprintf("conditions: [{code: alert-in-log, since: %s}]", since)
}

// incidentWords is an incident on one line: day, what, session, load, who was told.
func incidentWords(x progress.Incident) string {
	load, told := "", "nobody is named as told"
	if x.Load != "" {
		load = ", " + x.Load
	}
	if x.Told != "" {
		told = "told: " + x.Told
	}
	return fmt.Sprintf("%s %s, %s%s; %s", x.At.Date(), x.What, x.Session, load, told)
}

// nextWords says what to know about the next step.
func nextWords(f progress.Followed) (out []string) {
	if f.Next.Newer {
		out = append(out, "the record has a newer measurement than the loads of the plan: compile again")
	}
	if l := f.Next.Back; l != nil {
		switch {
		case l.Set.IsZero():
			out = append(out, fmt.Sprintf("the %s hand lets go early, after %s s at the shortest", l.Hand, l.Held))
		case l.Load.IsZero():
			out = append(out, fmt.Sprintf("the %s hand lets go early, after %s s at the shortest; at %s %s its gauge has no lower step: the gauge is too coarse", l.Hand, l.Held, l.Set, l.Unit))
		default:
			out = append(out, fmt.Sprintf("the %s hand lets go early, after %s s at the shortest: set it from %s to %s %s (%s) for two weeks, and leave the other hand as it is", l.Hand, l.Held, l.Set, l.Load, l.Unit, l.Share.Percent()))
		}
	}
	return out
}

// partialWords is what the diary alone tells of sessions.
func partialWords(t *progress.Training) string {
	return fmt.Sprintf("sessions: no session log was given; the diary tells of %d done, and nothing is known of the others\n", t.Done)
}

// mostReached is how many readings at the line of the gate are named.
const mostReached = 5

// diaryWords is what the diary says that no table shows, and what a follow-up cannot take from it.
func diaryWords(f progress.Followed) (out []string) {
	if high := f.Reached(); len(high) > 0 {
		out = append(out, reachedWords(high, mostReached))
	}
	for _, m := range f.Medicines {
		out = append(out, "medicine: "+m.Says)
	}
	e := f.Entered
	if e == nil || e.Entries == 0 {
		return out
	}
	for _, h := range e.Held {
		out = append(out, "training is held: "+h.Says+"; "+h.Opens)
	}
	if e.Course != nil {
		out = append(out, progress.Asks(e.Course)+", and the plan that was followed does not have it")
	}
	if e.Strange > 0 {
		why := "the plan has no such session on its day"
		if f.Plan == nil {
			why = "name the plan with --plan"
		}
		out = append(out, fmt.Sprintf("NOT COUNTED: sessions that the diary names: %d; %s", e.Strange, why))
	}
	return append(out, fmt.Sprintf("diary: %s, %d entries; %d readings and %d sessions of it are counted here; what its conditions, measurements, limits and clearances do to the plan, isocue today says", e.File, e.Entries, e.Readings, e.Trained))
}

// reachedWords are the newest sittings that reached the line of the gate.
func reachedWords(high []progress.Sitting, most int) string {
	var parts []string
	for _, s := range high[:min(len(high), most)] {
		parts = append(parts, pair(s.Systolic, s.Diastolic)+" on "+s.At.Date().String())
	}
	more := ""
	if n := len(high) - most; n > 0 {
		more = fmt.Sprintf(", and %d more", n)
	}
	return "at or over the line of the gate: " + strings.Join(parts, ", ") + more
}
