// Package guard keeps what a stranger wrote inside a data-only subset, before anything is evaluated.
//
// CUE, YAML and JSON files are parsed and held to fields, records, lists and plain values; everything by which CUE
// computes (references, comprehensions, calls, patterns, constraints, attributes, foreign imports) is a finding with
// its place. What passes is handed on as a tree that knows its places. The only import a file may name is the schema,
// and the conjunct schema.#Name in front of a top-level record is noted and removed, so that an editor completes
// fields while we still read nothing but data.
package guard

import (
	stderrors "errors"
	"fmt"
	"path"
	"regexp"
	"strconv"
	"strings"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/errors"
	"cuelang.org/go/cue/parser"
	"cuelang.org/go/cue/token"
	"cuelang.org/go/encoding/json"
	"cuelang.org/go/encoding/yaml"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/tree"
)

// Bounds on one file. They are far above any real protocol or client record and keep the worst parse under half a
// second; they are engineering limits, not clinical ones.
const (
	MaxBytes    = bound.File
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

// FormatOf picks the format by the ending of name, in capitals or not: systems and programs write either. ok is false for an
// unknown ending.
func FormatOf(name string) (f Format, ok bool) {
	switch strings.ToLower(path.Ext(name)) {
	case ".cue":
		return CUE, true
	case ".yaml", ".yml":
		return YAML, true
	case ".json":
		return JSON, true
	}
	return CUE, false
}

// Document is a file that passed.
type Document struct {
	Root *tree.Node
	// Package is the package clause of a CUE file, "" without one.
	Package string
	// Rules is the syntax of a top-level record named rules or #rules of a CUE file, which only a clinic's policy may have: it is held to
	// the rule language, and never evaluated. In Root it is an empty record.
	Rules *ast.StructLit
	// Def names the schema definition that stood before a top-level record, by field.
	Def map[string]string
}

// Rule ids of the findings that this package makes.
const (
	Unreadable = "unreadable"
	DataOnly   = "data-only"
)

// What is said of every such finding.
const (
	unreadWhy    = "A file that cannot be read cannot be judged, and an unjudged file must not be used."
	repairSyntax = "repair the syntax at the mark"
	dataWhy      = "A file from a stranger is read as data only, so that reading it can neither run nor hide anything."
	writePlain   = "write plain fields and values; whoever wants arithmetic or templates pipes `cue export` into `isocue lint -`"
)

// Parse reads src as data. Findings mean that the document must not be used.
func Parse(name string, src []byte, f Format, schemaPath string) (*Document, []finding.Finding) {
	if fd, bad := text(name, src); bad {
		return nil, []finding.Finding{fd}
	}
	if fs := before(name, src, f); len(fs) > 0 {
		return nil, fs
	}
	if f == YAML {
		if root := plainYAML(name, src); root != nil {
			return &Document{Root: root, Def: map[string]string{}}, nil
		}
		if fs := octal(name, src); len(fs) > 0 {
			return nil, fs
		}
	}
	return Trusted(name, src, f, schemaPath)
}

// before refuses what a reader beneath would not survive, or would take long over.
func before(name string, src []byte, f Format) []finding.Finding {
	switch f {
	case CUE:
		return bulk(name, src)
	case YAML:
		if fd, bad := breaks(name, src); bad {
			return []finding.Finding{fd}
		}
		return references(name, src)
	}
	return invalid(name, src)
}

// Trusted is Parse for a file of the program's own, which need not be held to what spares the readers beneath.
func Trusted(name string, src []byte, f Format, schemaPath string) (*Document, []finding.Finding) {
	c := &checker{name: name, format: f, imports: map[string]bool{}, schemaPath: schemaPath,
		doc: &Document{Def: map[string]string{}}}
	file, err := parse(name, src, f)
	if err != nil {
		for _, e := range errors.Errors(err) {
			p, says := complaint(name, e, f)
			c.add(p, Unreadable, "cannot be read as "+strings.ToUpper(string(f))+": "+says, repairSyntax, unreadWhy)
		}
		return nil, finding.Sort(c.out)
	}
	c.top(file)
	if len(c.out) > 0 {
		return nil, finding.Sort(c.out)
	}
	return c.doc, nil
}

// yamlLine is how the YAML reader writes a place: it has no other way to tell one.
var yamlLine = regexp.MustCompile(`^(?:yaml: )?(?:line |.*?:)([0-9]+): (.*)$`)

// complaint is what a reader says, and where. The wrapper of a JSON error says only that the text is invalid, that of a
// YAML error nothing at all: the cause is told instead.
func complaint(name string, e errors.Error, f Format) (finding.Pos, string) {
	format, args := e.Msg()
	p, says := pos(name, e.Position()), fmt.Sprintf(format, args...)
	if cause := stderrors.Unwrap(e); f != CUE && cause != nil {
		says = cause.Error()
	}
	if f == YAML {
		if m := yamlLine.FindStringSubmatch(says); m != nil {
			if n, err := strconv.Atoi(m[1]); err == nil && n > 0 {
				p, says = finding.Pos{File: name, Line: n, Column: 1}, m[2]
			}
		}
	}
	return p, says
}

func parse(name string, src []byte, f Format) (_ *ast.File, err error) {
	defer func() { // a reader of others that fails on a file has not read it
		if p := recover(); p != nil {
			err = fmt.Errorf("the reader failed: %v", p)
		}
	}()
	switch f {
	case YAML:
		file, err := yaml.Extract(name, src)
		if err == nil && onlyComments(src) { // the reader makes *null | _ of it
			file.Decls = nil
		}
		return file, err
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

// onlyComments says whether a YAML text has nothing but comments and empty lines.
func onlyComments(src []byte) bool {
	for l := range strings.Lines(string(src)) {
		if l = strings.TrimSpace(l); l != "" && l[0] != '#' {
			return false
		}
	}
	return true
}

func pos(name string, p token.Pos) finding.Pos {
	if !p.HasAbsPos() { // it may still be valid: a distance to what stands before
		return finding.Pos{File: name, Line: 1, Column: 1}
	}
	return finding.Pos{File: name, Line: p.Line(), Column: p.Column()}
}
