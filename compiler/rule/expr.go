package rule

import (
	"fmt"
	"strings"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/format"
	"cuelang.org/go/cue/literal"
	"cuelang.org/go/cue/token"

	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// env is what an expression may read.
type env struct {
	given *tree.Node
	facts map[string]*tree.Node
	limit map[string]*tree.Node
}

// expr computes a value; nil means missing.
type expr func(*env) *tree.Node

type fact struct {
	name string
	x    expr
}

// chain reads a selector such as given.load.fraction; nil for anything else.
func chain(x ast.Expr) []string {
	switch x := x.(type) {
	case *ast.Ident:
		return []string{x.Name}
	case *ast.SelectorExpr:
		if c := chain(x.X); c != nil {
			n, _, err := ast.LabelName(x.Sel)
			if err != nil {
				return nil
			}
			return append(c, n)
		}
	}
	return nil
}

// expr compiles what a rule may compute: + - * / of given, facts before it, and number literals; *given.x | literal
// where x is optional.
func (c *compiler) expr(x ast.Expr) expr {
	switch x := x.(type) {
	case *ast.ParenExpr:
		return c.expr(x.X)
	case *ast.BasicLit:
		n := c.literal(x)
		return func(*env) *tree.Node { return n }
	case *ast.Ident, *ast.SelectorExpr:
		if r := c.reference(x); r != nil {
			return r
		}
	case *ast.BinaryExpr:
		switch x.Op {
		case token.OR:
			if u, ok := x.X.(*ast.UnaryExpr); ok && u.Op == token.MUL {
				a, b := c.expr(u.X), c.expr(x.Y)
				return func(e *env) *tree.Node {
					if v := a(e); v != nil {
						return v
					}
					return b(e)
				}
			}
		case token.ADD, token.SUB, token.MUL, token.QUO:
			return arithmetic(x.Op, c.expr(x.X), c.expr(x.Y))
		}
	}
	c.bad(x, "%s is outside what a rule may compute, allowed: + - * / of given, facts and numbers", sourceOf(x))
	return func(*env) *tree.Node { return nil }
}

func (c *compiler) reference(x ast.Expr) expr {
	p := chain(x)
	switch {
	case len(p) > 1 && p[0] == "given":
		c.reads = append(c.reads, read{p[1:], c.pos(x)})
		return func(e *env) *tree.Node { return e.given.Get(p[1:]...) }
	case len(p) == 2 && p[0] == "facts":
		if !c.known[p[1]] {
			c.bad(x, "fact %s is not defined above its use", p[1])
		}
		k := p[1]
		return func(e *env) *tree.Node { return e.facts[k] }
	case len(p) == 2 && p[0] == "limit":
		if c.r.Limit[p[1]] == nil {
			c.bad(x, "rule has no limit %s", p[1])
		}
		k := p[1]
		return func(e *env) *tree.Node { return e.limit[k] }
	case len(p) == 1 && c.known[p[0]]: // a fact named inside facts
		k := p[0]
		return func(e *env) *tree.Node { return e.facts[k] }
	}
	return nil
}

func arithmetic(op token.Token, a, b expr) expr {
	return func(e *env) *tree.Node {
		l, m := a(e), b(e)
		if l == nil || m == nil || l.Kind != tree.Number || m.Kind != tree.Number {
			return nil
		}
		var z unit.Dec
		switch op {
		case token.ADD:
			z = l.Num.Add(m.Num)
		case token.SUB:
			z = l.Num.Sub(m.Num)
		case token.MUL:
			z = l.Num.Mul(m.Num)
		default:
			if m.Num.Sign() == 0 {
				return nil
			}
			z = l.Num.Quo(m.Num)
		}
		return &tree.Node{Kind: tree.Number, Num: z}
	}
}

// literal reads a number, text or truth value of the rule's own.
func (c *compiler) literal(x *ast.BasicLit) *tree.Node {
	n := &tree.Node{Raw: x.Value, Pos: c.pos(x)}
	switch x.Kind {
	case token.INT, token.FLOAT:
		var ni literal.NumInfo
		err := literal.ParseNum(x.Value, &ni)
		if err == nil {
			n.Num, err = unit.ParseDec(ni.String())
		}
		if err != nil {
			c.bad(x, "%s is not a number", x.Value)
		}
		n.Kind = tree.Number
	case token.STRING:
		s, err := literal.Unquote(x.Value)
		if err != nil {
			c.bad(x, "%s is not a text", x.Value)
		}
		n.Kind, n.Str = tree.Text, s
	case token.TRUE, token.FALSE:
		n.Kind, n.Bool = tree.Bool, x.Kind == token.TRUE
	case token.NULL: // in an example: takes a field away
		n.Kind = tree.Null
	default:
		c.bad(x, "%s is not a value", x.Value)
	}
	return n
}

// signed reads a literal with an optional minus.
func (c *compiler) signed(x ast.Expr) (*tree.Node, bool) {
	switch x := x.(type) {
	case *ast.BasicLit:
		return c.literal(x), true
	case *ast.UnaryExpr:
		if b, ok := x.X.(*ast.BasicLit); ok && x.Op == token.SUB {
			n := c.literal(b)
			n.Num, n.Raw = n.Num.Neg(), "-"+n.Raw
			return n, true
		}
	}
	return nil, false
}

// data reads plain records, lists and literals, such as a rule's examples.
func (c *compiler) data(x ast.Expr) *tree.Node {
	if n, ok := c.signed(x); ok {
		return n
	}
	n := &tree.Node{Pos: c.pos(x), Field: map[string]*tree.Node{}}
	switch x := x.(type) {
	case *ast.StructLit:
		n.Kind = tree.Record
		for _, d := range x.Elts {
			f, ok := d.(*ast.Field)
			if !ok || f.Constraint != token.ILLEGAL {
				c.bad(d, "only name: value is allowed here")
				continue
			}
			k := c.name(f)
			if n.Field[k] != nil {
				c.bad(f, "%s is written twice", k)
			}
			n.Set(k, c.data(f.Value))
		}
	case *ast.ListLit:
		n.Kind = tree.List
		for _, e := range x.Elts {
			n.Append(c.data(e))
		}
	default:
		c.bad(x, "%s is not data, allowed: plain texts, numbers, lists and records", sourceOf(x))
	}
	return n
}

// name is the label of a field; a pattern or a computed name is none.
func (c *compiler) name(f *ast.Field) string {
	if _, _, err := ast.LabelName(f.Label); err != nil {
		c.bad(f, "%s is not a field name, allowed: a plain name", sourceOf(f.Label))
	}
	return label(f)
}

// sourceOf is a piece of a rule as its author wrote it, on one line and shortened.
func sourceOf(x ast.Node) string {
	if _, ok := x.(*ast.Comprehension); ok { // the printer knows them in a record or a list alone
		return "a condition or a loop"
	}
	b, err := format.Node(x, format.Simplify())
	s := []rune(strings.Join(strings.Fields(string(b)), " "))
	switch {
	case err != nil || len(s) == 0:
		return "what stands here"
	case len(s) > 40:
		s = append(s[:39:39], '…')
	}
	return string(s)
}

func label(f *ast.Field) string {
	s, _, err := ast.LabelName(f.Label)
	if err != nil {
		return fmt.Sprint(f.Label)
	}
	return s
}
