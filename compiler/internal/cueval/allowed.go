package cueval

import (
	"fmt"
	"strings"

	"cuelang.org/go/cue"

	"isocue.example/compiler/unit"
)

// missing describes what a field that is absent would have to be.
func (s *Schema) missing(uni cue.Value, at []string) string {
	sels := toPath(at).Selectors()
	n := len(sels) - 1
	for _, sel := range []cue.Selector{sels[n].Required(), sels[n].Optional(), sels[n]} {
		if c := uni.LookupPath(cue.MakePath(append(sels[:n:n], sel)...)); c.Exists() {
			if t := s.allowed(c); t != "" {
				return t
			}
		}
	}
	return ""
}

// allowed puts a constraint into words: a range, a list of choices, a named pattern. Conjuncts of the author's own
// data carry no file name and are left out.
func (s *Schema) allowed(v cue.Value) string {
	v = cue.Dereference(v)
	op, args := v.Expr()
	switch op {
	case cue.AndOp:
		return s.combine(conjuncts(v))
	case cue.OrOp:
		var out []string
		for _, a := range args {
			if t := s.allowed(a); t != "" {
				out = append(out, t)
			}
		}
		return list(out)
	case cue.GreaterThanEqualOp, cue.LessThanEqualOp, cue.GreaterThanOp, cue.LessThanOp, cue.NotEqualOp:
		return op.String() + text(args[0])
	case cue.RegexMatchOp, cue.NotRegexMatchOp:
		if re, err := args[0].String(); err == nil {
			if p := s.phrases[re]; p != "" {
				return p
			}
		}
		if op == cue.NotRegexMatchOp {
			return "text unlike " + text(args[0])
		}
		return "text like " + text(args[0])
	case cue.CallOp: // the longest that a text may be stands in the words of its pattern
		if len(args) == 2 && fmt.Sprint(args[0]) == "strings.MinRunes" {
			return "at least " + text(args[1]) + " characters"
		}
		return ""
	}
	if v.IsConcrete() {
		return text(v)
	}
	return kindWord(v.IncompleteKind())
}

func kindWord(k cue.Kind) string {
	switch k {
	case cue.IntKind:
		return "a whole number"
	case cue.NumberKind, cue.FloatKind:
		return "a number"
	case cue.StringKind:
		return "text"
	case cue.BoolKind:
		return "true or false"
	case cue.ListKind:
		return "a list"
	case cue.StructKind:
		return "a record"
	}
	return ""
}

func conjuncts(v cue.Value) []cue.Value {
	v = cue.Dereference(v)
	op, args := v.Expr()
	if op != cue.AndOp {
		return []cue.Value{v}
	}
	var out []cue.Value
	for _, a := range args {
		out = append(out, conjuncts(a)...)
	}
	return out
}

// combine prints >=a & <=b as a range and drops the type beside a bound or a pattern.
func (s *Schema) combine(cs []cue.Value) string {
	var low, high, typ, narrow string
	var rest []string
	for _, c := range cs {
		if c.Pos().Filename() == "" && c.IsConcrete() {
			continue // the author's own value
		}
		op, x := c.Expr()
		switch {
		case op == cue.NotRegexMatchOp: // it is the narrower one, and the words of the last one cover the others
			narrow = s.allowed(c)
		case op == cue.GreaterThanEqualOp:
			low = "at least " + text(x[0])
		case op == cue.GreaterThanOp:
			low = "over " + text(x[0])
		case op == cue.LessThanEqualOp:
			high = text(x[0])
		case op == cue.NoOp && !c.IsConcrete():
			if t := s.allowed(c); typ == "" || t == "a whole number" {
				typ = t
			}
		default:
			if t := s.allowed(c); t != "" && (len(rest) == 0 || rest[len(rest)-1] != t) {
				rest = append(rest, t)
			}
		}
	}
	switch {
	case narrow != "":
		return narrow
	case low != "" && high != "":
		rest = append(rest, strings.TrimPrefix(low, "at least ")+" to "+high)
	case low != "":
		rest = append(rest, low)
	case high != "":
		rest = append(rest, "at most "+high)
	}
	if len(rest) == 0 {
		return typ
	}
	if typ == "a whole number" {
		rest[0] = "a whole number " + rest[0]
	}
	return strings.Join(rest, " and ")
}

// text prints a value in plain decimal notation. Not Value.AppendFloat(b, 'f', -1): in v0.17.1 it rounds.
func text(v cue.Value) string {
	b, err := v.MarshalJSON()
	if err != nil {
		return ""
	}
	if d, err := unit.ParseDec(string(b)); err == nil {
		return d.String()
	}
	return string(b)
}

// list joins choices: a, b or c.
func list(s []string) string {
	if len(s) < 2 {
		return strings.Join(s, "")
	}
	return strings.Join(s[:len(s)-1], ", ") + " or " + s[len(s)-1]
}

// choices lists the texts that a constraint names.
func choices(v cue.Value) (out []string) {
	v = cue.Dereference(v)
	op, args := v.Expr()
	if op == cue.AndOp || op == cue.OrOp {
		for _, a := range args {
			out = append(out, choices(a)...)
		}
		return out
	}
	if s, err := v.String(); err == nil && v.Pos().Filename() != "" {
		out = append(out, s)
	}
	return out
}
