package check

import (
	"fmt"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
)

// Standards finds a standard protocol's file by id; nil when there is none.
type Standards func(id string) *load.File

// ExampleGivens is the facts of one of a rule's examples: a case laid over a standard protocol, in every stage, or
// over a sample. It serves the tests, and the rule pages, whose output is made by running the checker.
func ExampleGivens(b *rule.Base, standard Standards, r *rule.Rule, example *tree.Node) ([]rule.Given, error) {
	of := r.Example.Of
	if s, ok := b.Samples()[of]; ok {
		if s.About != r.About {
			return nil, fmt.Errorf("example is laid over sample %s about %s, the rule is about %s", of, s.About, r.About)
		}
		return []rule.Given{{Node: merge(s.Given, example)}}, nil
	}
	f := standard(of)
	if f == nil || len(f.Protocols) != 1 {
		return nil, fmt.Errorf("example is laid over %q, which is neither a sample nor a standard protocol", of)
	}
	p, err := load.Lay(merge(f.Protocols[0].Node, example))
	if err != nil {
		return nil, err
	}
	if r.About == "protocol" {
		return []rule.Given{ProtocolGiven(p)}, nil
	}
	var out []rule.Given
	for i := range p.Stages {
		out = append(out, New(b).StageGiven(p, i))
	}
	return out, nil
}

// JudgeExample is what the checker says about one of a rule's examples: the finding of the first stage that has one, nil when
// all are silent. Its place is in no file.
func JudgeExample(b *rule.Base, standard Standards, r *rule.Rule, example *tree.Node) (*finding.Finding, error) {
	gs, err := ExampleGivens(b, standard, r, example)
	if err != nil {
		return nil, err
	}
	for _, g := range gs {
		if f, ok := r.Judge(g); !ok {
			f.Pos = finding.Pos{File: "example"}
			return &f, nil
		}
	}
	return nil, nil
}

// merge lays over upon base, record by record; a null takes a field away.
func merge(base, over *tree.Node) *tree.Node {
	if over == nil {
		return base
	}
	if base == nil || base.Kind != tree.Record || over.Kind != tree.Record {
		return over
	}
	out := tree.At(base.Pos)
	for _, k := range base.Keys {
		v := merge(base.Field[k], over.Field[k])
		if v.Kind != tree.Null {
			out.Set(k, copyOf(v))
		}
	}
	for _, k := range over.Keys {
		if base.Field[k] == nil && over.Field[k].Kind != tree.Null {
			out.Set(k, copyOf(over.Field[k]))
		}
	}
	return out
}

// copyOf is a shallow copy, so that a node may stand in a second document with a path of its own.
func copyOf(n *tree.Node) *tree.Node {
	c := *n
	if n.Kind == tree.Record {
		c.Field, c.Keys = map[string]*tree.Node{}, nil
		for _, k := range n.Keys {
			c.Set(k, copyOf(n.Field[k]))
		}
	}
	if n.Kind == tree.List {
		c.Elem = nil
		for _, e := range n.Elem {
			c.Append(copyOf(e))
		}
	}
	return &c
}
