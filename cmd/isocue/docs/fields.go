package docs

import (
	"bytes"
	"fmt"
	"io/fs"
	"strings"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/format"
	"cuelang.org/go/cue/parser"
	"cuelang.org/go/cue/token"

	"isocue.example/compiler"
	"isocue.example/schema"
)

// shapeFiles are the files whose definitions the page lists, in order.
var shapeFiles = []string{"words.cue", "protocol.cue", "client.cue", "diary.cue", senseFile, "policy.cue", "rule.cue", "base.cue", "given.cue"}

// senseFile says more of definitions that stand in other files; the page lists what it says.
const senseFile = "sense.cue"

// definition is one #Name of the schema: a record with rows, or a plain value.
type definition struct {
	name, meaning, value string
	embeds               []string
	rows                 []row
}

// row is one field, by its path below the definition.
type row struct{ path, must, what, meaning string }

// fieldPage lists every definition of the schema with its fields, from the comments above them.
func fieldPage(*compiler.Compiler) ([]byte, error) {
	var w bytes.Buffer
	w.WriteString(generated + "# The fields\n\nWhat may stand in the files people write: names, units and physical span. Clinical limits are rules and stand in\n[rules](rules/README.md). A name in brackets is a pattern: any name that fits it may stand there. `#Name` is a definition of this\npage.\n")
	for _, name := range shapeFiles {
		defs, err := definitions(name)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&w, "\n## schema/%s\n", name)
		if name == senseFile {
			w.WriteString("\nWhat must hold beside the shape of each field, by lint and by `cue vet` alike.\n\n")
			for _, d := range defs {
				fmt.Fprintf(&w, "- `%s`: %s\n", d.name, d.meaning)
			}
			continue
		}
		for _, d := range defs {
			fmt.Fprintf(&w, "\n### %s\n\n%s\n\n", d.name, d.meaning)
			if d.value != "" {
				fmt.Fprintf(&w, "```cue\n%s\n```\n", d.value)
				continue
			}
			if len(d.embeds) > 0 {
				fmt.Fprintf(&w, "It has all fields of `%s`%s\n", strings.Join(d.embeds, "` and `"), map[bool]string{true: ".", false: ", and these:\n"}[len(d.rows) == 0])
			}
			if len(d.rows) == 0 {
				continue
			}
			w.WriteString("| field | required | what may stand there | meaning |\n|---|---|---|---|\n")
			for _, r := range d.rows {
				fmt.Fprintf(&w, "| `%s` | %s | %s | %s |\n", cell(r.path), r.must, r.what, cell(r.meaning))
			}
		}
	}
	return w.Bytes(), nil
}

// definitions reads one file of the schema.
func definitions(name string) ([]definition, error) {
	f, err := parse(name)
	if err != nil {
		return nil, err
	}
	var out []definition
	known := map[string]row{} // "#Course.modality": what a definition that narrows it, or only requires it, does not say again
	for _, d := range f.Decls {
		fd, ok := d.(*ast.Field)
		if !ok || !strings.HasPrefix(fieldName(fd), "#") {
			continue
		}
		def := definition{name: fieldName(fd), meaning: comment(fd)}
		if s, ok := fd.Value.(*ast.StructLit); ok {
			def.read("", s, map[bool]string{true: "always", false: "no"}[name == "given.cue"])
		} else {
			def.value = source(fd.Value)
		}
		for i, r := range def.rows {
			for _, e := range def.embeds {
				of, ok := known[e+"."+r.path]
				if ok && r.meaning == "" {
					def.rows[i].meaning = of.meaning
				}
				if ok && r.what == "`_`" {
					def.rows[i].what = of.what
				}
			}
			known[def.name+"."+r.path] = def.rows[i]
		}
		out = append(out, def)
	}
	return out, nil
}

// read adds a row for each field; records inside are flattened with their path. Plain says of a field without ! or ?
// whether it must be there: what Go hands over always is, in a rule such a field may be left out.
func (def *definition) read(prefix string, s *ast.StructLit, plain string) {
	for _, d := range s.Elts {
		switch d := d.(type) {
		case *ast.EmbedDecl:
			def.embeds = append(def.embeds, source(d.Expr))
		case *ast.Field:
			_, every := d.Label.(*ast.ListLit)
			r := row{path: prefix + fieldName(d), must: plain, meaning: comment(d)}
			switch {
			case d.Constraint == token.NOT:
				r.must = "yes"
			case d.Constraint == token.OPTION || every:
				r.must = "no"
			}
			inner, what := inside(d.Value)
			r.what = what
			if every && r.meaning == "" {
				r.meaning = "Each entry."
			}
			def.rows = append(def.rows, r)
			if inner != nil {
				def.read(r.path+".", inner, plain)
			}
		}
	}
}

// inside finds the fields inside a value, and says what the value is.
func inside(x ast.Expr) (*ast.StructLit, string) {
	switch v := x.(type) {
	case *ast.StructLit:
		return v, "a record"
	case *ast.ListLit:
		if len(v.Elts) == 1 {
			if e, ok := v.Elts[0].(*ast.Ellipsis); ok {
				if s, ok := e.Type.(*ast.StructLit); ok {
					return s, "a list of records"
				}
			}
		}
	case *ast.BinaryExpr: // #Protocol & {...}
		if s, ok := v.Y.(*ast.StructLit); ok && v.Op == token.AND {
			return s, "`" + cell(source(v.X)) + "` and these"
		}
	}
	return nil, "`" + cell(source(x)) + "`"
}

func parse(name string) (*ast.File, error) {
	src, err := fs.ReadFile(schema.FS, name)
	if err != nil {
		return nil, err
	}
	return parser.ParseFile("schema/"+name, src, parser.ParseComments)
}

func fieldName(f *ast.Field) string {
	if n, _, err := ast.LabelName(f.Label); err == nil {
		return n
	}
	return source(f.Label)
}

// source is a piece of the schema on one line, without its comments.
func source(n ast.Node) string {
	b, err := format.Node(n, format.Simplify())
	if err != nil {
		return ""
	}
	var lines []string
	for _, l := range strings.Split(string(b), "\n") {
		if l = strings.TrimSpace(l); !strings.HasPrefix(l, "//") {
			lines = append(lines, l)
		}
	}
	return strings.TrimSpace(strings.Join(lines, " "))
}

// comment is the text above a field.
func comment(f *ast.Field) string {
	var b strings.Builder
	for _, g := range ast.Comments(f) {
		if g.Doc {
			b.WriteString(strings.Join(strings.Fields(g.Text()), " "))
		}
	}
	return b.String()
}
