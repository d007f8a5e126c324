package compiler

import (
	"fmt"
	"slices"

	"isocue.example/compiler/course"
	"isocue.example/compiler/history"
	"isocue.example/compiler/record"
	"isocue.example/compiler/schedule"
	"isocue.example/compiler/session"
	"isocue.example/compiler/unit"
)

// maxWeeks bounds a course in calendar weeks, pauses and all: a client who is always away has no course.
const maxWeeks = 520

// courseOf is what a protocol's course depends on.
func (g *programme) courseOf(p *record.Protocol) course.Input {
	c := g.in.Client.Record
	in := course.Input{Protocol: p, Start: g.courses[p.ID].Start, Table: g.table(), Today: g.on.Today, MaxWeeks: maxWeeks, Ill: g.history.IllBetween,
		Open: func(d unit.Date) bool { return g.history.Open(p.Modality, d) }}
	in.Measured = func(day unit.Date) unit.Date { return g.measured(p, day) }
	in.Level = func(day unit.Date) int { return levelStage(p, c.WalkedOn(day)) }
	if g.in.Previous == nil {
		in.Today = 0 // a first plan is dated as it was asked for, and its past is nobody's
	}
	for _, r := range g.c.Check.Base.Easings {
		if r.Modality == p.Modality {
			in.Easing = &course.Row{Modality: r.Modality, Step: course.Step(r.Step), Without: course.Step(r.Without), WithoutWeeks: r.WithoutWeeks}
		}
	}
	for _, e := range c.Easings {
		if e.Protocol == p.ID && e.From >= in.Start && in.Easing != nil {
			in.Easings = append(in.Easings, e.From)
		}
	}
	in.Steady = g.steady
	for _, s := range g.history.Begun() {
		if s.Protocol == p.ID {
			k := g.in.Previous.Kinds[s.Kind]
			trained := g.history.Trained(s)
			in.Done = append(in.Done, course.Done{Date: s.Start.Date(), Trained: trained, Stage: k.Stage, Cancelled: s.Status == record.Cancelled,
				Off: s.Status == record.Cancelled || !trained && !g.history.Open(k.Modality, s.Start.Date())})
		}
	}
	return in
}

// steady says whether no load rises on a day, since a medicine was started, changed or stopped shortly before.
func (g *programme) steady(day unit.Date) bool {
	return slices.ContainsFunc(g.in.Client.Record.Medicines, func(m record.Medicine) bool {
		return m.Changed <= day && day < m.Changed+unit.Date(g.c.Check.Base.SteadyDays)
	})
}

// table is the table of gaps under the clinic's policy.
func (g *programme) table() (out course.Table) {
	for _, r := range g.c.Check.Base.Gaps() {
		out = append(out, course.Row{Modality: r.Modality, From: r.From, FeverFrom: r.AfterIllness, Measure: r.Measure, Own: r.Own,
			Step: course.Step(r.Step), Without: course.Step(r.Without), WithoutWeeks: r.WithoutWeeks})
	}
	return out
}

// measured is the day since which every maximum that a protocol's loads stand on is known, by what is measured until a day.
func (g *programme) measured(p *record.Protocol, day unit.Date) (out unit.Date) {
	if p.Modality != record.Handgrip {
		return history.Measured(g.in.Client.Record, p.Modality, "", day)
	}
	for i, h := range squeezing(p, g.in.Client.Record) {
		if d := history.Measured(g.in.Client.Record, p.Modality, h, day); i == 0 || d < out {
			out = d
		}
	}
	return out
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

// planner tells the schedule, week by week, what a course trains.
type planner struct {
	g       *programme
	p       *record.Protocol
	t       *timetable
	course  *course.Course
	lengths map[string]unit.Tenths // by key: working them out is slower than placing
	err     error
}

func (pl *planner) Week(w int) (schedule.Week, bool) {
	wk, ok := pl.course.Week(w)
	if ok {
		pl.t.weeks[pl.p.ID] = w + 1
	}
	return pl.week(wk), ok
}

func (pl *planner) week(wk course.Week) schedule.Week {
	out := schedule.Week{Days: wk.Days, PerDay: wk.PerDay, Final: wk.Final, Kinds: []string{}}
	for _, x := range wk.Works {
		key := pl.p.ID + "/" + x.Key()
		long, ok := pl.lengths[key]
		if !ok {
			var err error
			if long, err = session.Length(pl.p, x.Stage, pl.g.c.Check.Base.Sitting); err != nil {
				pl.err = err
			}
			pl.lengths[key], pl.t.works[key] = long, x
		}
		out.Kinds, out.Works, out.Work = append(out.Kinds, key), append(out.Works, long), max(out.Work, long)
	}
	return out
}

func (pl *planner) Reached(day unit.Date) (schedule.Week, bool, *schedule.End) {
	wk, changed, wait := pl.course.Reached(day)
	if wait == nil {
		return pl.week(wk), changed, nil
	}
	gap := record.Span{From: wait.After + 1, To: wait.Before - 1}
	for _, s := range pl.g.history.Spans(pl.p.Modality) { // the longest stretch that closed it says more than the gap
		if s.From > wait.After && s.To < wait.Before && s.To-s.From >= 6 {
			gap = s
		}
	}
	pl.t.waits[pl.p.ID] = gap
	return schedule.Week{}, false, &schedule.End{Why: fmt.Sprintf("training pauses from %s to %s; measure first", gap.From, gap.To), Fix: fmt.Sprintf("measure again after %s and compile again", gap.To)}
}

func (pl *planner) Placed(w int, days []unit.Date) { pl.course.Placed(w, days) }

// expected is the stages that each week of a course would train if every open day had its hours: what is judged before anything is
// placed.
func (g *programme) expected(p *record.Protocol) (weeks [][]int) {
	c := course.New(g.courseOf(p))
	for w := 0; ; w++ {
		wk, ok := c.Week(w)
		if !ok {
			return weeks
		}
		var days []unit.Date
		for d := range unit.Date(7) {
			day := g.courses[p.ID].Start + unit.Date(7*w) + d
			if !g.history.Open(p.Modality, day) || g.in.Previous != nil && day < g.on.Today {
				continue
			}
			for n := 0; n < wk.PerDay && len(days) < len(wk.Works); n++ {
				days = append(days, day)
			}
		}
		if len(days) > 0 {
			again, changed, wait := c.Reached(days[0])
			if wait != nil {
				return weeks
			}
			if changed {
				wk, days = again, days[:min(len(days), len(again.Works))]
			}
		}
		var stages []int
		for _, x := range wk.Works[:len(days)] {
			stages = append(stages, x.Stage.Index)
		}
		weeks = append(weeks, stages)
		if g.courses[p.ID].Start+unit.Date(7*w+6) >= g.on.Today || g.in.Previous == nil {
			c.Placed(w, days)
		}
	}
}
