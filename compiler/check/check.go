// Package check decides what is judged: it builds the facts that each kind of rule reads, and runs the rules on them.
//
// Facts are borrowed from the author's files where the author wrote them, so that a finding points into the file, and
// computed here where CUE cannot (ages, gaps, counts). The order is the compiler's: protocol and stage, programme,
// answer and measurement, then dose, then session and plan.
package check

import (
	"isocue.example/compiler/finding"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
)

// Checker runs one rule base. It is immutable and may be shared.
type Checker struct {
	Base  *rule.Base
	about map[string][]*rule.Rule
}

// New prepares a rule base for judging.
func New(b *rule.Base) *Checker {
	c := &Checker{Base: b, about: map[string][]*rule.Rule{}}
	for _, r := range b.Rules {
		c.about[r.About] = append(c.about[r.About], r)
	}
	return c
}

// Judge runs every rule about one kind of thing on one set of facts, and drops findings that a graver rule covers.
func (c *Checker) Judge(about string, g rule.Given) []finding.Finding {
	var out []finding.Finding
	var quiet []string
	for _, r := range c.about[about] {
		f, ok := r.Judge(g)
		if ok {
			continue
		}
		out = append(out, f)
		quiet = append(quiet, r.Milder...)
	}
	return silence(out, quiet)
}

// silence drops the findings whose rule is among quiet: one finding for one mistake.
func silence(fs []finding.Finding, quiet []string) []finding.Finding {
	if len(quiet) == 0 {
		return fs
	}
	drop := make(map[string]bool, len(quiet))
	for _, q := range quiet {
		drop[q] = true
	}
	kept := fs[:0]
	for _, f := range fs {
		if !drop[f.Rule] {
			kept = append(kept, f)
		}
	}
	return kept
}

// private marks findings that point into a client's file.
func private(fs []finding.Finding) []finding.Finding {
	for i := range fs {
		fs[i].Private = true
	}
	return fs
}

func str(n *tree.Node, key, s string) {
	if s != "" {
		n.Set(key, tree.Str(s))
	}
}
