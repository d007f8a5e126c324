package guard

import (
	"fmt"
	"strconv"
	"strings"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/literal"
	"cuelang.org/go/cue/token"

	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// literal reads one plain value into n; sign is "-" or "".
func (c *checker) literal(n *tree.Node, x *ast.BasicLit, sign string) *tree.Node {
	n.Raw = sign + x.Value
	switch x.Kind {
	case token.STRING:
		if len(x.Value) > maxString {
			return c.bad(x, "text is longer than %d bytes", maxString)
		}
		if isBytes(x) {
			return c.bad(x, "%s is bytes, allowed: a text in double quotes", cut(x.Value))
		}
		s, err := literal.Unquote(x.Value)
		if err != nil {
			return c.bad(x, "%s is not a text in quotes", cut(x.Value))
		}
		n.Kind, n.Str = tree.Text, s
	case token.INT, token.FLOAT:
		d, err := number(x.Value)
		if err != nil {
			return c.bad(x, "%v", err)
		}
		if sign == "-" {
			d = d.Neg()
		}
		n.Kind, n.Num = tree.Number, d
	case token.TRUE, token.FALSE:
		n.Kind, n.Bool = tree.Bool, x.Kind == token.TRUE
	case token.NULL:
		n.Kind = tree.Null
	default:
		return c.bad(x, "%s is not data", cut(x.Value))
	}
	return n
}

// isBytes tells 'bytes' from "text".
func isBytes(x *ast.BasicLit) bool { return strings.HasPrefix(strings.TrimLeft(x.Value, "#"), "'") }

// number reads a CUE number. Exponents are bounded by hand: the engine reads one beyond 1e100000 as if it were none.
func number(s string) (unit.Dec, error) {
	if len(s) > maxNumber {
		return unit.Dec{}, fmt.Errorf("number is longer than %d characters", maxNumber)
	}
	if i := strings.IndexAny(s, "eE"); i >= 0 && !strings.HasPrefix(s, "0x") && !strings.HasPrefix(s, "0X") {
		if e, err := strconv.Atoi(s[i+1:]); err != nil || e > maxExponent || e < -maxExponent {
			return unit.Dec{}, fmt.Errorf("exponent of %s is out of range, allowed: -%d to %d", s, maxExponent, maxExponent)
		}
	}
	var n literal.NumInfo
	if err := literal.ParseNum(s, &n); err != nil {
		return unit.Dec{}, fmt.Errorf("%s is not a number", s)
	}
	d, err := unit.ParseDec(n.String())
	if err != nil {
		return unit.Dec{}, fmt.Errorf("%s is not a decimal number", s)
	}
	return d, nil
}

func cut(s string) string {
	if len(s) > 40 {
		return strings.ToValidUTF8(s[:40], "") + "…"
	}
	return s
}

func kind(n ast.Node) string {
	switch n.(type) {
	case *ast.Interpolation:
		return "a text with \\( )"
	case *ast.Comprehension:
		return "a comprehension (for or if)"
	case *ast.LetClause:
		return "let"
	case *ast.CallExpr:
		return "a call"
	case *ast.SelectorExpr, *ast.IndexExpr, *ast.Ident:
		return "a reference"
	case *ast.BinaryExpr:
		return "an operation"
	case *ast.Ellipsis:
		return "…"
	case *ast.EmbedDecl:
		return "an embedded value"
	case *ast.Attribute:
		return "an attribute"
	case *ast.ListLit:
		return "a list or pattern"
	case *ast.ParenExpr:
		return "an expression in parentheses"
	case *ast.BottomLit:
		return "_|_"
	case *ast.StructLit:
		return "a record"
	case *ast.BasicLit:
		return "a bare value"
	case *ast.BadExpr, *ast.BadDecl:
		return "unreadable text"
	}
	return fmt.Sprintf("%T", n)
}
