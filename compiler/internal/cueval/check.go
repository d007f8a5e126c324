package cueval

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"cuelang.org/go/cue"
	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/errors"
	"cuelang.org/go/cue/token"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/tree"
)

// ProblemKind says what is wrong with the shape of a file.
type ProblemKind int

const (
	BadValue ProblemKind = iota
	UnknownField
	MissingField
)

// Problem is one place where data and shape differ.
type Problem struct {
	Kind ProblemKind
	// Node is the value at fault; for a missing field, the record that lacks it.
	Node *tree.Node
	// Name is the unknown or missing field.
	Name string
	// Allowed says what may stand there, in words.
	Allowed string
	// Known lists the fields that the record may have, for an unknown field, or the texts that may stand there.
	Known []string
}

// rounds bounds the peeling: v0.17 reports one class of error of a record at a time, so each round hides what was
// reported and validates again.
const rounds = 8

// Check holds n against the definition def ("#Handgrip") and returns every problem, in no order.
func (s *Schema) Check(def string, n *tree.Node) []Problem {
	defer s.watch.Watch("holding " + n.Pos.File + " against the schema")()
	shape := s.root.LookupPath(cue.ParsePath(def))
	if !shape.Exists() {
		panic(finding.Bug{What: "the schema has no definition " + def})
	}
	if s.fits(def, shape, n) == yes {
		return nil
	}
	skip := len(shape.Path().Selectors())
	hide := map[string]edit{}
	var out []Problem
	for range rounds {
		uni := shape.Unify(s.ctx.BuildExpr(Expr(n, nil, hide)))
		err := uni.Validate(cue.Final(), cue.Concrete(true))
		if err == nil {
			return out
		}
		before, free := len(hide), map[string][]string{}
		for _, e := range errors.Errors(err) {
			p := e.Path()
			if len(p) < skip {
				continue
			}
			at := make([]string, 0, len(p)-skip)
			for _, x := range p[skip:] {
				if u, err := strconv.Unquote(x); err == nil {
					x = u
				}
				at = append(at, x)
			}
			s.report(shape, uni, n, at, e, hide, free, &out)
		}
		if len(hide) == before {
			return out
		}
	}
	return out
}

// edit is what the next round does with a place.
type edit int

const (
	top  edit = iota + 1 // replaced by _
	drop                 // left out
	add                  // put in as _
)

func (s *Schema) report(shape, uni cue.Value, n *tree.Node, at []string, e errors.Error, hide map[string]edit, free map[string][]string, out *[]Problem) {
	format, _ := e.Msg()
	if hidden(hide, at) {
		return
	}
	key := strings.Join(at, "\x00")
	switch have := n.Get(at...); {
	case have == nil && len(at) > 0:
		parent := n.Get(at[:len(at)-1]...)
		if parent == nil {
			return
		}
		hide[key] = add
		*out = append(*out, Problem{Kind: MissingField, Node: parent, Name: at[len(at)-1], Allowed: s.missing(uni, at)})
	case strings.Contains(format, "not allowed"):
		hide[key] = drop
		above := at[:len(at)-1]
		of := strings.Join(above, "\x00")
		if _, told := free[of]; !told { // once a record: it is slow where a record has many fields
			free[of] = s.known(uni, n, above)
		}
		*out = append(*out, Problem{Kind: UnknownField, Node: have, Name: at[len(at)-1], Known: free[of]})
	default:
		hide[key] = top
		path := at
		at := uni.LookupPath(toPath(at))
		p := Problem{Kind: BadValue, Node: have, Allowed: s.allowed(at), Known: choices(at)}
		if p.Allowed == "" || p.Allowed[0] == '[' || p.Allowed[0] == '{' { // a record or list of the shape's has no words of its own
			p.Allowed = cmp.Or(kindAt(shape, path), "another value")
		}
		*out = append(*out, p)
	}
}

// kindAt is the kind of value that the shape has at a place, in words.
func kindAt(shape cue.Value, at []string) string {
	for _, x := range at {
		sels := []cue.Selector{cue.Str(x), cue.Str(x).Optional(), cue.Str(x).Required(), cue.AnyString}
		if k, err := strconv.Atoi(x); err == nil && k >= 0 {
			sels = []cue.Selector{cue.AnyIndex, cue.Index(k)}
		}
		i := slices.IndexFunc(sels, func(sel cue.Selector) bool { return shape.LookupPath(cue.MakePath(sel)).Exists() })
		if i < 0 {
			return ""
		}
		shape = shape.LookupPath(cue.MakePath(sels[i]))
	}
	return kindWord(shape.IncompleteKind())
}

// hidden says whether the place or one above it was reported before.
func hidden(hide map[string]edit, at []string) bool {
	for i := len(at); i >= 0; i-- {
		if hide[strings.Join(at[:i], "\x00")] != 0 {
			return true
		}
	}
	return false
}

// Expr builds CUE syntax from a data tree that stands at a place, with the edits of what is below it. Whole numbers written as 120.0 become integers, as JSON and YAML mean them.
func Expr(n *tree.Node, at []string, hide map[string]edit) ast.Expr {
	if hide[strings.Join(at, "\x00")] == top && len(at) > 0 {
		return ast.NewIdent("_")
	}
	switch n.Kind {
	case tree.Number:
		text := n.Num.String()
		if rest, neg := strings.CutPrefix(text, "-"); neg {
			return &ast.UnaryExpr{Op: token.SUB, X: numLit(rest)}
		}
		return numLit(text)
	case tree.Text:
		return ast.NewString(n.Str)
	case tree.Bool:
		return ast.NewBool(n.Bool)
	case tree.List:
		l := &ast.ListLit{}
		for i, e := range n.Elem {
			l.Elts = append(l.Elts, Expr(e, child(at, strconv.Itoa(i)), hide))
		}
		return l
	case tree.Record:
		s := &ast.StructLit{}
		for _, k := range n.Keys {
			c := child(at, k)
			if hide[strings.Join(c, "\x00")] != drop {
				s.Elts = append(s.Elts, &ast.Field{Label: ast.NewString(k), Value: Expr(n.Field[k], c, hide)})
			}
		}
		prefix := strings.Join(at, "\x00")
		for k, e := range hide {
			i := strings.LastIndexByte(k, 0)
			if e == add && k[:max(i, 0)] == prefix && (i >= 0) == (len(at) > 0) {
				s.Elts = append(s.Elts, &ast.Field{Label: ast.NewString(k[i+1:]), Value: ast.NewIdent("_")})
			}
		}
		return s
	}
	return ast.NewNull()
}

func child(at []string, k string) []string { return append(slices.Clip(at), k) }

func numLit(s string) ast.Expr {
	k := token.INT
	if strings.Contains(s, ".") {
		k = token.FLOAT
	}
	return &ast.BasicLit{Kind: k, Value: s}
}

func toPath(at []string) cue.Path {
	sels := make([]cue.Selector, len(at))
	for i, p := range at {
		if k, err := strconv.Atoi(p); err == nil && k >= 0 {
			sels[i] = cue.Index(k)
		} else {
			sels[i] = cue.Str(p)
		}
	}
	return cue.MakePath(sels...)
}

// known lists the names that the record at a place may have: those that the data did not bring itself.
func (s *Schema) known(uni cue.Value, n *tree.Node, at []string) (out []string) {
	have := n.Get(at...)
	for _, name := range fields(uni.LookupPath(toPath(at))) {
		if have.Get(name) == nil {
			out = append(out, name)
		}
	}
	return out
}

// fields lists the names that a record may have.
func fields(v cue.Value) (names []string) {
	it, err := v.Fields(cue.Optional(true))
	if err != nil {
		return nil
	}
	for it.Next() {
		if t := it.Selector().LabelType(); t == cue.StringLabel {
			names = append(names, it.Selector().Unquoted())
		}
	}
	return names
}
