package cueval

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"sync"

	"cuelang.org/go/cue"
	"cuelang.org/go/cue/ast"

	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// deepest bounds how deep a shape is compiled: a definition that holds itself has no end.
const deepest = 24

// worth is how many records of a definition are put to CUE before its shape is compiled, which takes as long as some of them.
const worth = 8

// shapes are the definitions compiled so far.
type shapes struct {
	mu       sync.Mutex
	asked    map[string]int
	done     map[string]shape
	patterns map[string]*regexp.Regexp // many places share one
}

// fits says what the compiled shape of a definition says of n; unsure while it is not worth compiling.
func (s *Schema) fits(def string, v cue.Value, n *tree.Node) answer {
	s.shapes.mu.Lock()
	c, ok := s.shapes.done[def]
	if !ok && s.shapes.asked[def] < worth {
		if s.shapes.asked == nil {
			s.shapes.asked = map[string]int{}
		}
		s.shapes.asked[def]++
		c = unknown{def, "not compiled yet"}
	} else if !ok {
		c = s.compiled(def, v)
	}
	s.shapes.mu.Unlock()
	return c.fits(n)
}

// Fits says without CUE whether n is of the shape of a definition, and whether that is certain.
func (s *Schema) Fits(def string, n *tree.Node) (fits, certain bool) {
	s.shapes.mu.Lock()
	c, ok := s.shapes.done[def]
	if !ok {
		c = s.compiled(def, s.root.LookupPath(cue.ParsePath(def)))
	}
	s.shapes.mu.Unlock()
	a := c.fits(n)
	return a == yes, a != unsure
}

// compiled compiles a definition's shape and keeps it. Whoever calls it holds the lock.
func (s *Schema) compiled(def string, v cue.Value) shape {
	if s.shapes.done == nil {
		s.shapes.done, s.shapes.patterns = map[string]shape{}, map[string]*regexp.Regexp{}
	}
	c := s.shapeOf(v, def, 0)
	s.shapes.done[def] = c
	return c
}

// shapeOf compiles a value of the schema. What it does not understand becomes unknown, and is left to CUE.
func (s *Schema) shapeOf(v cue.Value, at string, depth int) shape {
	v = cue.Dereference(v)
	unclear := func(why string) shape { return unknown{at, why} }
	switch k := v.IncompleteKind(); {
	case s.computes:
		return unclear("a schema that computes")
	case depth > deepest:
		return unclear("a shape without end")
	case k == cue.StructKind:
		return s.recordOf(v, at, depth)
	case k == cue.ListKind:
		return s.listOf(v, at, depth)
	}
	op, args := v.Expr()
	switch op {
	case cue.AndOp:
		var out all
		for _, c := range parts(v) {
			out = append(out, s.shapeOf(c, at, depth+1))
		}
		if len(out) == 1 {
			return out[0]
		}
		return out
	case cue.OrOp:
		if _, some := v.Default(); some {
			return unclear("a choice with a default")
		}
		var out either
		for _, a := range args {
			if k := a.IncompleteKind(); k&(cue.StructKind|cue.ListKind) != 0 {
				return unclear("a choice between records or lists")
			}
			out = append(out, s.shapeOf(a, at, depth+1))
		}
		return out
	case cue.GreaterThanEqualOp, cue.GreaterThanOp, cue.LessThanEqualOp, cue.LessThanOp:
		if k := args[0].Kind(); k != cue.IntKind && k != cue.FloatKind {
			return unclear("a bound that is no number")
		}
		d, err := unit.ParseDec(text(args[0]))
		if err != nil {
			return unclear("a bound out of span")
		}
		side := 1
		if op == cue.LessThanEqualOp || op == cue.LessThanOp {
			side = -1
		}
		return bound{d, side, op == cue.GreaterThanEqualOp || op == cue.LessThanEqualOp}
	case cue.RegexMatchOp, cue.NotRegexMatchOp:
		src, err := args[0].String()
		if err != nil {
			return unclear("a pattern that is no text")
		}
		re := s.shapes.patterns[src]
		if re == nil {
			if re, err = regexp.Compile(src); err != nil {
				return unclear("a pattern that does not compile")
			}
			s.shapes.patterns[src] = re
		}
		return pattern{re, op == cue.NotRegexMatchOp}
	case cue.CallOp:
		return callOf(args, unclear)
	case cue.NoOp:
		if v.IsConcrete() {
			if t, err := v.String(); err == nil {
				return word(t)
			}
			if b, err := v.Bool(); err == nil {
				return truth(b)
			}
			return unclear("a value that is neither text nor truth value")
		}
		switch fmt.Sprint(v) {
		case "string":
			return kind{of: tree.Text}
		case "bool":
			return kind{of: tree.Bool}
		case "number":
			return kind{of: tree.Number}
		case "int":
			return kind{of: tree.Number, whole: true}
		}
	}
	return unclear(fmt.Sprintf("%v %v", op, v))
}

// parts are the parts of a conjunction without those that take anything: a field that another definition describes is only required here.
func parts(v cue.Value) []cue.Value {
	return slices.DeleteFunc(conjuncts(v), func(c cue.Value) bool { return c.IncompleteKind() == cue.TopKind && fmt.Sprint(c) == "_" })
}

// callOf compiles the builtin validators that bound a text's length.
func callOf(args []cue.Value, unclear func(string) shape) shape {
	if len(args) == 2 {
		if n, err := args[1].Int64(); err == nil && n >= 0 && n <= math.MaxInt32 {
			switch fmt.Sprint(args[0]) {
			case "strings.MaxRunes":
				return runes{0, int(n)}
			case "strings.MinRunes":
				return runes{int(n), math.MaxInt}
			}
		}
		return unclear("a call of " + fmt.Sprint(args[0]))
	}
	return unclear("a call")
}

// recordOf compiles a record. Its fields are those that CUE has unified from all its parts.
func (s *Schema) recordOf(v cue.Value, at string, depth int) shape {
	for _, c := range parts(v) {
		if op, _ := c.Expr(); op != cue.NoOp || c.IncompleteKind() != cue.StructKind {
			return unknown{at, "a record with more than fields"}
		}
	}
	if v.Allows(cue.AnyString) || !v.IsClosed() {
		return unknown{at, "an open record"}
	}
	it, err := v.Fields(cue.All(), cue.Patterns(true))
	if err != nil {
		return unknown{at, err.Error()}
	}
	out := &record{field: map[string]field{}}
	for it.Next() {
		sel := it.Selector()
		if sel.ConstraintType() == cue.PatternConstraint {
			out.names = append(out.names, s.shapeOf(sel.Pattern(), at+".[name]", depth+1))
			out.values = append(out.values, s.shapeOf(it.Value(), at+".[value]", depth+1))
			continue
		}
		if sel.LabelType() != cue.StringLabel {
			continue // a definition or a hidden field: no data of ours can have one
		}
		name := sel.Unquoted()
		f := field{shape: s.shapeOf(it.Value(), at+"."+name, depth+1)}
		switch sel.ConstraintType() {
		case cue.RequiredConstraint:
			f.required = true
			out.required++
		case cue.OptionalConstraint:
		default:
			return unknown{at, name + " is filled in by the schema"}
		}
		out.field[name] = f
	}
	return out
}

// listOf compiles a list.
func (s *Schema) listOf(v cue.Value, at string, depth int) shape {
	for i, c := range parts(v) {
		if op, _ := c.Expr(); op != cue.NoOp || i > 0 {
			return unknown{at, "a list with more than elements"}
		}
	}
	it, err := v.List()
	if err != nil {
		return unknown{at, err.Error()}
	}
	out := &elements{}
	for it.Next() {
		out.first = append(out.first, s.shapeOf(it.Value(), fmt.Sprintf("%s[%d]", at, len(out.first)), depth+1))
	}
	if n, err := v.Len().Int64(); err == nil { // a list of just that length
		if int(n) != len(out.first) {
			return unknown{at, "a list of an unknown length"}
		}
		return out
	}
	rest := v.LookupPath(cue.MakePath(cue.AnyIndex))
	if !rest.Exists() {
		return unknown{at, "a list whose rest has no shape"}
	}
	out.rest = s.shapeOf(rest, at+"[]", depth+1)
	return out
}

// computing says whether a file of the schema has what no compiled shape can say: a field that depends on another.
func computing(f *ast.File) (found bool) {
	ast.Walk(f, func(n ast.Node) bool {
		switch n.(type) {
		case *ast.Comprehension, *ast.LetClause, *ast.Alias, *ast.Interpolation:
			found = true
		}
		return !found
	}, nil)
	return found
}

// ByCUE is the same schema without compiled shapes: for tests, where CUE is the oracle.
func (s *Schema) ByCUE() *Schema {
	return &Schema{ctx: s.ctx, root: s.root, phrases: s.phrases, watch: s.watch, computes: true}
}
