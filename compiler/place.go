package compiler

import (
	"fmt"
	"time"

	"isocue.example/compiler/course"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/record"
	"isocue.example/compiler/schedule"
	"isocue.example/compiler/session"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// timetable is what schedule gives: the sessions in their order, each with its work for a kind. Their loads depend on the date and
// come after; how long a session is does not depend on its load.
type timetable struct {
	sessions []record.Session
	works    map[string]course.Work // by the sessions' kind
	weeks    map[string]int         // by protocol: how many calendar weeks its course has
	waits    map[string]record.Span // by protocol: the days without training after which it waits for a measurement
	unplaced []record.Unplaced
	last     map[string]unit.Date // by protocol: the last day on which it may be trained; 0 = none
}

// stage is what a session trains.
func (t *timetable) stage(s record.Session) *record.Stage { return t.works[s.Kind].Stage }

// end is the day after the last calendar week of a protocol.
func (g *programme) end(t *timetable, p *record.Protocol) unit.Date {
	return g.courses[p.ID].Start + unit.Date(7*t.weeks[p.ID])
}

// place gives the sessions dates and hours. What is waived may be trained no longer than its waiver stands.
func (g *programme) place(waived []finding.Finding) (*timetable, error) {
	c, sitting := g.in.Client.Record, g.c.Check.Base.Sitting
	t := &timetable{works: map[string]course.Work{}, weeks: map[string]int{}, waits: map[string]record.Span{}, last: map[string]unit.Date{}}
	in := schedule.Input{Start: g.in.Start, Hours: c.Hours, Away: history.Joined(c.Away), Sitting: sitting}
	if prev := g.in.Previous; prev != nil {
		in.Now, in.Past = g.now, g.history.Begun()
		for _, s := range prev.Sessions {
			if !g.history.HasBegun(s) {
				in.Held = append(in.Held, s)
			}
		}
	}
	in.Trained = g.lastTrained()
	var planners []*planner
	for _, x := range g.trained {
		p := x.Record
		pl := &planner{g: g, p: p, t: t, lengths: map[string]unit.Tenths{}, course: course.New(g.courseOf(p))}
		planners = append(planners, pl)
		co := schedule.Course{Protocol: p.ID, Modality: p.Modality, Start: g.courses[p.ID].Start, Planner: pl, Shut: g.history.Imposed(p.Modality)}
		co.Floor, co.Preferred = g.c.Check.Gaps(p.Modality)
		co.Last, co.LastWhy, co.LastFix = g.lastDay(waived, p)
		t.last[p.ID] = co.Last
		in.Courses = append(in.Courses, co)
	}
	for _, l := range c.Later {
		if l.Hours != nil {
			in.Later = append(in.Later, schedule.Later{From: l.From, Hours: l.Hours})
		}
	}
	var err error
	if in.Clean, err = cleanFor(c, in.Start); err != nil {
		return nil, err
	}
	if t.sessions, t.unplaced, err = schedule.Place(in); err != nil {
		return t, err
	}
	for _, pl := range planners {
		if pl.err != nil {
			return nil, pl.err
		}
	}
	for i := range t.sessions { // of one who moves, each is trained where the client lives by then
		z, call := c.Lives(t.sessions[i].Start.Date())
		if z != c.Zone {
			t.sessions[i].Zone = z
		}
		if call != c.Contacts.Emergency {
			t.sessions[i].Call = call
		}
	}
	return t, nil
}

// cleanFor is zone.Clean in the zone in which a client lives on each day.
func cleanFor(c *record.Client, start unit.Date) (func(unit.Local) bool, error) {
	in := map[string]func(unit.Local) bool{}
	for _, l := range append([]record.Later{{Zone: c.Zone}}, c.Later...) {
		if l.Zone == "" {
			continue
		}
		loc, err := zone.Load(l.Zone)
		if err != nil {
			return nil, err
		}
		in[l.Zone] = cleanIn(loc, start)
	}
	return func(l unit.Local) bool {
		z, _ := c.Lives(l.Date())
		return in[z](l)
	}, nil
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

// lastDay is the last day on which a protocol may be trained: while its waivers and clearances stand, and while a grip measurement
// may still be repeated as the last load. 0 is none.
func (g *programme) lastDay(waived []finding.Finding, p *record.Protocol) (last unit.Date, why, fix string) {
	ends := func(day unit.Date, because, then string) {
		if day != 0 && (last == 0 || day < last) {
			last, why, fix = day, because, then
		}
	}
	for _, f := range waived {
		if until, err := unit.ParseDate(f.Waiver.Until); err == nil && f.Protocol == p.ID {
			ends(until, fmt.Sprintf("the waiver of %s ends on %s", f.Rule, until), "have a reviewer sign it anew, or change the protocol")
		}
	}
	if d := g.in.entered(p.ID); d != nil {
		ends(d.End, fmt.Sprintf("another course takes its place after %s", d.End), "see that it is meant: isocue lint says which entry of the diary it is")
	}
	c := g.in.Client.Record
	day, gate := g.c.Check.LastDay(c, p.Modality, g.day())
	ends(day, fmt.Sprintf("the clearance for %s ends on %s", gate, day), "ask the clinician for a new clearance and compile again")
	if p.Modality == record.Handgrip {
		for _, h := range squeezing(p, c) {
			if x := c.NewestGrip(h, history.Ahead); x != nil {
				ends(x.Date+unit.Date(g.c.Check.GripEnd()), fmt.Sprintf("the %s hand was measured on %s; measure first", h, x.Date), "measure again and compile again")
			}
		}
	}
	return last, why, fix
}

// cleanIn is zone.Clean from a day on, which looks closely only at days around a clock change, however late a course goes on.
func cleanIn(loc *time.Location, start unit.Date) func(unit.Local) bool {
	near := map[unit.Date]bool{}
	known, more := start.Time().AddDate(0, 0, -2), true // the changes up to known are among near
	return func(l unit.Local) bool {
		for day := l.Date(); more && unit.DateOf(known.UTC()) <= day+2; {
			if known, more = zone.Next(loc, known); more {
				for d := unit.DateOf(known.UTC()) - 2; d <= unit.DateOf(known.UTC())+2; d++ {
					near[d] = true
				}
			}
		}
		return !near[l.Date()] || zone.Clean(loc, l)
	}
}

// rehearse is a timetable for judging a client before dates are set: each week of the course on one day. What is refused has no
// loads, so no session either.
func (g *programme) rehearse() *timetable {
	t := &timetable{works: map[string]course.Work{}}
	for i, p := range g.trained {
		if finding.Rejected(g.c.protocol(g.judged(i), g.in.Start)) {
			continue
		}
		for j := range p.Record.Stages {
			s := &p.Record.Stages[j]
			key := session.Key(p.Record.ID, j)
			t.works[key] = course.Work{Stage: s}
			for w := s.FromWeek; w < s.FromWeek+s.Weeks; w++ {
				t.sessions = append(t.sessions, record.Session{Protocol: p.Record.ID, Kind: key, Week: w, Start: unit.At(g.in.Start+unit.Date(7*(w-1)), 0)})
			}
		}
	}
	return t
}
