package compiler

import (
	"cmp"
	"fmt"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// others adds the all-day entries of a course: readings before it and at its end, days to measure again, visits to the
// prescriber, meetings with the coach. What lies before today is left out; a plan before has it where it was asked for.
func (g *programme) others(t *timetable, p *record.Plan) []record.Other {
	c, today := g.c.Check.Base.Course, g.on.Today
	var end unit.Date
	for _, pr := range g.trained {
		end = max(end, g.end(t, pr.Record))
	}
	out := []record.Other{}
	if len(g.trained) == 0 {
		return out // all is held: what goes on is what the plan before has
	}
	add := func(what record.OtherKind, about string, d unit.Date, key string) {
		if d >= today {
			out = append(out, record.Other{UID: record.Identity(p.Client, about, g.origin().String(), string(what), key),
				Status: record.Confirmed, What: what, Date: d, About: about, Sheet: p.Sheet})
		}
	}
	for i := range c.Baseline {
		add(record.Baseline, "", g.in.Start-unit.Date(c.Baseline-i), fmt.Sprint(i+1))
	}
	for i := range c.Final {
		add(record.Final, "", end-unit.Date(c.Final-i), fmt.Sprint(i+1))
	}
	if !g.in.NoReviews {
		for _, w := range c.Reviews {
			if d := g.in.Start + unit.Date(7*w); d <= end {
				add(record.Review, "", g.openDay(d), fmt.Sprint(w))
			}
		}
	}
	if g.c.Check.TellsPrescriber(g.in.Client.Record) {
		if d := g.in.Start + unit.Date(7*c.Check); d < end {
			add(record.Check, "", g.openDay(d), "during")
		}
		add(record.Check, "", g.openDay(end), "end")
	}
	for _, pr := range g.trained {
		if last, gate := g.c.Check.LastDay(g.in.Client.Record, pr.Record.Modality, max(g.in.Start, today)); last != 0 && last < end {
			add(record.Check, pr.Record.ID, max(last-unit.Date(c.Notice), today), "clearance "+gate)
		}
		if gap, waits := t.waits[pr.Record.ID]; waits {
			add(record.Measure, pr.Record.ID, g.testDay(max(gap.To+1, today)), "pause "+gap.From.String())
		}
		g.measuringDay(p, pr.Record, add)
	}
	slices.SortStableFunc(out, byDate)
	return out
}

// stay adds the entries of the plan before that a hold leaves: days of readings, meetings and visits go on, tests do not.
func (g *programme) stay(out []record.Other) []record.Other {
	for _, o := range g.in.Previous.Others {
		known := slices.ContainsFunc(out, func(x record.Other) bool { return x.UID == o.UID })
		if !known && o.About == "" && o.Status != record.Cancelled && o.Date >= g.on.Today {
			out = append(out, o)
		}
	}
	slices.SortStableFunc(out, byDate)
	return out
}

func byDate(x, y record.Other) int {
	return cmp.Or(cmp.Compare(x.Date, y.Date), cmp.Compare(x.What, y.What), cmp.Compare(x.About, y.About), cmp.Compare(x.UID, y.UID))
}

// openDay is the first day on or after d on which the clinic is not closed and the client is not away.
func (g *programme) openDay(d unit.Date) unit.Date {
	for n := 0; n < maxWeeks*7 && !g.history.Open("", d); n++ {
		d++
	}
	return d
}

// testDay is the first day on or after d on which a maximum may be measured: never in an illness or a pause.
func (g *programme) testDay(d unit.Date) unit.Date {
	for n := 0; n < maxWeeks*7 && !g.history.Testable(d); n++ {
		d++
	}
	return d
}

// measuringDay puts a day to measure again before the first provisional session of a protocol: the day of the last firm
// session, while the measurement still holds; and one sooner, where the author asks for it.
func (g *programme) measuringDay(p *record.Plan, pr *record.Protocol, add func(record.OtherKind, string, unit.Date, string)) {
	from, sooner := "", unit.Date(0)
	last := g.testDay(max(g.in.Start, g.on.Today))
	for _, s := range p.Sessions {
		if s.Protocol != pr.ID || s.Status == record.Cancelled {
			continue
		}
		if k := p.Kinds[s.Kind]; len(k.Loads) > 0 {
			from = k.Loads[0].From()
		}
		if again := g.measuredOn(from) + unit.Date(7*pr.RetestWeeks); sooner == 0 && pr.RetestWeeks > 0 && from != "" && s.Start.Date() >= again {
			sooner = last
			add(record.Measure, pr.ID, sooner, "again "+from)
		}
		if s.Status == record.Provisional {
			if last != sooner {
				add(record.Measure, pr.ID, last, from)
			}
			return
		}
		last = s.Start.Date()
	}
}

// measuredOn is the day in the name of a measurement, such as grip:right:2027-01-02, not before the course.
func (g *programme) measuredOn(from string) unit.Date {
	if n := len(from); n > 10 {
		if d, err := unit.ParseDate(from[n-10:]); err == nil {
			return max(d, g.in.Start)
		}
	}
	return g.in.Start
}
