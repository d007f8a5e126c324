// Package compare says what differs between two protocols: the fields that their authors wrote, what that does to the dose week
// by week, and which findings come and go. Pure: it reads no file and judges nothing.
//
// A measure is a number of a dose that a reviewer weighs, such as the force-time of a session. Measures follow from the
// protocols alone: no client, and so no force or pressure in a unit.
package compare

import (
	"cmp"
	"fmt"
	"slices"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Side is one of the two: the file as its author wrote it, the record made of it, and what was found in it.
type Side struct {
	File     string
	Node     *tree.Node
	Protocol *record.Protocol
	Findings []finding.Finding
}

// Comparison is what differs from A to B.
type Comparison struct {
	A, B       Side
	Parameters []Parameter // in the order of A's file, then of B's
	Stretches  []Stretch   // the weeks of the longer course, from the first to the last
	Course     []Measure
	Appear     []finding.Finding // in B alone
	Vanish     []finding.Finding // in A alone
	Stay       []Pair            // in both
	Notes      []string          // what a reader must know beside the numbers
}

// Parameter is a field that differs, written ramp[0].load.fraction. A value is as its author wrote it, nil where there is none.
type Parameter struct {
	Path string  `json:"path"`
	A    *string `json:"a"`
	B    *string `json:"b"`
}

// Stretch is a run of weeks in which nothing about either dose changes. Week 1 is the first.
type Stretch struct {
	From, To int
	Measures []Measure
}

// Pair is one rule's finding at one path, in both.
type Pair struct{ A, B finding.Finding }

// Changed says whether the two findings say different things.
func (p Pair) Changed() bool {
	return p.A.Message != p.B.Message || p.A.Verdict != p.B.Verdict || p.A.Waiver != p.B.Waiver
}

// Protocols compares a with b; sitting holds the timings that a dose stands in.
func Protocols(a, b Side, sitting record.Sitting) Comparison {
	c := Comparison{A: a, B: b, Parameters: parameters(a.Node, b.Node)}
	for w := 1; w <= max(a.Protocol.Weeks, b.Protocol.Weeks); w++ {
		m := both(stage(a.Protocol, w, sitting), stage(b.Protocol, w, sitting))
		if n := len(c.Stretches); n > 0 && slices.EqualFunc(c.Stretches[n-1].Measures, m, Measure.same) {
			c.Stretches[n-1].To = w
			continue
		}
		c.Stretches = append(c.Stretches, Stretch{w, w, m})
	}
	c.Course = both(course(a.Protocol, sitting), course(b.Protocol, sitting))
	c.findings()
	c.notes()
	return c
}

// parameters flattens both and keeps what differs: 0.30 and 0.3 do not.
func parameters(a, b *tree.Node) (out []Parameter) {
	var order []string
	left, right := map[string]*tree.Node{}, map[string]*tree.Node{}
	flatten(a, func(path string, n *tree.Node) { order, left[path] = append(order, path), n })
	flatten(b, func(path string, n *tree.Node) {
		if right[path] = n; left[path] == nil {
			order = append(order, path)
		}
	})
	for _, p := range order {
		if !tree.Equal(left[p], right[p]) {
			out = append(out, Parameter{p, written(left[p]), written(right[p])})
		}
	}
	return out
}

// flatten calls use for every plain value below n, with its path.
func flatten(n *tree.Node, use func(string, *tree.Node)) {
	switch n.Kind {
	case tree.Record:
		for _, k := range n.Keys {
			flatten(n.Field[k], use)
		}
	case tree.List:
		for _, e := range n.Elem {
			flatten(e, use)
		}
	default:
		use(n.Path(), n)
	}
}

func written(n *tree.Node) *string {
	if n == nil {
		return nil
	}
	s := cmp.Or(n.Text(), n.Raw)
	return &s
}

// findings sorts out which come, go and stay: a finding is known by its rule and its path, not by its line.
func (c *Comparison) findings() {
	type key struct{ rule, path string }
	before := map[key]finding.Finding{}
	for _, f := range c.A.Findings {
		before[key{f.Rule, f.Path}] = f
	}
	stays := map[key]bool{}
	for _, f := range c.B.Findings {
		k := key{f.Rule, f.Path}
		if old, ok := before[k]; ok {
			stays[k] = true
			c.Stay = append(c.Stay, Pair{old, f})
		} else {
			c.Appear = append(c.Appear, f)
		}
	}
	for _, f := range c.A.Findings {
		if !stays[key{f.Rule, f.Path}] {
			c.Vanish = append(c.Vanish, f)
		}
	}
}

func (c *Comparison) notes() {
	a, b := c.A.Protocol, c.B.Protocol
	say := func(format string, args ...any) { c.Notes = append(c.Notes, fmt.Sprintf(format, args...)) }
	if a.Modality != b.Modality {
		say("A is %s and B is %s: two kinds of training; fields, minutes, sessions and findings can be set side by side, their loads cannot", a.Modality, b.Modality)
	}
	switch {
	case len(c.Parameters) == 0:
		say("nothing differs")
	case a.ID == b.ID && b.Revision == a.Revision:
		say("both are revision %d of %s, and they differ: raise the revision with every change, waivers and ledger name a protocol by it", a.Revision, a.ID)
	case a.ID == b.ID && b.Revision < a.Revision:
		say("the revision of %s falls from %d to %d: if B is the newer one, raise its revision", a.ID, a.Revision, b.Revision)
	}
}

// minutes is a span in minutes.
func minutes(t unit.Tenths) unit.Dec { return unit.Ratio(int64(t), 600) }
