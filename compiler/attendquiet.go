package compiler

import (
	"fmt"
	"maps"
	"slices"

	"isocue.example/compiler/history"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// due is a measurement whose day has come.
func (a *attending) due() {
	if a.Plan == nil || !a.runs() {
		return
	}
	for _, m := range a.out {
		if m.Need == progress.TestDue {
			return
		}
	}
	healed := a.healed()
	for _, side := range slices.Sorted(maps.Keys(healed)) {
		a.add(progress.Matter{Need: progress.TestDue, Says: fmt.Sprintf("the %s hand has healed by %s and was not measured since; its load is that of before", side, healed[side]),
			Act: "measure it with the client, enter it, and make a new plan", On: healed[side]})
	}
	var missed unit.Date
	for _, o := range a.Plan.Others {
		if o.What == record.Measure && o.Status != record.Cancelled && o.Date <= a.today && a.unmeasured(o.Date) {
			missed = o.Date
		}
	}
	if missed != 0 {
		a.add(progress.Matter{Need: progress.TestDue, Says: fmt.Sprintf("measure again, due on %s", missed), Act: "measure, enter it, and make a new plan", On: missed})
	}
}

// healed are the hands that may be trained again by an entry, and were not measured since that day; nil without grip sessions to come.
func (a *attending) healed() map[record.Hand]unit.Date {
	out := map[record.Hand]unit.Date{}
	for _, e := range a.Diary.Live() {
		switch {
		case e.What == record.Over && e.Condition.Side != "" && e.Date <= a.today:
			out[e.Condition.Side] = e.Date
		case e.Grip != nil:
			delete(out, e.Grip.Hand)
		}
	}
	if a.next(func(s record.Session) bool { return a.Plan.Kinds[s.Kind].Modality == record.Handgrip }) == 0 {
		return nil
	}
	return out
}

// unmeasured says whether sessions to come wait for a measurement of a day or later that was not made since.
func (a *attending) unmeasured(since unit.Date) bool {
	cl := a.stands()
	return a.next(func(s record.Session) bool {
		if s.Status != record.Provisional || s.Start.Date() < since {
			return false
		}
		k := a.Plan.Kinds[s.Kind]
		missing := slices.ContainsFunc(k.Loads, func(d record.Dose) bool { return history.Measured(cl, k.Modality, d.Hand, a.today) < since })
		return missing || len(k.Loads) == 0
	}) != 0
}

// rest is what is left to say of a client who needs nothing else: silent, over, or nothing.
func (a *attending) rest() {
	if a.Plan == nil {
		if len(a.out) == 0 {
			a.add(progress.Matter{Need: progress.Nothing, Says: "has no plan"})
		}
		return
	}
	if !a.runs() {
		last := a.Plan.Stopped
		for _, s := range a.Plan.Sessions {
			if s.Status != record.Cancelled {
				last = max(last, s.Start.Date())
			}
		}
		// The course stays open where it is held, and what was cancelled may come back.
		held := len(a.Plan.Holds) > 0 || slices.ContainsFunc(a.Plan.Sessions, func(s record.Session) bool { return s.Status == record.Cancelled && s.Start.Date() > a.today })
		for _, m := range a.out {
			held = held || m.Need == progress.OnHold || m.Need == progress.Over || m.Need == progress.NotTold || m.Need == progress.HandOut
		}
		switch {
		case a.Plan.Stopped != 0:
			a.add(progress.Matter{Need: progress.Over, Says: fmt.Sprintf("the programme was stopped on %s", a.Plan.Stopped), On: a.Plan.Stopped})
		case !held:
			a.add(progress.Matter{Need: progress.Over, Says: fmt.Sprintf("the course ended on %s", last), Act: "take readings, and say how it goes on: isocue enter RECORD course PROTOCOL --start DATE", On: last})
		case len(a.out) == 0:
			a.add(progress.Matter{Need: progress.OnHold, Says: "every session to come is cancelled", Act: "see why: isocue today --why; then make the plan anew", On: last})
		}
		return
	}
	if heard := max(a.heard(), a.Plan.Start-1); int(a.today-heard) > a.c.Check.Base.Course.Quiet && a.Plan.Start <= a.today {
		a.add(progress.Matter{Need: progress.Silent, Says: fmt.Sprintf("nothing was heard for %d days", a.today-heard), Act: "ring the client this week", On: heard})
	}
	if len(a.out) == 0 {
		a.add(progress.Matter{Need: progress.Nothing, Says: "trains next on " + on(a.next(func(record.Session) bool { return true }))})
	}
}

// heard is the day of the newest thing that was entered or logged.
func (a *attending) heard() (out unit.Date) {
	for _, e := range a.Diary.Live() {
		if e.Date <= a.today && (e.Told == nil || e.Told.Reached) {
			out = max(out, e.Date)
		}
	}
	for _, l := range []*record.Log{a.Log, a.Sessions} {
		if l == nil {
			continue
		}
		for _, r := range l.Readings {
			out = max(out, r.At.Date())
		}
		for _, s := range l.Sessions {
			out = max(out, s.At.Date())
		}
	}
	return out
}
