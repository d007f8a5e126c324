package guard

import (
	"bytes"
	stderrors "errors"
	"io"
	"regexp"

	"cuelang.org/go/cue/literal"
	"go.yaml.in/yaml/v3"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// plainYAML reads a YAML text that is nothing but records, lists and usual values straight into a tree, without the syntax of CUE in
// between: a roster reads thousands. Whatever is unusual is nil, and left to the way by which CUE reads it, which tells what is
// wrong: so nothing is refused here, and what is accepted means what it means there.
func plainYAML(name string, src []byte) (root *tree.Node) {
	defer func() {
		if recover() != nil { // the careful way tells that the reader failed
			root = nil
		}
	}()
	d := yaml.NewDecoder(bytes.NewReader(src))
	var doc, more yaml.Node
	if d.Decode(&doc) != nil || !stderrors.Is(d.Decode(&more), io.EOF) || len(doc.Content) != 1 {
		return nil
	}
	top := doc.Content[0]
	if top.Kind != yaml.MappingNode || len(top.Content) == 0 {
		return nil
	}
	y := plainReader{name: name, lines: bytes.Count(bytes.TrimSuffix(src, []byte("\n")), []byte("\n")) + 1}
	root = y.value(top, 0)
	if root != nil {
		root.Pos = y.place(top.Content[0]) // a file begins where its first field does
	}
	return root
}

type plainReader struct {
	name  string
	lines int // of the file
	n     int // values, as the checker counts them
}

func (y *plainReader) place(n *yaml.Node) finding.Pos {
	return finding.Pos{File: y.name, Line: n.Line, Column: n.Column}
}

// value is nil for what is unusual, such as nothing at the end of a file, which stands on a line that is not there.
func (y *plainReader) value(n *yaml.Node, depth int) *tree.Node {
	if y.n++; y.n > maxValues || depth > maxDepth || n.Line > y.lines || n.Style&yaml.TaggedStyle != 0 || n.Anchor != "" {
		return nil
	}
	out := &tree.Node{Pos: y.place(n)}
	switch n.Kind {
	case yaml.ScalarNode:
		return plainScalar(out, n)
	case yaml.SequenceNode:
		if len(n.Content) > maxList {
			return nil
		}
		out.Kind, out.Elem = tree.List, make([]*tree.Node, 0, len(n.Content))
		for _, e := range n.Content {
			m := y.value(e, depth+1)
			if m == nil {
				return nil
			}
			out.Append(m)
		}
		return out
	case yaml.MappingNode:
		out.Kind, out.Field = tree.Record, make(map[string]*tree.Node, len(n.Content)/2)
		for i := 0; i < len(n.Content); i += 2 {
			k := n.Content[i]
			y.n++ // a field counts beside its value
			if k.Kind != yaml.ScalarNode || k.Tag != "!!str" || k.Style&yaml.TaggedStyle != 0 || k.Value == "" || len(k.Value) > maxName || out.Field[k.Value] != nil {
				return nil
			}
			v := y.value(n.Content[i+1], depth+1)
			if v == nil {
				return nil
			}
			out.Set(k.Value, v)
		}
		return out
	}
	return nil
}

// usualNumber is a number that CUE, YAML and JSON write alike.
var usualNumber = regexp.MustCompile(`^-?(0|[1-9][0-9]{0,15})(\.[0-9]{1,6})?$`)

func plainScalar(out *tree.Node, n *yaml.Node) *tree.Node {
	switch n.Tag {
	case "!!str":
		if len(n.Value) > maxString/8 { // far below the bound in any way of writing
			return nil
		}
		out.Kind, out.Str, out.Raw = tree.Text, n.Value, quoted(n.Value, literal.String.WithOptionalTabIndent(1))
	case "!!timestamp":
		out.Kind, out.Str, out.Raw = tree.Text, n.Value, quoted(n.Value, literal.String)
	case "!!int", "!!float":
		d, err := unit.ParseDec(n.Value)
		if err != nil || !usualNumber.MatchString(n.Value) {
			return nil
		}
		out.Kind, out.Num, out.Raw = tree.Number, d, n.Value
	case "!!bool":
		if n.Value != "true" && n.Value != "false" {
			return nil
		}
		out.Kind, out.Bool, out.Raw = tree.Bool, n.Value == "true", n.Value
	case "!!null":
		out.Kind, out.Raw = tree.Null, "null"
	default:
		return nil
	}
	return out
}

// quoted is a text as CUE writes it; most need no more than the quotes.
func quoted(s string, form literal.Form) string {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '"' || c == '\\' {
			return form.Quote(s)
		}
	}
	return `"` + s + `"`
}
