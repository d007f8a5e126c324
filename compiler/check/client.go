package check

import (
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Occasion is when and for what a client is judged. A zero Start means that no start is set yet: ages then run to
// Today, the civil date of now in the client's zone.
type Occasion struct {
	Protocols []*record.Protocol
	Start     unit.Date
	Today     unit.Date
}

// day is the date to which ages run.
func (o Occasion) day() unit.Date {
	if o.Start != 0 {
		return o.Start
	}
	return o.Today
}

// Client judges a client record for an occasion: the programme as a whole, every screening answer, every measurement
// that the protocols stand on, and the resting pressure.
func (c *Checker) Client(cl *load.Client, o Occasion) []finding.Finding {
	out := c.Judge("programme", c.programmeGiven(cl, o))
	for _, q := range c.Base.Questions {
		for _, m := range modalities(o.Protocols) {
			out = append(out, c.Judge("answer", answerGiven(cl, q, m))...)
		}
	}
	for _, g := range gripGivens(cl, o) {
		out = append(out, c.Judge("measurement", g)...)
	}
	for _, g := range c.pressureGivens(cl, o) {
		out = append(out, c.Judge("measurement", g)...)
	}
	return private(onePerPlace(out))
}

func modalities(ps []*record.Protocol) (out []record.Modality) {
	seen := map[record.Modality]bool{}
	for _, p := range ps {
		if !seen[p.Modality] {
			seen[p.Modality] = true
			out = append(out, p.Modality)
		}
	}
	return out
}

func (c *Checker) programmeGiven(cl *load.Client, o Occasion) rule.Given {
	g := tree.NewRecord()
	g.Link("client", cl.Node)
	ps := tree.NewList()
	for _, p := range o.Protocols {
		ps.Append(tree.Str(p.ID))
	}
	g.Set("protocols", ps)
	unanswered, first := 0, ""
	for _, q := range c.Base.Questions {
		if a := cl.Record.Answers[q.ID]; a != "yes" && a != "no" {
			if unanswered++; first == "" {
				first = q.ID
			}
		}
	}
	s := tree.NewRecord()
	s.Set("asked", tree.Int(len(c.Base.Questions)))
	s.Set("unanswered", tree.Int(unanswered))
	str(s, "first", first)
	s.Set("set", tree.Int(c.Base.QuestionSet))
	g.Set("screening", s)
	if o.Start != 0 {
		st := tree.NewRecord()
		st.Set("date", tree.Str(o.Start.String()))
		st.Set("daysAway", tree.Int(int(o.Start-o.Today)))
		g.Set("start", st)
	}
	g.Set("readings", tree.Int(len(cl.Record.BloodPressure)))
	unjudged := 0
	for _, k := range []string{"conditions", "medicines", "clearances"} {
		unjudged += len(cl.Node.Get(k).Items())
	}
	g.Set("unjudged", tree.Int(unjudged))
	return rule.Given{Node: g, Anchor: cl.Node}
}

func answerGiven(cl *load.Client, q rule.Question, m record.Modality) rule.Given {
	g := tree.NewRecord()
	str(g, "id", q.ID)
	str(g, "asks", q.Asks)
	str(g, "says", q.Says)
	str(g, "effect", q.Effect)
	str(g, "modality", string(m))
	g.Set("concerns", tree.Truth(q.Concerns(m)))
	answers := cl.Node.Get("screening", "answers")
	if a := answers.Get(q.ID); a != nil {
		g.Link("answer", a)
	}
	anchor := cl.Node
	if answers != nil {
		anchor = answers
	}
	return rule.Given{Node: g, Anchor: anchor}
}
