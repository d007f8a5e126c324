package cueval

import (
	"regexp"
	"unicode/utf8"

	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// answer is what a compiled shape says of a value. Only yes counts: no and unsure are both put to CUE, which alone says what is
// wrong.
type answer byte

const (
	no answer = iota
	unsure
	yes
)

// shape is one value of the schema, compiled: it says of data what CUE would, at a small part of the cost.
type shape interface{ fits(n *tree.Node) answer }

// worst is the answer to both of two questions.
func worst(a, b answer) answer { return min(a, b) }

// unknown is a value of the schema that is not understood here; why says in words what it is.
type unknown struct{ at, why string }

func (unknown) fits(*tree.Node) answer { return unsure }

// kind is a basic type. whole is CUE's int.
type kind struct {
	of    tree.Kind
	whole bool
}

func (k kind) fits(n *tree.Node) answer { return is(n.Kind == k.of && (!k.whole || n.Num.IsInt())) }

// word is one text.
type word string

func (l word) fits(n *tree.Node) answer { return is(n.Kind == tree.Text && n.Str == string(l)) }

// truth is one truth value, which says by being there what it says.
type truth bool

func (t truth) fits(n *tree.Node) answer { return is(n.Kind == tree.Bool && n.Bool == bool(t)) }

// bound holds a number from one side; side is the sign of value minus bound that is allowed, beside equal.
type bound struct {
	to    unit.Dec
	side  int
	equal bool
}

// surely is how many characters a number may have whose digits CUE keeps all; the guard lets no longer one through.
const surely = 24

func (b bound) fits(n *tree.Node) answer {
	switch {
	case n.Kind != tree.Number:
		return no
	case len(n.Raw) > surely:
		return unsure
	}
	c := n.Num.Cmp(b.to)
	return is(c == b.side || c == 0 && b.equal)
}

// pattern is a regular expression, of the same library that CUE uses.
type pattern struct {
	re  *regexp.Regexp
	not bool
}

func (p pattern) fits(n *tree.Node) answer {
	return is(n.Kind == tree.Text && p.re.MatchString(n.Str) != p.not)
}

// runes bounds the length of a text, both ends included.
type runes struct{ least, most int }

func (r runes) fits(n *tree.Node) answer {
	if n.Kind != tree.Text {
		return no
	}
	k := utf8.RuneCountInString(n.Str)
	return is(k >= r.least && k <= r.most)
}

// all is a conjunction.
type all []shape

func (a all) fits(n *tree.Node) answer {
	out := yes
	for _, s := range a {
		if out = worst(out, s.fits(n)); out == no {
			return no
		}
	}
	return out
}

// either is a disjunction of plain values; data makes it definite.
type either []shape

func (e either) fits(n *tree.Node) answer {
	out := no
	for _, s := range e {
		if out = max(out, s.fits(n)); out == yes {
			return yes
		}
	}
	return out
}

// field is one named field of a record.
type field struct {
	shape
	required bool
}

// record is a closed record: named fields, and fields whose names fit a pattern.
type record struct {
	field    map[string]field
	required int // how many are
	names    []shape
	values   []shape // of the names
}

func (r *record) fits(n *tree.Node) answer {
	if n.Kind != tree.Record {
		return no
	}
	out, required := yes, 0
	for k, v := range n.Field {
		f, known := r.field[k]
		if known {
			if f.required {
				required++
			}
			out = worst(out, f.fits(v))
		}
		for i, name := range r.names {
			switch name.fits(&tree.Node{Kind: tree.Text, Str: k}) {
			case yes:
				known = true
				out = worst(out, r.values[i].fits(v))
			case unsure:
				known = true
				out = worst(out, unsure)
			}
		}
		if !known || out == no {
			return no
		}
	}
	if required < r.required {
		return no
	}
	return out
}

// elements is a list: first its own elements, then any number of rest; none where that is nil.
type elements struct {
	first []shape
	rest  shape
}

func (l *elements) fits(n *tree.Node) answer {
	if n.Kind != tree.List || len(n.Elem) < len(l.first) || l.rest == nil && len(n.Elem) > len(l.first) {
		return no
	}
	out := yes
	for i, e := range n.Elem {
		s := l.rest
		if i < len(l.first) {
			s = l.first[i]
		}
		if out = worst(out, s.fits(e)); out == no {
			return no
		}
	}
	return out
}

func is(b bool) answer {
	if b {
		return yes
	}
	return no
}
