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

	"isocue.example/schema"
)

// shapeFiles are the files whose definitions the page lists, in order.
var shapeFiles = []string{"words.cue", "protocol.cue", "client.cue", "policy.cue", "rule.cue", "base.cue", "given.cue"}

// fieldPage lists every definition of the schema with its fields, from the comments above them.
func fieldPage() ([]byte, error) {
	var w bytes.Buffer
	w.WriteString(generated + "# The fields\n\nWhat may stand in the files people write: names, units and physical span. Clinical limits are rules and stand in\n[rules](rules/README.md). A field with ! must be there; one with ? may be missing.\n")
	for _, name := range shapeFiles {
		f, err := parse(name)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&w, "\n## schema/%s\n", name)
		for _, d := range f.Decls {
			fd, ok := d.(*ast.Field)
			if !ok || !strings.HasPrefix(fieldName(fd), "#") {
				continue
			}
			fmt.Fprintf(&w, "\n### %s\n\n%s\n", fieldName(fd), comment(fd))
			if s, ok := fd.Value.(*ast.StructLit); ok {
				w.WriteString("\n| field | what may stand there | meaning |\n|---|---|---|\n")
				rows(&w, "", s)
			} else {
				fmt.Fprintf(&w, "\n```cue\n%s\n```\n", source(fd.Value))
			}
		}
	}
	return w.Bytes(), nil
}

func parse(name string) (*ast.File, error) {
	src, err := fs.ReadFile(schema.FS, name)
	if err != nil {
		return nil, err
	}
	return parser.ParseFile("schema/"+name, src, parser.ParseComments)
}

// rows writes a line a field; records inside are flattened with their path.
func rows(w *bytes.Buffer, prefix string, s *ast.StructLit) {
	for _, d := range s.Elts {
		switch d := d.(type) {
		case *ast.EmbedDecl:
			if prefix == "" {
				fmt.Fprintf(w, "| | all fields of `%s` | |\n", source(d.Expr))
			}
		case *ast.Field:
			name := prefix + fieldName(d)
			switch d.Constraint {
			case token.NOT:
				name += "!"
			case token.OPTION:
				name += "?"
			}
			v := d.Value
			inner, isRecord := v.(*ast.StructLit)
			what := "a record"
			if l, ok := v.(*ast.ListLit); ok && len(l.Elts) == 1 {
				if e, ok := l.Elts[0].(*ast.Ellipsis); ok {
					if st, ok := e.Type.(*ast.StructLit); ok {
						inner, isRecord, what = st, true, "a list of records"
					}
				}
			}
			if !isRecord {
				what = "`" + cell(source(v)) + "`"
			}
			fmt.Fprintf(w, "| %s | %s | %s |\n", name, what, cell(comment(d)))
			if isRecord {
				rows(w, prefix+fieldName(d)+".", inner)
			}
		}
	}
}

func fieldName(f *ast.Field) string {
	if n, _, err := ast.LabelName(f.Label); err == nil {
		return n
	}
	return source(f.Label)
}

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
