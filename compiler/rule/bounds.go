package rule

import (
	"regexp/syntax"

	"cuelang.org/go/cue/ast"
)

// Bounds on what a rule may ask of the machine, for a clinic's policy may come from a stranger too. No rule needs a tenth of it.
const (
	maxNumbers  = 64    // in one computed value, with those of the facts it names: each multiplies the digits
	maxPattern  = 2000  // steps of one regular expression, its repeats counted out
	maxPatterns = 20000 // of all of a policy's
)

// numbers counts the numbers that one computed value is made of, up to one past the bound.
func (c *compiler) numbers(x ast.Expr) int {
	n := 1
	switch x := x.(type) {
	case *ast.ParenExpr:
		n = c.numbers(x.X)
	case *ast.UnaryExpr:
		n = c.numbers(x.X)
	case *ast.BinaryExpr:
		n = c.numbers(x.X) + c.numbers(x.Y)
	case *ast.Ident, *ast.SelectorExpr:
		if p := chain(x); len(p) == 1 || len(p) == 2 && p[0] == "facts" {
			n = max(n, c.made[p[len(p)-1]])
		}
	}
	return min(n, maxNumbers+1)
}

// computed is numbers, and an error past the bound.
func (c *compiler) computed(x ast.Expr) int {
	n := c.numbers(x)
	if n > maxNumbers {
		c.bad(x, "the value is made of more than %d numbers, allowed: at most as many, with those of the facts that it names", maxNumbers)
	}
	return n
}

// steps is about how many steps a regular expression compiles to, up to one past the bound.
func steps(re *syntax.Regexp) int {
	n := 1
	for _, s := range re.Sub {
		n = min(n+steps(s), maxPattern+1)
	}
	switch re.Op {
	case syntax.OpLiteral, syntax.OpCharClass:
		n = 1 + len(re.Rune)
	case syntax.OpRepeat:
		n *= 1 + max(re.Min, re.Max)
	}
	return min(n, maxPattern+1)
}
