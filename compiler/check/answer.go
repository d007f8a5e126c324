package check

import (
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// plainAnswer is all that the facts of an answer depend on where the record has no detail of it and no clearance for it: many
// clients give the same answers to the same questions, and what no rule finds anything in is not worked out anew for each. Places
// are not among them: without a finding nobody asks for one.
type plainAnswer struct {
	question string
	modality record.Modality
	strain   record.Strain
	answer   string // "" where none was given
	hands    int
	pause    unit.Tenths
}

// answers judges every screening answer against one modality.
func (c *Checker) answers(cl *load.Client, m record.Modality, o Occasion) (out []finding.Finding) {
	r := cl.Record
	given := cl.Node.Get("screening", "answers")
	strain := c.strain(cl.Record, m, o)
	plain := plainAnswer{modality: m, strain: strain, hands: 2 - len(c.Barred(r, o.from())), pause: longestPause(o)}
	for _, q := range c.Base.Questions() {
		plain.question, plain.answer = q.ID, given.Get(q.ID).Text()
		// who counts the time of each rule wants each to be run
		known := c.Timer == nil && condition(r, q.ID) == nil && c.opened(r, q.ID, m, o.from()) == nil
		if _, silent := c.silent.Load(plain); known && silent {
			continue
		}
		fs := c.Judge("answer", c.answerGiven(cl, q, m, o))
		if known && len(fs) == 0 {
			c.silent.Store(plain, struct{}{})
		}
		out = append(out, fs...)
	}
	return out
}

// longestPause is the longest pause in the breath of the occasion's protocols.
func longestPause(o Occasion) (pause unit.Tenths) {
	for _, p := range o.Protocols {
		for _, s := range p.Stages {
			if p.Modality == record.SlowBreathing {
				pause = max(pause, s.Breath.Pause, s.Breath.Rest)
			}
		}
	}
	return pause
}

// answerGiven is what the rules know of one answer for one modality; plainAnswer has all of it that stands in no condition and no
// clearance.
func (c *Checker) answerGiven(cl *load.Client, q rule.Question, m record.Modality, o Occasion) rule.Given {
	g, r := tree.NewRecord(), cl.Record
	str(g, "id", q.ID)
	str(g, "asks", q.Asks)
	str(g, "says", q.Says)
	str(g, "minds", q.Minds)
	str(g, "modality", string(m))
	answers := cl.Node.Get("screening", "answers")
	anchor := cl.Node
	if answers != nil {
		anchor = answers
	}
	x := condition(r, q.ID)
	switch a := answers.Get(q.ID); {
	case x != nil:
		anchor = cl.Node.Get("conditions").Elem[x.Index].Get("code")
		str(g, "answer", "yes")
	case a != nil:
		g.Link("answer", a)
		anchor = a
	}
	g.Set("detail", tree.Truth(x != nil && (!q.Side || x.Side != "")))
	if x != nil {
		if until := history.Until(history.Question{WaitDays: q.WaitDays, Lasts: q.Lasts}, *x); until != history.Ahead {
			g.Set("waitDaysLeft", tree.Int(int(until-o.from())))
			str(g, "waitUntil", until.String())
		}
		if q.Lasts {
			g.Set("goesOn", tree.Truth(x.Until == 0))
		}
	}
	strain := c.strain(r, m, o)
	effect := q.Effect(strain)
	since, dated := 0, x != nil && x.Since != 0
	if dated {
		since = int(o.from() - x.Since)
		g.Set("sinceDays", tree.Int(since))
	}
	if free := q.FreeAfter[strain]; free > 0 && dated && since >= free {
		effect = "none"
	}
	str(g, "effect", effect)
	if wait := q.OpensAfter[strain]; wait > 0 { // a day that nobody knows may be today
		g.Set("opensInDays", tree.Int(wait-since))
	}
	by := c.opened(r, q.ID, m, o.from())
	g.Set("cleared", tree.Truth(by != nil))
	if by != nil {
		g.Set("clearedDays", tree.Int(int(o.from()-by.Date)))
	}
	g.Set("handsLeft", tree.Int(2-len(c.Barred(r, o.from()))))
	g.Set("noPause", tree.Truth(q.NoPause))
	num(g, "pauseSeconds", longestPause(o).Dec())
	str(g, "allowed", allowed(q))
	return rule.Given{Node: g, Anchor: anchor}
}
