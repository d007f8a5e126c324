// Package tree holds an author's file as plain data that still knows its places.
//
// A Node is one value: a number, text, truth value, null, list or record. Every node of a file knows where it was
// written (Pos) and how it is reached from the top of its document (Path), so that a finding always points into the
// file that a person wrote. Nodes made by the program itself (facts such as an age in days) have no place.
package tree

import (
	"fmt"
	"strconv"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/unit"
)

// Kind is the kind of a node.
type Kind byte

const (
	Null Kind = iota
	Number
	Text
	Bool
	List
	Record
)

var kindNames = [...]string{"nothing", "a number", "text", "a truth value", "a list", "a record"}

// String names the kind as a sentence would.
func (k Kind) String() string { return kindNames[k] }

// Node is one value with its place. Nodes are read-only once built.
type Node struct {
	Pos  finding.Pos
	Kind Kind
	Num  unit.Dec
	// Raw is the number or word as its author wrote it.
	Raw  string
	Str  string
	Bool bool
	Elem []*Node
	// Keys holds the field names of a record in written order; Field finds their values.
	Keys  []string
	Field map[string]*Node

	up  *Node
	key string // field name, or "" in a list
	idx int
}

// NewRecord is an empty record without a place.
func NewRecord() *Node { return &Node{Kind: Record, Field: map[string]*Node{}} }

// At is an empty record at a place.
func At(p finding.Pos) *Node { n := NewRecord(); n.Pos = p; return n }

// Borrow is a record at n's place with n's fields, which keep their own places and paths.
func (n *Node) Borrow() *Node {
	out := At(n.Pos)
	for _, k := range n.Keys {
		out.Link(k, n.Field[k])
	}
	return out
}

// Num makes a number node without a place.
func Num(d unit.Dec) *Node { return &Node{Kind: Number, Num: d, Raw: d.String()} }

// Int makes a whole-number node without a place.
func Int(n int) *Node { return &Node{Kind: Number, Num: unit.Int(int64(n)), Raw: strconv.Itoa(n)} }

// Str makes a text node without a place.
func Str(s string) *Node { return &Node{Kind: Text, Str: s, Raw: strconv.Quote(s)} }

// Truth makes a truth-value node without a place.
func Truth(b bool) *Node { return &Node{Kind: Bool, Bool: b, Raw: strconv.FormatBool(b)} }

// NewList makes a list node without a place.
func NewList(elem ...*Node) *Node { return &Node{Kind: List, Elem: elem} }

// Set puts a child that belongs to this document: its path leads through n.
func (n *Node) Set(key string, c *Node) *Node {
	c.up, c.key = n, key
	return n.Link(key, c)
}

// Link puts a child that keeps its own place and path, such as a field borrowed from an author's file.
func (n *Node) Link(key string, c *Node) *Node {
	if _, old := n.Field[key]; !old {
		n.Keys = append(n.Keys, key)
	}
	n.Field[key] = c
	return n
}

// Append adds a list element that belongs to this document.
func (n *Node) Append(c *Node) {
	c.up, c.idx = n, len(n.Elem)
	n.Elem = append(n.Elem, c)
}

// Detach makes n the top of its own document.
func (n *Node) Detach() { n.up, n.key = nil, "" }

// Get follows field names and list indices; nil when anything on the way is missing.
func (n *Node) Get(path ...string) *Node {
	for _, p := range path {
		if n == nil {
			return nil
		}
		switch n.Kind {
		case List:
			i, err := strconv.Atoi(p)
			if err != nil || i < 0 || i >= len(n.Elem) {
				return nil
			}
			n = n.Elem[i]
		default:
			n = n.Field[p]
		}
	}
	return n
}

// Path is the way from the top of the document, written ramp[0].load.fraction; empty at the top.
func (n *Node) Path() string {
	var parts []*Node
	for ; n != nil && n.up != nil; n = n.up {
		parts = append(parts, n)
	}
	var b strings.Builder
	for i := len(parts) - 1; i >= 0; i-- {
		p := parts[i]
		switch {
		case p.up.Kind == List:
			fmt.Fprintf(&b, "[%d]", p.idx)
		case b.Len() > 0:
			b.WriteString("." + p.key)
		default:
			b.WriteString(p.key)
		}
	}
	return b.String()
}

// Join writes the path of a field that is missing below n.
func (n *Node) Join(missing ...string) string {
	p := n.Path()
	for _, m := range missing {
		if p != "" {
			p += "."
		}
		p += m
	}
	return p
}

// Text is the string of a text node, "" for anything else or nil.
func (n *Node) Text() string {
	if n == nil || n.Kind != Text {
		return ""
	}
	return n.Str
}

// Number is the value of a number node, 0 for anything else or nil.
func (n *Node) Number() unit.Dec {
	if n == nil || n.Kind != Number {
		return unit.Dec{}
	}
	return n.Num
}

// Whole is the value of a number node as an int, 0 for anything else or nil.
func (n *Node) Whole() int { return int(n.Number().Int64()) }

// WholeUp is Whole, rounded up where there is a fraction: a floor of 24.5 is not kept by 24.
func (n *Node) WholeUp() int { return int(n.Number().Ceil(unit.Int(1)).Int64()) }

// Items is the elements of a list, none for anything else or nil.
func (n *Node) Items() []*Node {
	if n == nil {
		return nil
	}
	return n.Elem
}

// Equal compares kind and value, not places: 0.30 equals 0.3.
func Equal(a, b *Node) bool {
	if a == nil || b == nil || a.Kind != b.Kind {
		return a == b
	}
	switch a.Kind {
	case Number:
		return a.Num.Cmp(b.Num) == 0
	case Text:
		return a.Str == b.Str
	case Bool:
		return a.Bool == b.Bool
	case List:
		if len(a.Elem) != len(b.Elem) {
			return false
		}
		for i := range a.Elem {
			if !Equal(a.Elem[i], b.Elem[i]) {
				return false
			}
		}
	case Record:
		if len(a.Field) != len(b.Field) {
			return false
		}
		for k, v := range a.Field {
			if w, ok := b.Field[k]; !ok || !Equal(v, w) {
				return false
			}
		}
	}
	return true
}
