package diary

import (
	"fmt"
	"maps"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// about is one thing that an entry says something of, what it says, and what counts where another entry of the day says something
// else of it and nobody can tell which is later.
type about struct{ thing, says, counts string }

// IllNow is the condition that ill and well are entries about: they say of it what condition and over say of any other.
const IllNow = "ill-now"

const neither = "neither counts, what was before goes on"

// seen are the first entries that say two different things of one thing: with them whatever a third says contradicts one of them, so that
// no entry is compared with every other.
type seen struct {
	says  [2]string
	entry [2]*record.Entry
}

func (s *seen) add(says string, e *record.Entry) {
	switch {
	case s.entry[0] == nil:
		s.says[0], s.entry[0] = says, e
	case s.entry[1] == nil && s.says[0] != says:
		s.says[1], s.entry[1] = says, e
	}
}

// other is an entry that says something else than one, and is not known to be before or behind it; nil where there is none.
func (s *seen) other(says string, than *record.Entry) *record.Entry {
	for i, e := range s.entry {
		if e != nil && s.says[i] != says && !Later(e, than) && !Later(than, e) {
			return e
		}
	}
	return nil
}

// slot is one thing at one time of day; noTime are the entries without one, and anyTime all.
type slot struct {
	thing string
	time  unit.Clock
}

const noTime, anyTime = unit.Clock(-1), unit.Clock(-2)

// contradictions finds the entries of one day that cannot both hold and of which nobody can tell which is later. Each entry is told
// of once, beside the first that it contradicts.
func (d *Diary) contradictions() {
	var had map[slot]*seen
	day := unit.Date(0)
	live := d.Live()
	for i := range live {
		e := &live[i]
		if e.Date != day || had == nil {
			day, had = e.Date, map[slot]*seen{}
		}
		for _, x := range abouts(e) {
			at := moment(*e)
			places := []slot{{x.thing, at}, {x.thing, noTime}} // with a time of its own it can only be taken for what has the same, or none
			if at == noTime {
				places = []slot{{x.thing, anyTime}}
			}
			for _, p := range places {
				if s := had[p]; s != nil && s.other(x.says, e) != nil {
					d.tell(Contradiction, e, s.other(x.says, e), fmt.Sprintf("two entries of one day say different things about %s, and nobody can tell which is later: %s", x.thing, x.counts),
						"write the time of both, or void the one that is wrong")
					break
				}
			}
			for _, t := range []unit.Clock{at, anyTime} {
				p := slot{x.thing, t}
				if had[p] == nil {
					had[p] = &seen{}
				}
				had[p].add(x.says, e)
			}
		}
	}
}

// abouts lists what an entry says something of, for the kinds of which two can contradict each other.
func abouts(e *record.Entry) (out []about) {
	one := func(thing, counts string, v any) []about { return []about{{thing, fmt.Sprint(v), counts}} }
	switch e.What {
	case record.Ill, record.Well:
		return one("the illness", "ill counts", e.What)
	case record.Begins, record.Over:
		if e.Condition.Code == IllNow {
			return one("the illness", "ill counts", map[record.Happening]record.Happening{record.Begins: record.Ill, record.Over: record.Well}[e.What])
		}
		return one("the condition "+e.Condition.Code+sideOf(e.Condition.Side), "the condition counts", e.What)
	case record.Paused, record.Resumed:
		if e.Pause == nil || e.Pause.From <= e.Date { // one that was announced is taken back by void alone
			return one("the pause", "the pause counts", e.What)
		}
	case record.Stop, record.CourseIs:
		out = one("whether a course goes on", "the stop counts", e.What)
		if e.Course != nil && !e.Course.Add {
			out = append(out, one("the course", neither, *e.Course)...)
		}
	case record.Asked:
		for _, q := range slices.Sorted(maps.Keys(e.Answers.Answers)) {
			out = append(out, about{"the answer to " + q, e.Answers.Answers[q], "yes counts"})
		}
	case record.Read:
		if e.Time != nil { // two readings of one minute are one reading
			return one("the reading at "+e.Time.String(), "both are kept", fmt.Sprint(e.Reading.Systolic, e.Reading.Diastolic, e.Reading.Pulse))
		}
	case record.GripIs:
		return one(fmt.Sprintf("the %s hand with %s", e.Grip.Hand, e.Grip.Gauge), "the lower counts", e.Grip.Trials)
	case record.MouthIs:
		return one("the inspiratory maximum", "the lower counts", e.Inspiratory.Trials)
	case record.SquatIs:
		return one("the squat test", "the lower counts", e.Squat.Stages)
	case record.WalkingIs:
		return one("the walking", "the lower counts", e.Walking.Minutes)
	case record.HasDevice:
		return one("the device "+DeviceID(e.Device), neither, DeviceSays(e.Device))
	case record.HasMedicine:
		return one("the medicine "+e.Medicine.Class+sideOf(record.Hand(e.Medicine.Name)), "each counts as a change", e.Medicine.Change)
	case record.Limited:
		return one("the limits", "the lower counts", *e.Limits)
	case record.Moved:
		return one("where the client lives", neither, *e.Move)
	case record.HoursAre:
		return one("the hours", neither, e.Hours)
	case record.ContactsAre:
		for _, k := range slices.Sorted(maps.Keys(e.Contacts)) {
			out = append(out, about{"whom to call (" + k + ")", e.Contacts[k], neither})
		}
	case record.DidTrain:
		when := ""
		if e.Trained.Time != nil {
			when = " at " + e.Trained.Time.String()
		}
		return one("the session of "+e.Trained.Protocol+when, "not trained counts", e.Trained.Outcome)
	case record.Understood:
		return one("the words of "+e.Understood.Entry+e.Understood.Row.String(), "the graver counts", e.Understood.Finding)
	}
	return out
}

// sideOf is a second word of a name, with a space before it; "" without one.
func sideOf(s record.Hand) string {
	if s == "" {
		return ""
	}
	return " " + string(s)
}

// DeviceSays is all that an entry about a device says.
func DeviceSays(d *record.Device) string {
	switch {
	case d.Gauge != nil:
		return fmt.Sprint(*d.Gauge, d.Instead)
	case d.Trainer != nil:
		return fmt.Sprint(*d.Trainer, d.Instead)
	}
	return fmt.Sprint(*d.Cuff, d.Instead)
}

// Cuff stands for the id of the cuff, which has none, for there is one.
const Cuff = "cuff"

// DeviceID is the id of a device.
func DeviceID(d *record.Device) string {
	switch {
	case d.Gauge != nil:
		return d.Gauge.ID
	case d.Trainer != nil:
		return d.Trainer.ID
	}
	return Cuff
}
