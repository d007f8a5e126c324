// Package check decides what is judged: it builds the facts that each kind of rule reads, and runs the rules on them.
//
// Facts are borrowed from the author's files where the author wrote them, so that a finding points into the file, and
// computed here where CUE cannot (ages, gaps, counts). The order is the compiler's: protocol and stage, programme,
// answer and measurement, then dose, then session and plan.
package check

import (
	"slices"
	"sync"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Checker runs one rule base. It may be shared.
type Checker struct {
	Base *rule.Base
	// Classes is the guideline set by which a pressure is classed; "" is the rule base's usual one. Sets are never mixed.
	Classes string
	// AllDays counts every day of a home window where two windows are compared; else the first day is dropped.
	AllDays bool
	// Timer counts the time that each rule takes; nil counts nothing.
	Timer  *Stopwatch
	silent sync.Map                             // of plainAnswer: those in which no rule finds anything
	known  map[*load.Protocol][]finding.Finding // what Remember judged
	lists  sync.Map                             // about and modality -> the rules that can apply
}

// New prepares a rule base for judging.
func New(b *rule.Base) *Checker { return &Checker{Base: b} }

// rules is those about one kind of thing that can concern the facts' modality.
func (c *Checker) rules(about string, g *tree.Node) []*rule.Rule {
	key := [2]string{about, g.Get("modality").Text()}
	if rs, ok := c.lists.Load(key); ok {
		return rs.([]*rule.Rule)
	}
	rs := c.Base.About(key[0], key[1])
	c.lists.Store(key, rs)
	return rs
}

// Judge runs every rule about one kind of thing on one set of facts. A finding that a graver rule covers stands behind that rule's.
func (c *Checker) Judge(about string, g rule.Given) []finding.Finding {
	var out []finding.Finding
	var by []*rule.Rule // whose they are
	for _, r := range c.rules(about, g.Node) {
		if f, ok := c.judge(r, g); !ok {
			out, by = append(out, f), append(by, r)
		}
	}
	return cover(out, by)
}

func (c *Checker) judge(r *rule.Rule, g rule.Given) (finding.Finding, bool) {
	if c.Timer != nil {
		defer c.Timer.lap(r.ID, c.Timer.Now())
	}
	return r.Judge(g)
}

// reads says whether a rule reads one of some facts, wherever they stand.
func reads(r *rule.Rule, facts ...string) bool {
	return slices.ContainsFunc(r.Reads(), func(path []string) bool {
		return slices.ContainsFunc(path, func(name string) bool { return slices.Contains(facts, name) })
	})
}

// cover puts each finding behind the first that may silence it: one finding for one mistake.
func cover(fs []finding.Finding, by []*rule.Rule) []finding.Finding {
	over := make([]int, len(fs)) // the finding that covers this one, counted from 1
	any := false
	for i, r := range by {
		for _, quiet := range r.Milder {
			for k := range fs {
				if fs[k].Rule == quiet && over[k] == 0 && !behind(over, i, k) {
					over[k], any = i+1, true
				}
			}
		}
	}
	if !any {
		return fs
	}
	var kept []finding.Finding
	for i, f := range fs {
		if over[i] == 0 {
			f.Covers = covered(fs, over, i)
			kept = append(kept, f)
		}
	}
	return kept
}

// behind says whether the i-th finding is the k-th, or stands behind it: two rules that cover each other must not both vanish.
func behind(over []int, i, k int) bool {
	for ; i != k && over[i] != 0; i = over[i] - 1 {
	}
	return i == k
}

// covered are the findings behind one, each with those behind it.
func covered(fs []finding.Finding, over []int, i int) (out []finding.Finding) {
	for k := range fs {
		if over[k] == i+1 {
			f := fs[k]
			f.Covers = covered(fs, over, k)
			out = append(out, f)
		}
	}
	return out
}

// private marks findings that point into a client's file.
func private(fs []finding.Finding) []finding.Finding {
	for i := range fs {
		fs[i].Private = true
	}
	return fs
}

// num sets a computed number, which is printed rounded; tree.Num is for one that is printed as it stands.
func num(n *tree.Node, key string, d unit.Dec) { n.Set(key, &tree.Node{Kind: tree.Number, Num: d}) }

func str(n *tree.Node, key, s string) {
	if s != "" {
		n.Set(key, tree.Str(s))
	}
}
