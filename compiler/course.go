package compiler

import (
	"fmt"
	"slices"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// A calendar week is the n-th week from the start date; a course week is one of the weeks that the author wrote. They are the
// same until training pauses: a calendar week without a day to train has no course week, and after a pause of a week or more
// the first week back repeats a lighter one, or the ramp begins again. The lengths that count are those of the pause rules.

// joined is every day of some spans, joined where they touch, and in order.
func joined(spans ...[]record.Span) (out []record.Span) {
	all := slices.Concat(spans...)
	slices.SortFunc(all, func(x, y record.Span) int { return int(x.From - y.From) })
	for _, s := range all {
		if n := len(out); n > 0 && s.From <= out[n-1].To+1 {
			out[n-1].To = max(out[n-1].To, s.To)
		} else {
			out = append(out, s)
		}
	}
	return out
}

// courseWeeks is the course week of every calendar week, 0 where none is trained.
func (g *programme) courseWeeks(p *record.Protocol) (out []int) {
	ramp := 0
	for _, s := range p.Stages {
		if s.Ramp {
			ramp += s.Weeks
		}
	}
	var again []int // weeks to train before the course goes on
	for next := 1; next <= p.Weeks || len(again) > 0; {
		first := g.in.Start + unit.Date(7*len(out))
		if slices.ContainsFunc(g.away, func(s record.Span) bool { return s.From <= first && first+6 <= s.To }) {
			if out = append(out, 0); len(out) > maxWeeks {
				return out
			}
			continue
		}
		for _, s := range g.pauses {
			if back := s.To + 1; p.Modality == record.SlowBreathing || next == 1 || back < first || back > first+6 {
				continue
			}
			switch days := int(s.To-s.From) + 1; {
			case days >= g.c.Check.PauseMeasure() && ramp > 0:
				again = again[:0]
				for w := 1; w <= ramp; w++ {
					again = append(again, w)
				}
				next = max(next, ramp+1)
			default:
				again = []int{lighter(p, next)}
			}
		}
		if len(again) > 0 {
			out, again = append(out, again[0]), again[1:]
			continue
		}
		out = append(out, next)
		next++
	}
	return out
}

// maxWeeks bounds a course in calendar weeks, pauses and all: a client who is always away has no course.
const maxWeeks = 520

// lighter is the course week to repeat after a pause: the last one of the stage before, where that is lighter, else the one
// trained last.
func lighter(p *record.Protocol, next int) int {
	now := p.StageAt(next)
	for i := now.Index - 1; i >= 0; i-- {
		if s := &p.Stages[i]; s.Load.Less(now.Load) {
			return s.FromWeek + s.Weeks - 1
		}
	}
	return next - 1
}

// stage is what a protocol trains in a calendar week.
func (t *timetable) stage(p *record.Protocol, week int) *record.Stage {
	if ws := t.weeks[p.ID]; week >= 1 && week <= len(ws) && ws[week-1] > 0 {
		week = ws[week-1]
	}
	return p.StageAt(week)
}

// end is the day after the last calendar week of a protocol.
func (t *timetable) end(p *record.Protocol) unit.Date {
	return t.start + unit.Date(7*len(t.weeks[p.ID]))
}

// lastDay is the last day on which a protocol may be trained: while its waivers and clearances stand, until a pause that asks
// for a measurement, and while a grip measurement may still be repeated as the last load. 0 is none.
func (g *programme) lastDay(t *timetable, waived []finding.Finding, p *record.Protocol) (last unit.Date, why, fix string) {
	ends := func(day unit.Date, because, then string) {
		if day != 0 && (last == 0 || day < last) {
			last, why, fix = day, because, then
		}
	}
	for _, f := range waived {
		if until, err := unit.ParseDate(f.WaivedUntil); err == nil && f.Protocol == p.ID {
			ends(until, fmt.Sprintf("the waiver of %s ends on %s", f.Rule, until), "have a reviewer sign it anew, or change the protocol")
		}
	}
	day, pause := g.afterPause(t, p)
	ends(day, fmt.Sprintf("training pauses from %s to %s; measure first", pause.From, pause.To), fmt.Sprintf("measure again after %s and compile again", pause.To))
	c := g.in.Client.Record
	day, gate := g.c.Check.LastDay(c, p.Modality, g.day())
	ends(day, fmt.Sprintf("the clearance for %s ends on %s", gate, day), "ask the clinician for a new clearance and compile again")
	if p.Modality == record.Handgrip {
		for _, h := range squeezing(p, c) {
			if x := c.NewestGrip(h, t.end(p)); x != nil {
				ends(x.Date+unit.Date(g.c.Check.GripEnd()), fmt.Sprintf("the %s hand was measured on %s; measure first", h, x.Date), "measure again and compile again")
			}
		}
	}
	return last, why, fix
}

// afterPause is the last day before a pause that is so long that loads from before it are not trained again: what comes
// later waits for a measurement; 0 where there is none.
func (g *programme) afterPause(t *timetable, p *record.Protocol) (last unit.Date, pause record.Span) {
	if p.Modality == record.SlowBreathing {
		return 0, pause
	}
	for _, s := range g.pauses {
		if int(s.To-s.From)+1 >= g.c.Check.PauseMeasure() && s.From < t.end(p) && !g.measuredSince(t, p, s.From) {
			return s.From - 1, s
		}
	}
	return 0, pause
}

// measuredSince says whether every maximum that a protocol's loads stand on was measured on or after a day.
func (g *programme) measuredSince(t *timetable, p *record.Protocol, d unit.Date) bool {
	c, far := g.in.Client.Record, t.end(p)
	switch p.Modality {
	case record.Inspiratory:
		x := c.NewestInspiratory(far)
		return x != nil && x.Date >= d
	case record.WallSquat:
		x := c.NewestSquat(far)
		return x == nil || x.Date >= d // a squat by angle or effort stands on no test
	}
	return !slices.ContainsFunc(squeezing(p, c), func(h record.Hand) bool {
		x := c.NewestGrip(h, far)
		return x == nil || x.Date < d
	})
}

// squeezing is the hands that a protocol squeezes with.
func squeezing(p *record.Protocol, c *record.Client) (out []record.Hand) {
	for _, h := range []record.Hand{record.Right, record.Left} {
		if slices.ContainsFunc(p.Stages, func(s record.Stage) bool { return s.Squeezes(c.Dominant)[h] > 0 }) {
			out = append(out, h)
		}
	}
	return out
}
