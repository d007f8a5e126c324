package guard

import (
	"bytes"
	"fmt"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/tree"
)

// MaxEntry is the largest element of a list that is read by itself, in bytes.
const MaxEntry = 8 << 10

// Entry is one element of a list in YAML, read by itself.
type Entry struct {
	Root     *tree.Node // nil where it cannot be read
	Text     string     // as it was written; Read leaves away the comments and empty lines behind it
	Line     int
	Findings []finding.Finding
}

// what a list that is read element by element is written like.
const entryForm = "each entry begins a line, such as - {date: 2027-01-02, by: \"L. Brandt\", ill: \"fever\"}"

// maxLoose is how many lines that belong to no entry are told.
const maxLoose = 100

// Entries takes the list that a YAML text is apart, for each element to be read by itself: one that cannot be read spoils no other, and
// costs no more than its own length. An element begins at a line that starts with a hyphen; lines that are indented belong to it, and so do
// comments and empty lines. The findings are about lines that belong to none. Where there are more than most
// elements, it stops behind one more.
func Entries(name string, src []byte, most int) (out []Entry, fs []finding.Finding) {
	bad := func(line int, says string) {
		if len(fs) < maxLoose {
			fs = append(fs, badLine(name, line, says, "write it as an entry of its own, or put # before it: "+entryForm))
		}
	}
	if rest, ok := bytes.CutPrefix(src, []byte("\ufeff")); ok {
		bad(1, "file starts with a byte order mark, allowed: UTF-8 without one")
		src = rest
	}
	text, line, at, open := string(src), 0, 0, -1
	end := func() { // of the element that is open
		if open >= 0 {
			out[len(out)-1].Text = text[open:at]
		}
		open = -1
	}
	for l := range strings.Lines(text) {
		line++
		body := strings.TrimRight(l, "\r\n")
		switch {
		case body == "-" || strings.HasPrefix(body, "- "):
			if end(); len(out) == most {
				return append(out, Entry{Line: line}), fs
			}
			out, open = append(out, Entry{Line: line}), at
		case open >= 0 && body != "" && (body[0] == ' ' || body[0] == '\t'):
		case strings.TrimSpace(body) == "" || strings.TrimSpace(body)[0] == '#' || len(out) == 0 && body == "---":
		default:
			end()
			bad(line, "the line belongs to no entry")
		}
		at += len(l)
	}
	end()
	return out, fs
}

// badLine is a finding about a line that cannot be read.
func badLine(name string, line int, says, remedy string) finding.Finding {
	return finding.Finding{Rule: Unreadable, Verdict: finding.Malformed, Pos: finding.Pos{File: name, Line: line, Column: 1}, Message: says, Remedy: remedy, Rationale: unreadWhy}
}

// bare is an entry without the comments and empty lines behind it, which may be many.
func bare(text string) string {
	for {
		text = strings.TrimRight(text, " \t\r\n")
		i := strings.LastIndexByte(text, '\n')
		if i < 0 || !strings.HasPrefix(strings.TrimLeft(text[i+1:], " \t"), "#") {
			return text
		}
		text = text[:i]
	}
}

// Read reads one element, as a text whose record stands two columns in: where it does in the file.
func (e *Entry) Read(name string) {
	e.Text = bare(e.Text)
	bad := func(says, remedy string) {
		e.Findings = []finding.Finding{badLine(name, e.Line, says, remedy)}
	}
	if len(e.Text) > MaxEntry {
		bad(fmt.Sprintf("the entry has %d bytes, allowed: at most %d", len(e.Text), MaxEntry), "shorten its note")
		return
	}
	src := []byte(" " + e.Text[1:])
	if strings.TrimSpace(string(src)) == "" {
		bad("the entry is empty", "remove the line")
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
