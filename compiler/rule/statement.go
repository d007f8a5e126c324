package rule

import (
	"strings"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/ast/astutil"
	"cuelang.org/go/cue/literal"
	"cuelang.org/go/cue/token"
)

// A statement is a rule with blanks: a definition such as #Claim, whose own definitions, #part or #modality, are the blanks. Each rule of
// the family is a row in the same file that names the statement, fills its blanks, and says what is its own: the number, why, the
// sources, the examples. CUE evaluates it as it stands; here the statement's syntax is read anew for each row with its blanks filled.

// stated is the record that a row and its statement make together.
func (c *compiler) stated(statements *ast.File, name string, row *ast.StructLit) *ast.StructLit {
	var says *ast.StructLit
	for _, d := range statements.Decls {
		if f, ok := d.(*ast.Field); ok && label(f) == name {
			if b, ok := f.Value.(*ast.BinaryExpr); ok && b.Op == token.AND {
				says, _ = b.Y.(*ast.StructLit)
			}
		}
	}
	if says == nil {
		c.bad(row, "%s is no statement of this file", name)
		return row
	}
	blanks, own := map[string]string{}, map[string]bool{}
	out := &ast.StructLit{Lbrace: row.Lbrace}
	for _, d := range row.Elts {
		f, ok := d.(*ast.Field)
		if !ok || !strings.HasPrefix(label(f), "#") {
			if ok {
				own[label(f)] = true
			}
			out.Elts = append(out.Elts, d)
			continue
		}
		if b, ok := f.Value.(*ast.BasicLit); ok && b.Kind == token.STRING {
			if s, err := literal.Unquote(b.Value); err == nil {
				blanks[label(f)] = s
			}
		}
		if blanks[label(f)] == "" {
			c.bad(f, "%s is not a plain text, which alone fills a blank", label(f))
		}
	}
	for _, d := range says.Elts {
		f, ok := d.(*ast.Field)
		switch {
		case !ok:
			c.bad(d, "only fields are allowed in a statement")
		case strings.HasPrefix(label(f), "#"):
			if blanks[label(f)] == "" {
				c.bad(row, "the row does not fill %s", label(f))
			}
		case own[label(f)] && (label(f) == "limit" || label(f) == "facts"): // the statement only names what is in it
		default:
			out.Elts = append(out.Elts, filled(f, blanks).(*ast.Field))
		}
	}
	return out
}

// filled is a part of a statement with its blanks filled: a text, a place in a text, the name of a field.
func filled(n ast.Node, blanks map[string]string) ast.Node {
	blank := func(x ast.Node) (string, bool) {
		if p, ok := x.(*ast.ParenExpr); ok {
			x = p.X
		}
		i, ok := x.(*ast.Ident)
		if !ok {
			return "", false
		}
		s, ok := blanks[i.Name]
		return s, ok
	}
	return astutil.Apply(n, func(cur astutil.Cursor) bool {
		switch x := cur.Node().(type) {
		case *ast.Field:
			if s, ok := blank(x.Label); ok {
				x.Label = &ast.Ident{NamePos: x.Label.Pos(), Name: s} // in its place, so that it prints as written
			}
		case *ast.IndexExpr:
			if s, ok := blank(x.Index); ok {
				cur.Replace(&ast.SelectorExpr{X: x.X, Sel: ast.NewIdent(s)})
			}
		case *ast.Interpolation:
			var text strings.Builder
			for _, e := range x.Elts {
				if s, ok := blank(e); ok {
					text.WriteString(s)
				} else if b, ok := e.(*ast.BasicLit); ok {
					text.WriteString(strings.TrimSuffix(strings.TrimPrefix(b.Value, ")"), `\(`))
				} else {
					return true // arithmetic in a text: refused where a text is wanted
				}
			}
			cur.Replace(&ast.BasicLit{Kind: token.STRING, Value: text.String()})
		case *ast.Ident:
			if s, ok := blanks[x.Name]; ok {
				cur.Replace(ast.NewString(s))
			}
		}
		return true
	}, nil)
}

// row is one rule of a file, and the statements before it.
type row struct {
	id         string
	statements []byte // what stands before the first rule, nil where that states nothing
	src        []byte // on the line that it has in the file
}

// rows takes a file apart without reading it: each rule begins a line with #rules.
func rows(src []byte) (out []row) {
	at := begins.FindAllSubmatchIndex(src, -1)
	for i, m := range at {
		end := len(src)
		if i+1 < len(at) {
			end = at[i+1][0]
		}
		pad := strings.Repeat("\n", strings.Count(string(src[:m[0]]), "\n"))
		r := row{id: string(src[m[2]:m[3]]), src: append([]byte(pad), src[m[0]:end]...)}
		if head := src[:at[0][0]]; states.Match(head) {
			r.statements = head
		}
		out = append(out, r)
	}
	return out
}

// named is the statement that a rule names, "" where it stands alone.
func named(x ast.Expr) string {
	if b, ok := x.(*ast.BinaryExpr); ok && b.Op == token.AND {
		if i, ok := b.X.(*ast.Ident); ok && strings.HasPrefix(i.Name, "#") {
			return i.Name
		}
	}
	return ""
}
