package guard

import (
	"bytes"
	"encoding/json"
	stderrors "errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"isocue.example/compiler/finding"
)

// text refuses what no text file of ours may hold.
func text(name string, src []byte) (finding.Finding, bool) {
	fd := finding.Finding{Rule: Unreadable, Verdict: finding.Malformed,
		Rationale: unreadWhy}
	at := -1
	switch {
	case len(src) > MaxBytes:
		fd.Pos = finding.Pos{File: name, Line: 1, Column: 1}
		fd.Message = fmt.Sprintf("file is larger than allowed: at most %d bytes", MaxBytes)
		fd.Remedy = "split it: one protocol or one client a file"
		return fd, true
	case strings.TrimSpace(string(src)) == "":
		fd.Pos = finding.Pos{File: name, Line: 1, Column: 1}
		fd.Message = "file is empty, allowed: a protocol, client record, policy or waivers file"
		fd.Remedy = "start from `isocue new protocol FILE` or `isocue new client FILE`"
		return fd, true
	case strings.HasPrefix(string(src), "\ufeff"):
		fd.Message, fd.Remedy, at = "file starts with a byte order mark, allowed: UTF-8 without one", "save it as UTF-8 without BOM", 0
	case !utf8.Valid(src):
		for at = 0; at < len(src); {
			r, n := utf8.DecodeRune(src[at:])
			if r == utf8.RuneError && n == 1 {
				break
			}
			at += n
		}
		fd.Message, fd.Remedy = fmt.Sprintf("byte 0x%02x is not UTF-8 text", src[at]), "save the file as UTF-8"
	case bytes.IndexByte(src, 0) >= 0:
		at = bytes.IndexByte(src, 0)
		fd.Message, fd.Remedy = "file holds a NUL byte, allowed: text", "remove the byte"
	default:
		return lineEnds(name, src)
	}
	fd.Pos = Place(name, src, at)
	return fd, true
}

// lineEnds refuses a carriage return that ends no line: a terminal goes back to the line's beginning there, and what follows hides
// what the reader should see.
func lineEnds(name string, src []byte) (finding.Finding, bool) {
	for at := 0; ; at++ {
		n := bytes.IndexByte(src[at:], '\r')
		if n < 0 {
			return finding.Finding{}, false
		}
		if at += n; !bytes.HasPrefix(src[at:], []byte("\r\n")) {
			return badEnd(Place(name, src, at), '\r'), true
		}
	}
}

func badEnd(p finding.Pos, r rune) finding.Finding {
	return finding.Finding{Rule: Unreadable, Verdict: finding.Malformed, Pos: p,
		Message: fmt.Sprintf("line ends with %U, allowed: a line feed, with or without a carriage return before it", r),
		Remedy:  "save the file with the line ends of Unix or Windows", Rationale: unreadWhy}
}

// breaks refuses what YAML takes for a line break and the reader beneath does not: places would be wrong, and past the
// last line feed it fails.
func breaks(name string, src []byte) (finding.Finding, bool) {
	s, line, start := string(src), 1, 0
	for i, r := range s {
		switch {
		case r == '\n':
			line, start = line+1, i+1
		case r == 0x85, r == 0x2028, r == 0x2029:
			return badEnd(finding.Pos{File: name, Line: line, Column: i - start + 1}, r), true
		}
	}
	return finding.Finding{}, false
}

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
