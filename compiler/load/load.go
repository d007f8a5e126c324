// Package load reads the files people write: it tells their kind by content, holds them against the schema, and turns
// what passes into records.
//
// Trouble with a file is a finding of verdict malformed (rules unreadable, data-only and shape), all of it at once
// and each at its place; a Go error means that the file could not be fetched at all.
package load

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"cuelang.org/go/cue/ast"

	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/cueval"
	"isocue.example/compiler/internal/guard"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/schema"
)

// Protocol is one protocol of a file. Stages holds, for each stage, the protocol with that ramp entry laid over it;
// its values keep their places in the author's file.
type Protocol struct {
	Node   *tree.Node
	Stages []*tree.Node
	Record *record.Protocol
	source []byte // of its file; nil for one that stands in none
}

// Client is one client record.
type Client struct {
	Node   *tree.Node
	Record *record.Client
	Told   bool // it says what the client's diary says, too
}

// File is one file, read and shape-checked. With findings that reject, the records are nil.
type File struct {
	Name      string
	Kind      Kind
	Source    []byte
	Digest    string // SHA-256 of the bytes, hexadecimal
	Protocols []Protocol
	Client    *Client
	Diary     *Diary // what could be read of it, also beside findings
	Plan      *Plan
	Rules     *ast.StructLit // a policy's own rules, as syntax
	Node      *tree.Node
	Findings  []finding.Finding
}

// Rule ids of findings about a file: that it cannot be read, that it computes, its names, units and spans.
const (
	Unreadable = guard.Unreadable
	DataOnly   = guard.DataOnly
	Shape      = "shape"
)

// Reader reads files against the schema. It may be used from several goroutines.
type Reader struct {
	protocols *cueval.Schema
	clients   func() *cueval.Schema // built when the first file needs it
	diaries   func() *cueval.Schema
	clinics   func() *cueval.Schema
	givens    func() *cueval.Schema
	watch     *Watchdog
	// Accepts says whether rules take a number in place of one of a protocol; what they refuse is never offered. nil takes all.
	Accepts func(protocol, at, offer *tree.Node) bool
	// Classes are the classes of the medicines that a generic name names; nil knows no name.
	Classes func(name string) []string
}

// Watchdog bounds what reading one file may take; its Bite must end the process.
type Watchdog = cueval.Watchdog

// Overrun is what a Watchdog bites for.
type Overrun = cueval.Overrun

// NewReader builds the embedded schema, the shape of protocols at once and the others when they are asked for: a start
// takes about as long as what it builds. w watches whatever is read and evaluated; nil for none.
func NewReader(w *Watchdog) (*Reader, error) {
	s, err := cueval.Load(w, schema.FS, schema.Path, "words.cue", "protocol.cue")
	if err != nil {
		return nil, err
	}
	return &Reader{s, later(w, "words.cue", "client.cue"), later(w, "words.cue", "client.cue", "diary.cue"),
		later(w, "words.cue", "policy.cue", "rule.cue"),
		later(w, "words.cue", "protocol.cue", "client.cue", "given.cue"), w, nil, nil}, nil
}

// Watch begins to look at other work on a file of somebody's; the function it returns ends that.
func (r *Reader) Watch(doing string) (end func()) { return r.watch.Watch(doing) }

// later builds files of the schema on first use. They are embedded and tested: an error is a defect of the program.
func later(w *Watchdog, names ...string) func() *cueval.Schema {
	return sync.OnceValue(func() *cueval.Schema {
		s, err := cueval.Load(w, schema.FS, schema.Path, names...)
		if err != nil {
			panic(finding.Bug{What: err.Error()})
		}
		return s
	})
}

// Path fetches and reads a file.
func (r *Reader) Path(name string) (*File, error) {
	src, err := files.Fetch(name, MaxBytes)
	if err == nil && len(src) > MaxBytes && planHead.Match(src) {
		src, err = files.Fetch(name, MaxPlan)
	}
	if err == nil && len(src) > MaxBytes && isDiary(name, src) {
		src, err = files.Fetch(name, MaxDiary)
	}
	if err != nil {
		return nil, err
	}
	return r.Bytes(name, src), nil
}

// Bytes reads src, in the notation that the ending of name gives; without a known ending by content.
func (r *Reader) Bytes(name string, src []byte) *File {
	defer r.watch.Watch("reading " + name)()
	sum := sha256.Sum256(src)
	f := &File{Name: name, Source: src, Kind: IsUnknown, Digest: hex.EncodeToString(sum[:])}
	if isDiary(name, src) {
		r.diary(f)
		f.shown()
		f.Findings = few(finding.Sort(f.Findings))
		return f
	}
	if planHead.Match(src) {
		r.plan(f)
		return f
	}
	var doc *guard.Document
	var fs []finding.Finding
	if format, known := guard.FormatOf(name); known {
		doc, fs = guard.Parse(name, src, format, schema.Path)
	} else {
		doc, fs = sniff(name, src)
	}
	if doc == nil {
		f.Findings = fs
		if clientWords.Match(src) {
			f.Kind = IsClient
		}
		for i := range f.Findings {
			f.Findings[i].Private = f.Kind == IsClient
		}
		return f
	}
	f.Node = doc.Root
	r.read(f, doc)
	f.shown()
	f.Findings = few(finding.Sort(f.Findings))
	return f
}

// maxTold bounds what is told of one file: nobody repairs more at once, and a report of thousands is a burden by itself.
const maxTold = 200

// few keeps the first findings of a file and says how many more there are.
func few(fs []finding.Finding) []finding.Finding {
	if len(fs) <= maxTold {
		return fs
	}
	more, last := len(fs)-maxTold+1, fs[maxTold-1]
	return append(fs[:maxTold-1:maxTold-1], finding.Finding{Rule: Shape, Verdict: finding.Malformed, Pos: last.Pos, Private: last.Private,
		Message: fmt.Sprintf("%d more places from here on are malformed, allowed: none", more), Remedy: "repair those above first", Rationale: shapeWhy})
}

// obeyed are the characters that an editor or terminal obeys instead of showing. The marks of direction are not among them:
// comments in Arabic or Hebrew have some, and they move nothing.
var obeyed = regexp.MustCompile(`[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\x{2028}-\x{202e}\x{2066}-\x{2069}]`)

// shown refuses such a character outside the values, which the schema has seen: in a comment, what a reviewer reads there would
// not be what the file says.
func (f *File) shown() {
	if len(f.Findings) > 0 || !slices.ContainsFunc(f.Source, mayObey) {
		return
	}
	if at := obeyed.FindIndex(f.Source); at != nil {
		c, _ := utf8.DecodeRune(f.Source[at[0]:])
		f.Protocols, f.Client, f.Rules = nil, nil, nil
		f.Findings = append(f.Findings, finding.Finding{Rule: Unreadable, Verdict: finding.Malformed, Pos: guard.Place(f.Name, f.Source, at[0]),
			Message: fmt.Sprintf("a comment holds the control character %U, allowed: text alone", c), Remedy: "remove the character",
			Rationale: "A reader must see what the file says, and a terminal must do nothing that a file says.", Private: f.Kind.Private()})
	}
}

// mayObey says whether a byte may belong to an obeyed character: nearly no file has one, and bytes are looked through faster than
// an expression is matched.
func mayObey(b byte) bool { return b < ' ' && b != '\n' && b != '\t' && b != '\r' || b > '~' }

// clientWords are the fields that only a client record has. A file that cannot be read and names one of them is taken
// for a client record, so that no line of it is quoted.
var clientWords = regexp.MustCompile(`\b(name|born|sex|zone|dominantHand|contacts|screening|conditions|medicines|clearances|taught|measured|devices|away)"?\s*:`)

// sniff reads a text whose name does not tell its notation: JSON where it starts as JSON does, else CUE, else YAML. Where
// neither reads it, CUE's complaints are told.
func sniff(name string, src []byte) (*guard.Document, []finding.Finding) {
	if t := strings.TrimSpace(string(src)); strings.HasPrefix(t, "{") || strings.HasPrefix(t, "[") {
		return guard.Parse(name, src, guard.JSON, schema.Path)
	}
	doc, fs := guard.Parse(name, src, guard.CUE, schema.Path)
	if doc == nil {
		if y, _ := guard.Parse(name, src, guard.YAML, schema.Path); y != nil {
			return y, nil
		}
	}
	return doc, fs
}

// add reports trouble at a node; at one that is missing or was reported already it says nothing more.
func (f *File) add(n *tree.Node, rule, msg, remedy string) {
	if n == nil || slices.ContainsFunc(f.Findings, func(x finding.Finding) bool { return x.Pos == n.Pos && x.Path == n.Path() }) {
		return
	}
	f.Findings = append(f.Findings, finding.Finding{Rule: rule, Verdict: finding.Malformed, Pos: n.Pos, Path: n.Path(), Found: n.Raw,
		Message: msg, Remedy: remedy, Rationale: shapeWhy, Private: f.Kind.Private()})
}

const shapeWhy = "Names, units and physical spans are fixed so that no number can be taken for another."

// Format is the notation of a file: cue, yaml or json.
type Format = guard.Format

// The notations.
const (
	CUE  = guard.CUE
	YAML = guard.YAML
	JSON = guard.JSON
)

// MaxBytes is the largest file that is read.
const MaxBytes = guard.MaxBytes

// FormatOf picks the notation by the ending of name; ok is false for an unknown ending.
func FormatOf(name string) (Format, bool) { return guard.FormatOf(name) }
