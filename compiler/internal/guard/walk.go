package guard

import (
	"fmt"
	"strconv"
	"strings"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/literal"
	"cuelang.org/go/cue/token"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/tree"
)

// checker walks one file, refuses what is not data and builds the tree of what is.
type checker struct {
	name, schemaPath string
	format           Format
	imports          map[string]bool
	n                int
	last             finding.Pos // the place last known on the walk
	doc              *Document
	out              []finding.Finding
}

func (c *checker) add(p finding.Pos, rule, msg, remedy, why string) {
	if len(c.out) < maxFindings {
		c.out = append(c.out, finding.Finding{Rule: rule, Verdict: finding.Malformed, Pos: p, Message: msg, Remedy: remedy, Rationale: why})
	}
}

func (c *checker) bad(n ast.Node, format string, a ...any) *tree.Node {
	c.add(c.place(n), DataOnly, fmt.Sprintf(format, a...), writePlain, dataWhy)
	return nil
}

// place is where n stands. The YAML reader gives some values none, such as an empty one after its comment: they stand where what
// was read before them does.
func (c *checker) place(n ast.Node) finding.Pos {
	if p := n.Pos(); p.HasAbsPos() || !c.last.IsValid() {
		c.last = pos(c.name, p)
	}
	return c.last
}

func (c *checker) top(f *ast.File) {
	root := tree.At(finding.Pos{File: c.name, Line: 1, Column: 1})
	for _, d := range f.Decls {
		switch d := d.(type) {
		case *ast.Package:
			c.doc.Package = d.Name.Name
		case *ast.CommentGroup:
		case *ast.ImportDecl:
			for _, s := range d.Specs {
				c.importSpec(s)
			}
		case *ast.Field:
			if len(root.Keys) == 0 {
				root.Pos = c.place(d)
			}
			c.field(root, d, 0)
		case *ast.EmbedDecl:
			if s, ok := d.Expr.(*ast.StructLit); ok && len(f.Decls) == 1 { // YAML and JSON wrap their record
				c.top(&ast.File{Decls: s.Elts})
				return
			}
			c.bad(d, "%s stands where a field is allowed, allowed: name: value", kind(d.Expr))
		default:
			c.bad(d, "%s is not data, allowed: fields", kind(d))
		}
	}
	c.doc.Root = root
}

func (c *checker) importSpec(s *ast.ImportSpec) {
	p, err := strconv.Unquote(s.Path.Value)
	ip := ast.ParseImportPath(p)
	if err != nil || ip.Path != c.schemaPath {
		c.bad(s, "import %s is not allowed, allowed: %q alone", cut(s.Path.Value), c.schemaPath)
		return
	}
	name := ip.Qualifier
	if s.Name != nil {
		name = s.Name.Name
	}
	c.imports[name] = true
}

func (c *checker) tick(n ast.Node, depth int) bool {
	c.n++
	switch {
	case c.n == maxValues+1:
		c.bad(n, "file has more than %d values", maxValues)
	case c.n > maxValues:
	case depth > maxDepth:
		c.bad(n, "nested deeper than %d levels", maxDepth)
	default:
		return true
	}
	return false
}

func (c *checker) field(into *tree.Node, f *ast.Field, depth int) {
	c.place(f.Label)
	if !c.tick(f, depth) {
		return
	}
	if len(f.Attrs) > 0 {
		c.bad(f.Attrs[0], "attribute %s is not data", cut(f.Attrs[0].Text))
	}
	if f.Constraint != token.ILLEGAL {
		c.bad(f, "the marker %s makes a constraint, allowed: name: value", f.Constraint)
	}
	if f.Alias != nil {
		c.bad(f, "an alias is not data")
	}
	var name string
	switch x := f.Label.(type) {
	case *ast.Ident:
		name = x.Name
		if name == "#rules" && depth == 0 && c.format == CUE { // as rules of the base stand, so that cue vet knows them for incomplete
			name = "rules"
			break
		}
		if strings.HasPrefix(name, "_") || strings.HasPrefix(name, "#") {
			c.bad(x, "%s is a hidden field or a definition, allowed: plain field names", cut(name))
			return
		}
	case *ast.BasicLit:
		s, err := literal.Unquote(x.Value)
		if x.Kind != token.STRING || isBytes(x) || err != nil {
			c.bad(x, "%s is not a field name, allowed: text", cut(x.Value))
			return
		}
		name = s
	default:
		c.bad(f.Label, "%s is not a field name, allowed: text", kind(f.Label))
		return
	}
	if name == "" || len(name) > maxName {
		c.bad(f.Label, "field name has %d bytes, allowed: 1 to %d", len(name), maxName)
		return
	}
	if old := into.Get(name); old != nil {
		c.bad(f, "field %s is written twice, first on line %d", strconv.Quote(name), old.Pos.Line)
		return
	}
	v := f.Value
	if b, ok := v.(*ast.BinaryExpr); ok && b.Op == token.AND && depth == 0 {
		if s, ok := b.X.(*ast.SelectorExpr); ok {
			if id, ok := s.X.(*ast.Ident); ok && c.imports[id.Name] {
				c.doc.Def[name], _, _ = ast.LabelName(s.Sel)
				v = b.Y
			}
		}
	}
	if s, ok := v.(*ast.StructLit); ok && depth == 0 && name == "rules" && c.format == CUE {
		c.doc.Rules = s
		into.Set(name, tree.At(c.place(s)))
		return
	}
	if n := c.value(v, depth+1); n != nil {
		into.Set(name, n)
	}
}

func (c *checker) value(x ast.Expr, depth int) *tree.Node {
	if !c.tick(x, depth) {
		return nil
	}
	n := &tree.Node{Pos: c.place(x)}
	switch x := x.(type) {
	case *ast.BasicLit:
		return c.literal(n, x, "")
	case *ast.UnaryExpr:
		l, ok := x.X.(*ast.BasicLit)
		if (x.Op != token.SUB && x.Op != token.ADD) || !ok || (l.Kind != token.INT && l.Kind != token.FLOAT) {
			return c.bad(x, "a constraint (%s…) is not data, allowed: one plain value", x.Op)
		}
		return c.literal(n, l, strings.TrimPrefix(x.Op.String(), "+"))
	case *ast.StructLit:
		n.Kind, n.Field = tree.Record, map[string]*tree.Node{}
		for _, d := range x.Elts {
			switch d := d.(type) {
			case *ast.Field:
				c.field(n, d, depth)
			case *ast.CommentGroup:
			default:
				c.bad(d, "%s is not data, allowed: fields", kind(d))
			}
		}
	case *ast.ListLit:
		if len(x.Elts) > maxList {
			return c.bad(x, "list has more than %d elements", maxList)
		}
		n.Kind = tree.List
		for _, e := range x.Elts {
			if m := c.value(e, depth+1); m != nil {
				n.Append(m)
			}
		}
	default:
		return c.bad(x, "%s is not data, allowed: one plain value", kind(x))
	}
	return n
}
