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
		return []rule.Given{{Node: tree.Merge(s.Given, example)}}, nil
	}
	f := standard(of)
	if f == nil || len(f.Protocols) != 1 {
		return nil, fmt.Errorf("example is laid over %q, which is neither a sample nor a standard protocol", of)
	}
	p, err := load.Lay(tree.Merge(f.Protocols[0].Node, example))
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
