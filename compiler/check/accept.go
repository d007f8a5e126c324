package check

import (
	"strconv"
	"strings"

	"isocue.example/compiler/load"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
)

// Accepts says whether a number may be offered in place of one that the schema refused in a protocol: whether no rule that points at that
// place would refuse it. What else is wrong with the protocol does not count.
func (c *Checker) Accepts(p, at *tree.Node, offer *tree.Node) bool {
	path := strings.FieldsFunc(at.Path(), func(r rune) bool { return strings.ContainsRune(".[]", r) })
	ramp, index := p.Get("ramp").Items(), 0
	var entry *tree.Node
	if len(path) > 2 && path[0] == "ramp" {
		if i, err := strconv.Atoi(path[1]); err == nil && i < len(ramp) {
			entry, index, path = ramp[i], i, path[2:]
		}
	}
	v := offer
	for i := len(path) - 1; i >= 0; i-- {
		v = tree.NewRecord().Link(path[i], v)
	}
	g := tree.Merge(load.Overlay(p, entry), v)
	defaultPhase(g)
	g.Set("stage", tree.NewRecord().Link("index", tree.Int(index)).Link("ramp", tree.Truth(entry != nil)))
	for _, about := range []string{"protocol", "stage"} {
		for _, r := range c.rules(about, g) {
			if r.At != strings.Join(path, ".") || r.Value(g) == nil {
				continue
			}
			if f, silent := r.Judge(rule.Given{Node: g}); !silent && f.Rejects() {
				return false
			}
		}
	}
	return true
}
