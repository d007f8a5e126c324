package compiler

import (
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/schedule"
	"isocue.example/compiler/session"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// timetable is what schedule gives: the sessions in their order, each with a stage's kind for a name. Their loads depend on the
// date and come after; how long a session is does not depend on its load.
type timetable struct {
	start    unit.Date
	weeks    map[string][]int // by protocol: the course week of each calendar week; none where the two are the same
	sessions []record.Session
	unplaced []record.Unplaced
	last     map[string]unit.Date // by protocol: the last day on which it may be trained; 0 = none
}

// place gives the sessions dates and hours. What is waived may be trained no longer than its waiver stands.
func (g *programme) place(waived []finding.Finding) (*timetable, error) {
	c, sitting := g.in.Client.Record, g.c.Check.Base.Sitting
	loc, err := zone.Load(c.Zone)
	if err != nil {
		return nil, err
	}
	t := &timetable{start: g.in.Start, weeks: map[string][]int{}, last: map[string]unit.Date{}}
	in := schedule.Input{Start: t.start, Hours: c.Hours, Away: g.away, Sitting: sitting}
	if prev := g.in.Previous; prev != nil {
		in.Now, in.Held = g.now, prev.Sessions
	}
	in.Trained = g.lastTrained()
	longest := 0
	for _, x := range g.trained {
		p := x.Record
		t.weeks[p.ID] = g.courseWeeks(p)
		longest = max(longest, len(t.weeks[p.ID]))
		co := schedule.Course{Protocol: p.ID, Modality: p.Modality}
		co.Floor, co.Preferred = g.c.Check.Gaps(p.Modality)
		long := map[int]unit.Tenths{} // by stage: working it out is slower than placing
		for i, w := range t.weeks[p.ID] {
			if w == 0 {
				co.Weeks = append(co.Weeks, schedule.Week{})
				continue
			}
			s := t.stage(p, i+1)
			work, ok := long[s.Index]
			if !ok {
				if work, err = session.Length(p, s, sitting); err != nil {
					return nil, err
				}
				long[s.Index] = work
			}
			co.Weeks = append(co.Weeks, schedule.Week{Kind: session.Key(p.ID, s.Index), Work: work, Days: s.DaysPerWeek, PerDay: s.PerDay})
		}
		co.Last, co.LastWhy, co.LastFix = g.lastDay(t, waived, p)
		t.last[p.ID] = co.Last
		in.Courses = append(in.Courses, co)
	}
	in.Clean = cleanIn(loc, t.start, longest+2) // a little longer than the longest
	t.sessions, t.unplaced, err = schedule.Place(in)
	return t, err
}

// lastTrained is the last start of each modality in the plan before: a protocol that takes the place of another one keeps the gap to it.
func (g *programme) lastTrained() map[record.Modality]unit.Local {
	out := map[record.Modality]unit.Local{}
	plan, earlier := g.before()
	for _, s := range earlier {
		if s.Status != record.Cancelled {
			m := plan.Kinds[s.Kind].Modality
			out[m] = max(out[m], s.Start)
		}
	}
	return out
}

// cleanIn is zone.Clean for some weeks from start on, which looks closely only at days around a clock change.
func cleanIn(loc *time.Location, start unit.Date, weeks int) func(unit.Local) bool {
	t := start.Time().AddDate(0, 0, -2)
	end := t.AddDate(0, 0, 7*weeks)
	near := map[unit.Date]bool{}
	for t.Before(end) {
		next, ok := zone.Next(loc, t)
		if !ok {
			break
		}
		for d := unit.DateOf(next.UTC()) - 2; d <= unit.DateOf(next.UTC())+2; d++ {
			near[d] = true
		}
		t = next
	}
	return func(l unit.Local) bool { return !near[l.Date()] || zone.Clean(loc, l) }
}

// rehearse is a timetable for judging a client before dates are set: each week of the course on one day. What is refused has no
// loads, so no session either.
func (g *programme) rehearse() *timetable {
	t := &timetable{start: g.in.Start}
	for i, p := range g.trained {
		if finding.Rejected(g.c.protocol(g.judged(i), t.start)) {
			continue
		}
		for _, s := range p.Record.Stages {
			for w := s.FromWeek; w < s.FromWeek+s.Weeks; w++ {
				t.sessions = append(t.sessions, record.Session{Protocol: p.Record.ID, Week: w, Start: unit.At(t.start+unit.Date(7*(w-1)), 0)})
			}
		}
	}
	return t
}
