package load

import (
	"bytes"
	"strings"

	"isocue.example/compiler/tree"
)

// At is a text of the protocol as a value that stands where some of its words stand in the file, from a byte of the text up to another.
// Where they are written otherwise than they are read, such as with an escape, or from is under 0, it stands where the text does.
func (p *Protocol) At(n *tree.Node, from, to int) *tree.Node {
	out, lines := *n, bytes.Split(p.source, []byte("\n"))
	if from < 0 || !n.Pos.IsValid() || n.Pos.Line > len(lines) || n.Pos.Column > len(lines[n.Pos.Line-1]) {
		return &out
	}
	words, before := n.Text()[from:to], n.Text()[:from]
	first := string(lines[n.Pos.Line-1][n.Pos.Column-1:])
	if i := after(first, words, strings.Count(before, words)); i >= 0 {
		out.Pos.Column += i
	} else if block(first) && n.Pos.Line < len(lines) {
		if i := after(string(lines[n.Pos.Line]), words, strings.Count(before, words)); i >= 0 {
			out.Pos.Line, out.Pos.Column = n.Pos.Line+1, i+1
		}
	}
	return &out
}

// block says whether a text begins on the line behind the one where its value does.
func block(first string) bool {
	return strings.HasPrefix(first, "|") || strings.HasPrefix(first, ">") || strings.HasPrefix(first, `"""`)
}

// after is where some words stand in a line behind as many others of the same, -1 where they do not.
func after(line, words string, others int) int {
	for at := 0; ; at += len(words) {
		i := strings.Index(line[at:], words)
		if i < 0 {
			return -1
		}
		if at += i; others == 0 {
			return at
		}
		others--
	}
}
