// Package guard keeps what a stranger wrote inside a data-only subset, before anything is evaluated.
//
// CUE, YAML and JSON files are parsed and held to fields, records, lists and plain values; everything by which CUE
// computes (references, comprehensions, calls, patterns, constraints, attributes, foreign imports) is a finding with
// its place. What passes is handed on as a tree that knows its places. The only import a file may name is the schema,
// and the conjunct schema.#Name in front of a top-level record is noted and removed, so that an editor completes
// fields while we still read nothing but data.
package guard

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/errors"
	"cuelang.org/go/cue/literal"
	"cuelang.org/go/cue/parser"
	"cuelang.org/go/cue/token"
	"cuelang.org/go/encoding/json"
	"cuelang.org/go/encoding/yaml"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Bounds on one file. They are far above any real protocol or client record and keep the worst parse under half a
// second; they are engineering limits, not clinical ones.
const (
	MaxBytes    = 64 << 10
	maxDepth    = 16
	maxValues   = 8000
	maxList     = 1000
	maxString   = 8 << 10 // bytes of one text in source form
	maxName     = 64      // bytes of one field name
	maxNumber   = 24      // characters of one number
	maxExponent = 6
	maxFindings = 20
)

// Format is the notation of a file.
type Format string

const (
	CUE  Format = "cue"
	YAML Format = "yaml"
	JSON Format = "json"
)

// FormatOf picks the format by the ending of name; ok is false for an unknown ending.
func FormatOf(name string) (f Format, ok bool) {
	switch {
	case strings.HasSuffix(name, ".cue"):
		return CUE, true
	case strings.HasSuffix(name, ".yaml"), strings.HasSuffix(name, ".yml"):
		return YAML, true
	case strings.HasSuffix(name, ".json"):
		return JSON, true
	}
	return CUE, false
}

// Document is a file that passed.
type Document struct {
	Root *tree.Node
	// Package is the package clause of a CUE file, "" without one.
	Package string
	// Def names the schema definition that stood before a top-level record, by field.
	Def map[string]string
}

// Rule ids of the findings that this package makes.
const (
	Unreadable = "unreadable"
	DataOnly   = "data-only"
)

// Parse reads src as data. Findings mean that the document must not be used.
func Parse(name string, src []byte, f Format, schemaPath string) (*Document, []finding.Finding) {
	c := &checker{name: name, imports: map[string]bool{}, schemaPath: schemaPath,
		doc: &Document{Def: map[string]string{}}}
	if fd, bad := text(name, src); bad {
		return nil, []finding.Finding{fd}
	}
	file, err := parse(name, src, f)
	if err != nil {
		for _, e := range errors.Errors(err) {
			format, args := e.Msg()
			c.add(pos(name, e.Position()), Unreadable, "cannot be read as "+strings.ToUpper(string(f))+": "+fmt.Sprintf(format, args...),
				"repair the syntax at the mark", "A file that cannot be read cannot be judged, and an unjudged file must not be used.")
		}
		return nil, finding.Sort(c.out)
	}
	c.top(file)
	if len(c.out) > 0 {
		return nil, finding.Sort(c.out)
	}
	return c.doc, nil
}

// text refuses what no text file of ours may hold.
func text(name string, src []byte) (finding.Finding, bool) {
	fd := finding.Finding{Rule: Unreadable, Verdict: finding.Malformed,
		Rationale: "A file that cannot be read cannot be judged, and an unjudged file must not be used."}
	at := -1
	switch {
	case len(src) > MaxBytes:
		fd.Pos = finding.Pos{File: name, Line: 1, Column: 1}
		fd.Message = fmt.Sprintf("file is larger than allowed: at most %d bytes", MaxBytes)
		fd.Remedy = "split it: one protocol or one client a file"
		return fd, true
	case strings.TrimSpace(string(src)) == "":
		fd.Pos = finding.Pos{File: name, Line: 1, Column: 1}
		fd.Message = "file is empty, allowed: a protocol, client record, policy or waivers file"
		fd.Remedy = "start from `isocue new protocol FILE` or `isocue new client FILE`"
		return fd, true
	case strings.HasPrefix(string(src), "\ufeff"):
		fd.Message, fd.Remedy, at = "file starts with a byte order mark, allowed: UTF-8 without one", "save it as UTF-8 without BOM", 0
	case !utf8.Valid(src):
		for at = 0; at < len(src); {
			r, n := utf8.DecodeRune(src[at:])
			if r == utf8.RuneError && n == 1 {
				break
			}
			at += n
		}
		fd.Message, fd.Remedy = fmt.Sprintf("byte 0x%02x is not UTF-8 text", src[at]), "save the file as UTF-8"
	default:
		if at = strings.IndexByte(string(src), 0); at < 0 {
			return fd, false
		}
		fd.Message, fd.Remedy = "file holds a NUL byte, allowed: text", "remove the byte"
	}
	before := string(src[:at])
	fd.Pos = finding.Pos{File: name, Line: 1 + strings.Count(before, "\n"), Column: at - strings.LastIndexByte(before, '\n')}
	return fd, true
}

func parse(name string, src []byte, f Format) (*ast.File, error) {
	switch f {
	case YAML:
		return yaml.Extract(name, src)
	case JSON:
		x, err := json.Extract(name, src)
		if err != nil {
			return nil, err
		}
		s, ok := x.(*ast.StructLit)
		if !ok {
			return &ast.File{Decls: []ast.Decl{&ast.EmbedDecl{Expr: x}}}, nil
		}
		return &ast.File{Decls: s.Elts}, nil
	}
	return parser.ParseFile(name, src, parser.Version("v0.17.0"))
}

func pos(name string, p token.Pos) finding.Pos {
	if !p.IsValid() {
		return finding.Pos{File: name, Line: 1, Column: 1}
	}
	return finding.Pos{File: name, Line: p.Line(), Column: p.Column()}
}

type checker struct {
	name, schemaPath string
	imports          map[string]bool
	n                int
	doc              *Document
	out              []finding.Finding
}

func (c *checker) add(p finding.Pos, rule, msg, remedy, why string) {
	if len(c.out) < maxFindings {
		c.out = append(c.out, finding.Finding{Rule: rule, Verdict: finding.Malformed, Pos: p, Message: msg, Remedy: remedy, Rationale: why})
	}
}

func (c *checker) bad(n ast.Node, format string, a ...any) *tree.Node {
	c.add(pos(c.name, n.Pos()), DataOnly, fmt.Sprintf(format, a...),
		"write plain fields and values; whoever wants arithmetic or templates pipes `cue export` into `isocue lint -`",
		"A file from a stranger is read as data only, so that reading it can neither run nor hide anything.")
	return nil
}

func (c *checker) top(f *ast.File) {
	root := tree.NewRecord()
	root.Pos = finding.Pos{File: c.name, Line: 1, Column: 1}
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
				root.Pos = pos(c.name, d.Pos())
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
		if strings.HasPrefix(name, "_") || strings.HasPrefix(name, "#") {
			c.bad(x, "%s is a hidden field or a definition, allowed: plain field names", cut(name))
			return
		}
	case *ast.BasicLit:
		s, err := literal.Unquote(x.Value)
		if x.Kind != token.STRING || err != nil {
			c.bad(x, "%s is not a field name, allowed: text", cut(x.Value))
			return
		}
		name = s
	default:
		c.bad(f.Label, "%s is not a field name, allowed: text", kind(f.Label))
		return
	}
	if len(name) > maxName {
		c.bad(f.Label, "field name is longer than %d bytes", maxName)
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
	if n := c.value(v, depth+1); n != nil {
		into.Set(name, n)
	}
}

func (c *checker) value(x ast.Expr, depth int) *tree.Node {
	if !c.tick(x, depth) {
		return nil
	}
	n := &tree.Node{Pos: pos(c.name, x.Pos())}
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

func (c *checker) literal(n *tree.Node, x *ast.BasicLit, sign string) *tree.Node {
	n.Raw = sign + x.Value
	switch x.Kind {
	case token.STRING:
		if len(x.Value) > maxString {
			return c.bad(x, "text is longer than %d bytes", maxString)
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
			d = unit.Dec{}.Sub(d)
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
