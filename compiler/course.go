package compiler

import (
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// A calendar week is the n-th week from the start date; a course week is one of the weeks that the author wrote. They are the
// same until training pauses: a calendar week without a day to train has no course week, and after a pause of a week or more
// the first week back repeats a lighter one, or the ramp begins again. The lengths that count are those of the pause rules.

// away is every day on which nobody trains: the client's days away, closing days and pauses, joined and in order.
func (b *builder) away() []record.Span {
	all := slices.Concat(b.in.Client.Record.Away, b.in.Closed, b.in.Pauses)
	slices.SortFunc(all, func(x, y record.Span) int { return int(x.From - y.From) })
	var out []record.Span
	for _, s := range all {
		if n := len(out); n > 0 && s.From <= out[n-1].To+1 {
			out[n-1].To = max(out[n-1].To, s.To)
		} else {
			out = append(out, s)
		}
	}
	return out
}

// pauses is the stretches without training, once training has begun, that are long enough for the first week back to be
// lighter.
func (b *builder) pauses() (out []record.Span) {
	for _, s := range b.away() {
		if s.From > b.in.Start && int(s.To-s.From)+1 >= b.c.Check.PauseLighter() {
			out = append(out, s)
		}
	}
	return out
}

// courseWeeks is the course week of every calendar week, 0 where none is trained.
func (b *builder) courseWeeks(p *record.Protocol) (out []int) {
	away, pauses := b.away(), b.pauses()
	ramp := 0
	for _, s := range p.Stages {
		if s.Ramp {
			ramp += s.Weeks
		}
	}
	var again []int // weeks to train before the course goes on
	for next := 1; next <= p.Weeks || len(again) > 0; {
		first := b.in.Start + unit.Date(7*len(out))
		if slices.ContainsFunc(away, func(s record.Span) bool { return s.From <= first && first+6 <= s.To }) {
			if out = append(out, 0); len(out) > maxWeeks {
				return out
			}
			continue
		}
		for _, s := range pauses {
			if back := s.To + 1; p.Modality == record.SlowBreathing || next == 1 || back < first || back > first+6 {
				continue
			}
			switch days := int(s.To-s.From) + 1; {
			case days >= b.c.Check.PauseMeasure() && ramp > 0:
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
func (b *builder) stage(p *record.Protocol, week int) *record.Stage {
	if ws := b.weeks[p.ID]; week >= 1 && week <= len(ws) && ws[week-1] > 0 {
		week = ws[week-1]
	}
	return p.StageAt(week)
}

// stageOn is what a protocol trains on a day.
func (b *builder) stageOn(p *record.Protocol) func(unit.Date) *record.Stage {
	return func(d unit.Date) *record.Stage { return b.stage(p, int(d-b.in.Start)/7+1) }
}

// end is the day after the last calendar week of a protocol.
func (b *builder) end(p *record.Protocol) unit.Date {
	weeks := p.Weeks
	if ws := b.weeks[p.ID]; len(ws) > 0 {
		weeks = len(ws)
	}
	return b.in.Start + unit.Date(7*weeks)
}

// afterPause is the last day before a pause that is so long that loads from before it are not trained again: what comes
// later waits for a measurement; 0 where there is none.
func (b *builder) afterPause(p *record.Protocol) (last unit.Date, pause record.Span) {
	if p.Modality == record.SlowBreathing {
		return 0, pause
	}
	for _, s := range b.pauses() {
		if int(s.To-s.From)+1 >= b.c.Check.PauseMeasure() && s.From < b.end(p) && !b.measuredSince(p, s.From) {
			return s.From - 1, s
		}
	}
	return 0, pause
}

// measuredSince says whether every maximum that a protocol's loads stand on was measured on or after a day.
func (b *builder) measuredSince(p *record.Protocol, d unit.Date) bool {
	c, far := b.in.Client.Record, b.end(p)
	switch p.Modality {
	case record.Inspiratory:
		t := c.NewestInspiratory(far)
		return t != nil && t.Date >= d
	case record.WallSquat:
		t := c.NewestSquat(far)
		return t == nil || t.Date >= d // a squat by angle or effort stands on no test
	}
	for _, h := range []record.Hand{record.Right, record.Left} {
		if trained(p, h, c.Dominant) {
			if t := c.NewestGrip(h, far); t == nil || t.Date < d {
				return false
			}
		}
	}
	return true
}

// trained says whether a protocol squeezes with a hand.
func trained(p *record.Protocol, h, dominant record.Hand) bool {
	return slices.ContainsFunc(p.Stages, func(s record.Stage) bool { return s.Squeezes(dominant)[h] > 0 })
}

// pauseOf tells the check about a pause that has begun.
func (b *builder) pauseOf(today unit.Date) (out *record.Span) {
	for _, s := range b.in.Pauses {
		if s.From <= today && (out == nil || s.From > out.From) {
			out = &s
		}
	}
	return out
}
