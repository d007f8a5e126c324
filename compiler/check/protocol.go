package check

import (
	"slices"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
)

// Protocol judges a protocol: as a whole, and in every stage of its course. A mistake that every stage inherits from
// the same line is one finding.
func (c *Checker) Protocol(p *load.Protocol) []finding.Finding {
	if fs, ok := c.known[p]; ok && c.Timer == nil {
		return slices.Clone(fs)
	}
	out := c.Judge("protocol", ProtocolGiven(p))
	for i := range p.Stages {
		out = append(out, c.Judge("stage", c.StageGiven(p, i))...)
	}
	for _, g := range TextGivens(p) {
		out = append(out, c.Judge("text", g)...)
	}
	name(out, p.Record)
	return onePerPlace(out)
}

// name says of findings, and of those behind them, which protocol they are about.
func name(fs []finding.Finding, p *record.Protocol) {
	for i := range fs {
		fs[i].Protocol, fs[i].Revision = p.ID, p.Revision
		name(fs[i].Covers, p)
	}
}

// Remember judges a protocol that many clients are to train, so that it is not judged anew for each. It must not be called while
// others judge.
func (c *Checker) Remember(p *load.Protocol) {
	fs := c.Protocol(p)
	if c.known == nil {
		c.known = map[*load.Protocol][]finding.Finding{}
	}
	c.known[p] = fs
}

// onePerPlace keeps one finding a rule, place and value: a value that several stages share is one mistake, and each other value that
// the rule finds there is another. What stands behind any of them stands behind the one that is kept.
func onePerPlace(fs []finding.Finding) []finding.Finding {
	type key struct {
		rule        string
		pos         finding.Pos
		path, found string
	}
	seen := map[key]int{} // counted from 1
	kept := fs[:0]
	for _, f := range fs {
		k := key{f.Rule, f.Pos, f.Path, f.Found}
		if i := seen[k]; i > 0 {
			kept[i-1].Covers = onePerPlace(append(slices.Clip(kept[i-1].Covers), f.Covers...))
			continue
		}
		kept = append(kept, f)
		seen[k] = len(kept)
	}
	return kept
}

// ProtocolGiven is the facts of a protocol as its author wrote it.
func ProtocolGiven(p *load.Protocol) rule.Given {
	g := p.Node.Borrow()
	defaultPhase(g)
	ramp := 0
	for _, s := range p.Record.Stages {
		if s.Ramp {
			ramp += s.Weeks
		}
	}
	g.Set("rampWeeks", tree.Int(ramp))
	return rule.Given{Node: g, Anchor: p.Node}
}

// defaultPhase fills in what an author who names no phase means: a first course.
func defaultPhase(g *tree.Node) {
	if g.Field["phase"] == nil {
		g.Set("phase", tree.Str("course"))
	}
}

// ofTheWhole are fields of a protocol that no stage has; a rule that looked at them there would find one mistake once a stage.
var ofTheWhole = map[string]bool{"title": true, "titles": true, "revision": true, "retestWeeks": true, "expects": true, "note": true, "startHand": true}

// StageGiven is the facts of the i-th stage of a protocol.
func (c *Checker) StageGiven(p *load.Protocol, i int) rule.Given {
	s := p.Record.Stages[i]
	g := tree.At(p.Stages[i].Pos)
	for _, k := range p.Stages[i].Keys {
		if !ofTheWhole[k] {
			g.Link(k, p.Stages[i].Field[k])
		}
	}
	defaultPhase(g)
	st := tree.NewRecord()
	st.Set("index", tree.Int(s.Index))
	st.Set("ramp", tree.Truth(s.Ramp))
	st.Set("fromWeek", tree.Int(s.FromWeek))
	st.Set("weeks", tree.Int(s.Weeks))
	g.Set("stage", st)
	if b, _ := c.loaded(&s); p.Record.Modality == record.Inspiratory && b.Sign() > 0 {
		num(g, "breaths", b)
	}
	if len(s.Exercises) > 0 {
		g.Set("exerciseCount", tree.Int(len(s.Exercises)))
		g.Set("exerciseTimes", tree.Int(exerciseTimes(s.Exercises)))
	}
	if i > 0 {
		prev := tree.NewRecord()
		for _, k := range []string{"load", "holdSeconds", "rounds", "minutesPerSession", "daysPerWeek", "sessionsPerDay", "sets", "repetitions"} {
			if v := p.Stages[i-1].Field[k]; v != nil {
				prev.Link(k, v)
			}
		}
		if x := p.Record.Stages[i-1].Exercises; len(x) > 0 {
			prev.Set("exerciseTimes", tree.Int(exerciseTimes(x)))
		}
		g.Link("previous", prev)
	}
	anchor := p.Node
	if s.Ramp {
		anchor = p.Node.Get("ramp").Items()[i]
	}
	return rule.Given{Node: g, Anchor: anchor}
}

// exerciseTimes is how often the exercise stands in a list that stands in it most.
func exerciseTimes(exercises []string) int {
	times := map[string]int{}
	for _, x := range exercises {
		times[x]++
	}
	return most(times)
}
