package compiler

import (
	"cmp"
	"maps"
	"slices"

	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// protocol judges a protocol and applies the waivers that stand on a day.
func (c *Compiler) protocol(p *load.Protocol, day unit.Date) []finding.Finding {
	return c.Waivers.apply(c.Check.Protocol(p), p.Record.ID, day)
}

func (g *programme) checkProtocols() (fs []finding.Finding) {
	for i := range g.trained {
		fs = append(fs, g.c.protocol(g.judged(i), g.on.Today)...)
	}
	return fs
}

// checkLoads judges the rounded, settable load, not the wish.
func (g *programme) checkLoads(loads []dosed) (fs []finding.Finding) {
	for _, l := range loads {
		for _, d := range l.distinct {
			fs = append(fs, g.c.Check.Dose(g.in.Client, l.protocol, d)...)
		}
	}
	return fs
}

// checkPassed judges a start in the past by the first session that is still to come, which may stand in a later week than today.
func (g *programme) checkPassed(t *timetable) []finding.Finding {
	on := g.on
	for _, p := range g.on.Fresh {
		for _, s := range t.sessions {
			if s.Protocol == p.ID && s.Start >= g.now {
				on.Passed = max(on.Passed, t.stage(s).Index)
				break
			}
		}
	}
	if on.Passed == g.on.Passed {
		return nil // that was judged with the client
	}
	return g.c.Check.Passed(g.in.Client, on)
}

// trains is what the programme trains in each calendar week. A plan that is judged again says so itself.
func (g *programme) trains() [][]check.Part {
	if g.weeks != nil {
		return g.weeks
	}
	var weeks [][]check.Part
	for _, p := range g.trained {
		late := max(int(g.courses[p.Record.ID].Start-g.in.Start)/7, 0)
		for i, stages := range g.expected(p.Record) {
			if d := g.in.entered(p.Record.ID); d != nil && d.End != 0 && g.courses[p.Record.ID].Start+unit.Date(7*i+6) > d.End {
				break // another takes its place; the days of the week in which it does are judged as they were built
			}
			for len(weeks) <= i+late {
				weeks = append(weeks, nil)
			}
			if len(stages) > 0 {
				weeks[i+late] = append(weeks[i+late], check.Part{Protocol: p, Stage: slices.Max(stages)})
			}
		}
	}
	return weeks
}

// before is the plan whose sessions were trained before this one's, nil without; earlier is those that have begun.
func (g *programme) before() (plan *record.Plan, earlier []record.Session) {
	return cmp.Or(g.in.Previous, g.in.ended), g.past.Begun()
}

// around is the new sessions and, before them, those of the week before that have begun: gaps and counts do not begin anew
// with a re-compile, nor with another course.
func (g *programme) around(t *timetable, b built) check.PlanFacts {
	out := check.PlanFacts{Lost: t.unplaced, Kinds: maps.Clone(b.kinds), Start: g.in.Start, Today: g.on.Today}
	plan, earlier := g.before()
	for _, s := range earlier {
		if s.Status == record.Cancelled || s.Start < g.now-7*24*60 {
			continue
		}
		key := "before " + s.Kind
		out.Kinds[key] = plan.Kinds[s.Kind]
		s.Kind = key
		out.Sessions = append(out.Sessions, s)
	}
	out.Sessions = append(out.Sessions, b.sessions...)
	return out
}

// checkPlan holds the built sessions, and the plan as a whole, to the rules about them. last is as timetable has it.
func (g *programme) checkPlan(f check.PlanFacts, last map[string]unit.Date) (fs []finding.Finding) {
	if len(g.trained) == 0 {
		return nil // all is held
	}
	for _, p := range g.trained {
		fs = append(fs, g.c.Check.Sessions(p, f.Sessions, f.Kinds, last[p.Record.ID])...)
	}
	fs = append(fs, g.c.Check.Apart(g.trained, f, fs)...)
	return append(fs, g.c.Check.Plan(g.in.Client, f)...)
}
