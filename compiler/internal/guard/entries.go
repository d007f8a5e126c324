package guard

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/tree"
)

// MaxEntry is the largest element of a list that is read by itself, in bytes.
const MaxEntry = 8 << 10

// Entry is one element of a list in YAML, read by itself.
type Entry struct {
	Root     *tree.Node // nil where it cannot be read
	Text     string     // as it was written, without its last line end
	Line     int
	Findings []finding.Finding
}

// what a list that is read element by element is written like.
const entryForm = "each entry begins a line, such as - {date: 2027-01-02, by: \"L. Brandt\", ill: \"fever\"}"

// Entries reads the list that a YAML text is, each element by itself: one that cannot be read spoils no other, and costs no more
// than its own length. An element begins at a line that starts with a hyphen; lines that are indented belong to it. The findings
// are about lines that belong to none.
func Entries(name string, src []byte) (out []Entry, fs []finding.Finding) {
	bad := func(line int, says string) {
		fs = append(fs, finding.Finding{Rule: Unreadable, Verdict: finding.Malformed, Pos: finding.Pos{File: name, Line: line, Column: 1},
			Message: says, Remedy: "write it as an entry of its own, or put # before it: " + entryForm, Rationale: unreadWhy})
	}
	if rest, ok := bytes.CutPrefix(src, []byte("\ufeff")); ok {
		bad(1, "file starts with a byte order mark, allowed: UTF-8 without one")
		src = rest
	}
	line := 0
	for l := range strings.Lines(string(src)) {
		line++
		text := strings.TrimRight(l, "\r\n")
		switch {
		case text == "-" || strings.HasPrefix(text, "- "):
			out = append(out, Entry{Text: text, Line: line})
		case strings.TrimSpace(text) == "" || text[0] == '#' || len(out) == 0 && text == "---":
			if len(out) > 0 {
				out[len(out)-1].Text += "\n" + text // it may stand inside an entry of several lines
			}
		case len(out) > 0 && (text[0] == ' ' || text[0] == '\t'):
			out[len(out)-1].Text += "\n" + text
		default:
			bad(line, "the line belongs to no entry")
		}
	}
	for i := range out {
		out[i].Text = trailing.ReplaceAllString(out[i].Text, "")
		out[i].read(name)
	}
	return out, fs
}

// trailing are the comments and empty lines behind an entry.
var trailing = regexp.MustCompile(`(\n[ \t]*(#[^\n]*)?)+$`)

// read reads one element, as a text whose record stands two columns in: where it does in the file.
func (e *Entry) read(name string) {
	if len(e.Text) > MaxEntry {
		e.Findings = []finding.Finding{{Rule: Unreadable, Verdict: finding.Malformed, Pos: finding.Pos{File: name, Line: e.Line, Column: 1},
			Message: fmt.Sprintf("the entry has %d bytes, allowed: at most %d", len(e.Text), MaxEntry), Remedy: "shorten its note", Rationale: unreadWhy}}
		return
	}
	src := []byte(" " + e.Text[1:])
	if strings.TrimSpace(string(src)) == "" {
		e.Findings = []finding.Finding{{Rule: Unreadable, Verdict: finding.Malformed, Pos: finding.Pos{File: name, Line: e.Line, Column: 1},
			Message: "the entry is empty", Remedy: "remove the line", Rationale: unreadWhy}}
		return
	}
	doc, fs := Parse(name, src, YAML, "")
	for i := range fs {
		fs[i].Pos.Line += e.Line - 1
	}
	e.Findings = fs
	if doc != nil {
		e.Root = doc.Root
		lower(e.Root, e.Line-1)
	}
}

// lower moves a tree that was read by itself down to where it stands in its file.
func lower(n *tree.Node, lines int) {
	n.Pos.Line += lines
	for _, k := range n.Keys {
		lower(n.Field[k], lines)
	}
	for _, e := range n.Elem {
		lower(e, lines)
	}
}
