package guard

import (
	"bytes"
	"encoding/json"
	stderrors "errors"

	"go.yaml.in/yaml/v3"

	"isocue.example/compiler/finding"
)

// invalid refuses what is no JSON, without the parser of CUE: that one would first look for CUE in it.
func invalid(name string, src []byte) []finding.Finding {
	if json.Valid(src) {
		return nil
	}
	var x any
	err := json.Unmarshal(src, &x)
	p := finding.Pos{File: name, Line: 1, Column: 1}
	var at *json.SyntaxError
	if stderrors.As(err, &at) && at.Offset > 0 {
		p = Place(name, src, int(at.Offset)-1)
	}
	return []finding.Finding{{Rule: Unreadable, Verdict: finding.Malformed, Pos: p, Message: "cannot be read as JSON: " + err.Error(),
		Remedy: repairSyntax, Rationale: unreadWhy}}
}

// Place is the line and column of a byte.
func Place(name string, src []byte, at int) finding.Pos {
	before := src[:at]
	return finding.Pos{File: name, Line: 1 + bytes.Count(before, []byte("\n")), Column: at - bytes.LastIndexByte(before, '\n')}
}

// references refuses anchors, and so aliases, and merge keys in YAML: a value that stands for another is no more data there
// than in CUE, it may multiply what it names, and a merge key may name itself, on which the reader beneath never ends. What
// cannot be read is left to that reader to tell.
func references(name string, src []byte) (out []finding.Finding) {
	if !bytes.Contains(src, []byte("&")) && !bytes.Contains(src, []byte("<<")) {
		return nil
	}
	c := &checker{name: name}
	defer func() { // a reader of others that fails on a file has not read it
		if p := recover(); p != nil {
			out = finding.Sort(c.out)
		}
	}()
	for d := yaml.NewDecoder(bytes.NewReader(src)); ; {
		var n yaml.Node
		if d.Decode(&n) != nil {
			return finding.Sort(c.out)
		}
		c.references(&n)
	}
}

func (c *checker) references(n *yaml.Node) {
	if len(c.out) == maxFindings {
		return
	}
	bad := func(n *yaml.Node, what string) {
		c.add(finding.Pos{File: c.name, Line: max(n.Line, 1), Column: max(n.Column, 1)}, DataOnly, cut(what)+" is not data, allowed: each value where it stands", writePlain, dataWhy)
	}
	if n.Anchor != "" {
		bad(n, "the anchor &"+n.Anchor)
	}
	for i, m := range n.Content {
		if n.Kind == yaml.MappingNode && i%2 == 0 && m.Value == "<<" {
			bad(m, "the merge key <<")
		}
		c.references(m)
	}
}
