// Package cueval is the only place that lets CUE evaluate, and the only one that reads a CUE error.
//
// A Schema is the embedded schema package, built once. Check holds one data tree against one definition and returns
// every Problem: a value outside its span, a field that the shape does not know, a field that is missing. Places come
// from the tree, by path, because v0.17 reports no position in the author's file for missing fields.
package cueval

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"cuelang.org/go/cue"
	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/build"
	"cuelang.org/go/cue/cuecontext"
	"cuelang.org/go/cue/errors"
	"cuelang.org/go/cue/literal"
	"cuelang.org/go/cue/parser"
	"cuelang.org/go/cue/token"
)

// Schema is the schema package, evaluated.
type Schema struct {
	ctx      *cue.Context
	root     cue.Value
	phrases  map[string]string // a pattern of words.cue -> what it means in words
	watch    *Watchdog
	computes bool // a field may depend on another
	shapes   shapes
}

// Load builds the named files of the package at the top of fsys; without names, all of it. The files that people's
// records are held against are a small part of the package, and building only them halves the time to start. w watches this
// and every evaluation after it; nil for none.
func Load(w *Watchdog, fsys fs.FS, importPath string, names ...string) (*Schema, error) {
	defer w.Watch("building the schema")()
	root, files, err := Build(fsys, importPath, importPath, names...)
	if err != nil {
		return nil, err
	}
	s := &Schema{ctx: root.Context(), root: root, phrases: map[string]string{}, watch: w}
	for _, f := range files {
		s.readPhrases(f)
		s.computes = s.computes || computing(f)
	}
	return s, nil
}

// Build evaluates a package at the top of fsys, whose path is root, or below it. Of the top it reads the files of these names,
// or all without names.
func Build(fsys fs.FS, root, pkg string, names ...string) (cue.Value, []*ast.File, error) {
	inst := loader(fsys, root, names)(token.NoPos, pkg)
	if inst.Err != nil {
		return cue.Value{}, nil, fmt.Errorf("load schema: %w", inst.Err)
	}
	v := cuecontext.New().BuildInstance(inst)
	if err := v.Err(); err != nil {
		return v, nil, fmt.Errorf("build schema: %s", errors.Details(err, nil))
	}
	return v, inst.Files, nil
}

// loader finds imports in fsys alone: no module, no registry, no other file system.
func loader(fsys fs.FS, root string, only []string) build.LoadFunc {
	bctx := build.NewContext()
	var lf build.LoadFunc
	lf = func(pos token.Pos, importPath string) *build.Instance {
		ip := ast.ParseImportPath(importPath)
		if first, _, _ := strings.Cut(ip.Path, "/"); !strings.Contains(first, ".") {
			return nil // a builtin package
		}
		inst := bctx.NewInstance(importPath, lf)
		inst.ImportPath = importPath
		dir, ok := strings.CutPrefix(ip.Path, root)
		dir = path.Join(".", strings.TrimPrefix(dir, "/"))
		names, err := fs.Glob(fsys, path.Join(dir, "*.cue"))
		if !ok || err != nil || len(names) == 0 {
			inst.Err = errors.Newf(pos, "import %q is not allowed", importPath)
			return inst
		}
		for _, n := range names {
			if dir == "." && len(only) > 0 && !slices.Contains(only, n) {
				continue
			}
			b, err := fs.ReadFile(fsys, n)
			if err == nil {
				var f *ast.File
				if f, err = parser.ParseFile("schema/"+n, b, parser.ParseComments); err == nil {
					inst.PkgName = f.PackageName()
					err = inst.AddSyntax(f)
				}
			}
			if err != nil {
				inst.Err = errors.Promote(err, n)
				return inst
			}
		}
		if err := inst.Complete(); err != nil {
			inst.Err = errors.Promote(err, importPath)
		}
		return inst
	}
	return lf
}

// readPhrases learns what a pattern means from the comment above its definition, so that a message can say "a civil
// date" instead of a regular expression.
func (s *Schema) readPhrases(f *ast.File) {
	for _, d := range f.Decls {
		fd, ok := d.(*ast.Field)
		if !ok {
			continue
		}
		doc := Doc(fd)
		ast.Walk(fd.Value, func(n ast.Node) bool {
			if u, ok := n.(*ast.UnaryExpr); ok && (u.Op == token.MAT || u.Op == token.NMAT) && doc != "" {
				if b, ok := u.X.(*ast.BasicLit); ok {
					if re, err := literal.Unquote(b.Value); err == nil {
						if _, have := s.phrases[re]; !have {
							s.phrases[re] = doc
						}
					}
				}
			}
			_, isStruct := n.(*ast.StructLit)
			return !isStruct
		}, nil)
	}
}

// Doc is the comment above a field, as a phrase: first letter lower case, no full stop.
func Doc(f *ast.Field) string {
	var b strings.Builder
	for _, g := range ast.Comments(f) {
		if g.Position == 0 && g.Doc {
			b.WriteString(strings.Join(strings.Fields(g.Text()), " "))
		}
	}
	t := strings.TrimSuffix(b.String(), ".")
	if t == "" {
		return ""
	}
	return strings.ToLower(t[:1]) + t[1:]
}
