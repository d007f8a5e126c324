package rule

import (
	"regexp"
	"regexp/syntax"
	"strings"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/literal"
	"cuelang.org/go/cue/token"

	"isocue.example/compiler/tree"
)

// claim is a test on a value, and how it reads with its limits filled in.
type claim struct {
	test func(*env, *tree.Node) bool
	text func(*env) string
}

// cond is one part of a when: the claim about the value at a path, or its absence.
type cond struct {
	path   []string
	absent bool
	claim  claim
}

func applies(when []cond, g *tree.Node, e *env) bool {
	for i := range when {
		n := g.Get(when[i].path...)
		if when[i].absent {
			if n != nil {
				return false
			}
		} else if n == nil || !when[i].claim.test(e, n) {
			return false
		}
	}
	return true
}

// conds compiles a when: nested plain fields.
func (c *compiler) conds(path []string, x ast.Expr) []cond {
	s, ok := x.(*ast.StructLit)
	if !ok {
		return []cond{{path: path, claim: c.claim(x, false)}}
	}
	var out []cond
	for _, d := range s.Elts {
		f, ok := d.(*ast.Field)
		if !ok {
			c.bad(d, "only fields are allowed in when")
			continue
		}
		p := append(append([]string(nil), path...), c.name(f))
		_, bottom := f.Value.(*ast.BottomLit)
		switch {
		case bottom && f.Constraint == token.OPTION:
			c.reads = append(c.reads, read{p, c.pos(f)})
			out = append(out, cond{path: p, absent: true})
		case f.Constraint != token.ILLEGAL:
			c.bad(f, "a marker is not allowed in when, except x?: _|_")
		default:
			if _, deeper := f.Value.(*ast.StructLit); !deeper {
				c.reads = append(c.reads, read{p, c.pos(f)})
			}
			out = append(out, c.conds(p, f.Value)...)
		}
	}
	return out
}

// claim compiles bounds, choices, constants, types, =~, !~ and list.MatchN. In must, a bound's operand may be a limit.
func (c *compiler) claim(x ast.Expr, must bool) claim {
	switch x := x.(type) {
	case *ast.ParenExpr:
		return c.claim(x.X, must)
	case *ast.Ident:
		if k, ok := map[string]tree.Kind{"number": tree.Number, "string": tree.Text, "bool": tree.Bool}[x.Name]; ok {
			return claim{func(_ *env, n *tree.Node) bool { return n != nil && n.Kind == k }, constant(k.String())}
		}
		if x.Name == "_" {
			return claim{func(_ *env, n *tree.Node) bool { return n != nil }, constant("any value")}
		}
	case *ast.BasicLit:
		want := c.literal(x)
		return claim{func(_ *env, n *tree.Node) bool { return equal(n, want) }, constant(show(want))}
	case *ast.UnaryExpr:
		return c.bound(x, must)
	case *ast.BinaryExpr:
		a, b := c.claim(x.X, must), c.claim(x.Y, must)
		switch x.Op {
		case token.AND:
			return claim{func(e *env, n *tree.Node) bool { return a.test(e, n) && b.test(e, n) },
				func(e *env) string { return a.text(e) + " and " + b.text(e) }}
		case token.OR:
			return claim{func(e *env, n *tree.Node) bool { return a.test(e, n) || b.test(e, n) },
				func(e *env) string { return a.text(e) + " or " + b.text(e) }}
		}
	case *ast.CallExpr: // list.MatchN(>0, X): at least one element fits X
		if p := chain(x.Fun); strings.Join(p, ".") == "list.MatchN" && len(x.Args) == 2 {
			if u, ok := x.Args[0].(*ast.UnaryExpr); ok && u.Op == token.GTR {
				if b, ok := u.X.(*ast.BasicLit); ok && b.Value == "0" {
					reads := len(c.reads)
					sub := c.conds(nil, x.Args[1])
					c.reads = c.reads[:reads] // they are paths below the list
					return claim{func(e *env, n *tree.Node) bool {
						for _, el := range n.Items() {
							if applies(sub, el, e) {
								return true
							}
						}
						return false
					}, constant("a list with a fitting entry")}
				}
			}
		}
	}
	c.bad(x, "%s is outside what a claim may say, allowed: constants, choices, bounds, =~, !~ and list.MatchN(>0, X)", sourceOf(x))
	return claim{func(*env, *tree.Node) bool { return false }, constant("")}
}

func (c *compiler) bound(x *ast.UnaryExpr, must bool) claim {
	if x.Op == token.MAT || x.Op == token.NMAT {
		return c.pattern(x)
	}
	if n, ok := c.signed(x); ok { // -3
		return claim{func(_ *env, m *tree.Node) bool { return equal(m, n) }, constant(n.Raw)}
	}
	holds, ok := compare[x.Op]
	if !ok {
		c.bad(x, "operator %s is outside what a claim may say", x.Op)
		return claim{func(*env, *tree.Node) bool { return false }, constant("")}
	}
	var operand expr
	if n, ok := c.signed(x.X); ok && n.Kind == tree.Number {
		operand = func(*env) *tree.Node { return n }
	} else if p := chain(x.X); must && len(p) == 2 && p[0] == "limit" {
		operand = c.reference(x.X)
		if _, twice := c.r.dir[p[1]]; twice {
			c.bad(x, "limit %s is the operand of two bounds, allowed: one", p[1])
		}
		switch x.Op {
		case token.LSS, token.LEQ:
			c.r.dir[p[1]] = -1
		case token.GTR, token.GEQ:
			c.r.dir[p[1]] = +1
		default:
			c.bad(x, "limit %s stands behind %s, allowed: < <= > >=", p[1], x.Op)
		}
	} else {
		c.bad(x, "the operand of %s is a number, or in must a limit", x.Op)
		operand = func(*env) *tree.Node { return nil }
	}
	word := boundWords[x.Op]
	return claim{func(e *env, n *tree.Node) bool {
		b := operand(e)
		return n != nil && b != nil && n.Kind == tree.Number && b.Kind == tree.Number && holds(n.Num.Cmp(b.Num))
	}, func(e *env) string { return word + " " + show(operand(e)) }}
}

// pattern compiles =~ and !~ with a text in quotes.
func (c *compiler) pattern(x *ast.UnaryExpr) claim {
	want, like := x.Op == token.MAT, "text like "
	if !want {
		like = "text unlike "
	}
	if b, ok := x.X.(*ast.BasicLit); ok {
		if s, err := literal.Unquote(b.Value); err == nil {
			if parsed, err := syntax.Parse(s, syntax.Perl); err == nil {
				n := steps(parsed)
				if c.spent += n; n > maxPattern || c.spent > maxPatterns {
					c.bad(x, "the regular expression is too large, allowed: at most %d steps with its repeats counted out, and %d in all", maxPattern, maxPatterns)
					return claim{func(*env, *tree.Node) bool { return false }, constant("")}
				}
			}
			if re, err := regexp.Compile(s); err == nil {
				return claim{func(_ *env, n *tree.Node) bool {
					return n != nil && n.Kind == tree.Text && re.MatchString(n.Str) == want
				},
					constant(like + s)}
			}
		}
	}
	c.bad(x, "%s needs a regular expression in quotes", x.Op)
	return claim{func(*env, *tree.Node) bool { return false }, constant("")}
}

var compare = map[token.Token]func(int) bool{
	token.LSS: func(c int) bool { return c < 0 }, token.LEQ: func(c int) bool { return c <= 0 },
	token.GTR: func(c int) bool { return c > 0 }, token.GEQ: func(c int) bool { return c >= 0 },
	token.NEQ: func(c int) bool { return c != 0 },
}

var boundWords = map[token.Token]string{token.LSS: "under", token.LEQ: "at most", token.GTR: "over", token.GEQ: "at least", token.NEQ: "not"}

func constant(s string) func(*env) string { return func(*env) string { return s } }

func equal(n, want *tree.Node) bool { return n != nil && tree.Equal(n, want) }
