package compiler

import (
	"maps"

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

// around is the new sessions and, before them, those of the week before that have begun: gaps and counts do not begin anew
// with a re-compile.
func (g *programme) around(t *timetable, b built) check.PlanFacts {
	out := check.PlanFacts{Lost: t.unplaced, Kinds: maps.Clone(b.kinds), Start: g.in.Start, Today: g.on.Today}
	for _, s := range g.history.Begun() {
		if s.Status == record.Cancelled || s.Start < g.now-7*24*60 {
			continue
		}
		key := "before " + s.Kind
		out.Kinds[key] = g.in.Previous.Kinds[s.Kind]
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
	return append(fs, g.c.Check.Plan(g.in.Client, f)...)
}
