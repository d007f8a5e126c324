package check

import (
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// plainAnswer is all that the facts of an answer depend on where the record has no detail of it: many clients give the same
// answers to the same questions, and what no rule finds anything in is not worked out anew for each. Places are not among them:
// without a finding nobody asks for one.
type plainAnswer struct {
	question string
	modality record.Modality
	answer   string // "" where none was given
	cleared  bool
	hands    int
	pause    unit.Tenths
}

// answers judges every screening answer against one modality.
func (c *Checker) answers(cl *load.Client, m record.Modality, o Occasion) (out []finding.Finding) {
	r := cl.Record
	given := cl.Node.Get("screening", "answers")
	plain := plainAnswer{modality: m, hands: 2 - len(c.Barred(r)), pause: longestPause(o)}
	for _, q := range c.Base.Questions() {
		plain.question, plain.answer = q.ID, given.Get(q.ID).Text()
		plain.cleared = opened(r, q.ID, m, o.from()) != nil
		known := c.Timer == nil && condition(r, q.ID) == nil // who counts the time of each rule wants each to be run
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
