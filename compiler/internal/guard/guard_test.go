package guard

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"isocue.example/compiler/tree"
)

const schemaPath = "isocue.example/schema"

// What is refused, and where. Sources: the behaviour of cuelang.org/go v0.17.1 measured for this project (an exponent
// past 1e100000 reads as none, an unused list.Range hangs, @embed follows links), RFC 8259, YAML 1.2.
func TestRefused(t *testing.T) {
	for _, c := range []struct {
		name, src, at, says, why, source string
	}{
		{"a.cue", "import \"strings\"\nx: 1", "1:8", `import "strings" is not allowed`, "a foreign import may compute for ever", "CUE v0.17.1 measured"},
		{"a.cue", "x: strings.Repeat(\"a\", 9)", "1:4", "a call is not data", "calls compute", "CUE v0.17.1 measured"},
		{"a.cue", "x: y\ny: 1", "1:4", "a reference is not data", "references build cycles and bombs", "CUE v0.17.1 measured"},
		{"a.cue", "x: 1 + 1", "1:4", "an operation is not data", "long sums hang", "CUE v0.17.1 measured"},
		{"a.cue", "x: 1 | 2", "1:4", "an operation is not data", "disjunctions multiply", "CUE v0.17.1 measured"},
		{"a.cue", "x: \"\\(y)\"", "1:4", "a text with \\( )", "interpolation builds bombs", "CUE v0.17.1 measured"},
		{"a.cue", "x: [for i in [1] {i}]", "1:5", "a comprehension", "nested loops hang", "CUE v0.17.1 measured"},
		{"a.cue", "if true {x: 1}", "1:1", "a comprehension", "conditions hide fields", "CUE language"},
		{"a.cue", "let y = 1\nx: 2", "1:1", "let is not data", "aliases are references", "CUE language"},
		{"a.cue", "x: <=3", "1:4", "a constraint (<=…) is not data", "a bound is no value", "CUE language"},
		{"a.cue", "x?: 3", "1:1", "the marker ?", "optional fields silently vanish", "CUE language"},
		{"a.cue", "x!: 3", "1:1", "the marker !", "required markers are schema", "CUE language"},
		{"a.cue", "_x: 3", "1:1", "hidden field", "hidden fields hide", "CUE language"},
		{"a.cue", "#X: 3", "1:1", "hidden field or a definition", "definitions are schema", "CUE language"},
		{"a.cue", "[string]: 3", "1:1", "is not a field name", "patterns multiply", "CUE v0.17.1 measured"},
		{"a.cue", "x: 1 @embed(file=a)", "1:6", "attribute @embed(file=a)", "embedding reads other files through links", "CUE v0.17.1 measured"},
		{"a.cue", "@extern(embed)\nx: 1", "1:1", "an attribute is not data", "embedding must not be switched on", "CUE v0.17.1 measured"},
		{"a.cue", "x: {...}", "1:5", "… is not data", "open records are schema", "CUE language"},
		{"a.cue", "x: 1\nx: 1", "2:1", "field \"x\" is written twice, first on line 1", "equal twins would unify in silence", "CUE v0.17.1 measured"},
		{"a.cue", "x: 1e999999", "1:4", "exponent of 1e999999 is out of range", "the engine reads it as 1", "CUE v0.17.1 measured"},
		{"a.cue", "x: 0." + strings.Repeat("1", 40), "1:4", "longer than 24 characters", "digits without end", "engineering limit"},
		{"a.cue", strings.Repeat("a: ", 20) + "1", "", "nested deeper than 16 levels", "depth", "engineering limit"},
		{"a.cue", "x: [" + strings.Repeat("1,", 1001) + "]", "1:4", "more than 1000 elements", "long lists are quadratic", "CUE v0.17.1 measured"},
		{"a.cue", "{x: 1}\ny: 2", "1:1", "a record stands where a field is allowed", "an embedding merges", "CUE language"},
		{"a.cue", "x: {", "1:5", "cannot be read as CUE", "syntax", "CUE language"},
		{"a.json", `{"x": 1, "x": 2}`, "1:11", "is written twice", "the last would win in silence", "RFC 8259 section 4"},
		{"a.json", `[1]`, "1:1", "stands where a field is allowed", "a list is no document", "this format"},
		{"a.json", `{"x": 1e400}`, "1:7", "out of range", "overflows a double", "RFC 8259 section 6"},
		{"a.yaml", "x: .nan", "1:4", "is not a number", "no number", "YAML 1.2 core schema"},
		{"a.yaml", "x: 1\nx: 2", "2:1", "is written twice", "the last would win in silence", "YAML 1.2"},
		{"a.yaml", "x: 1\n---\ny: 2", "1:1", "stands where a field is allowed", "one document a file", "YAML 1.2"},
		{"a.yaml", "\x00", "1:1", "NUL byte", "no text", "Unicode"},
		{"a.yaml", " \n\t", "1:1", "file is empty", "nothing to judge", "this format"},
		{"a.cue", "\xef\xbb\xbfx: 1", "1:1", "byte order mark", "three readers refuse it", "RFC 3629"},
		{"a.cue", "x: \"\xff\"", "1:5", "byte 0xff is not UTF-8", "no text", "RFC 3629"},
	} {
		if c.source == "" || c.why == "" {
			t.Errorf("%q has no why or no source", c.src)
		}
		f, _ := FormatOf(c.name)
		doc, fs := Parse(c.name, []byte(c.src), f, schemaPath)
		if doc != nil || len(fs) == 0 {
			t.Errorf("%s: %q was accepted", c.why, c.src)
			continue
		}
		at := fmt.Sprintf("%d:%d", fs[0].Pos.Line, fs[0].Pos.Column)
		if c.at != "" && at != c.at || !strings.Contains(fs[0].Message, c.says) {
			t.Errorf("%q: %s %s, want %s %s", c.src, at, fs[0].Message, c.at, c.says)
		}
		for _, x := range fs {
			if x.Remedy == "" || x.Rationale == "" || !x.Pos.IsValid() {
				t.Errorf("%q: a finding lacks place, remedy or rationale: %+v", c.src, x)
			}
		}
	}
}

// The schema conjunct is noted and removed; places are the author's.
func TestAccepted(t *testing.T) {
	src := "package protocols\n\nimport s \"isocue.example/schema\"\n\n\"a-b\": s.#Protocol & {\n\tweeks: -8\n\tramp: [{weeks: 2}, {weeks: 0.30}]\n}\n"
	doc, fs := Parse("p.cue", []byte(src), CUE, schemaPath)
	if len(fs) > 0 {
		t.Fatal(fs)
	}
	if doc.Package != "protocols" || doc.Def["a-b"] != "#Protocol" {
		t.Errorf("package %q, definitions %v", doc.Package, doc.Def)
	}
	n := doc.Root.Get("a-b", "ramp", "1", "weeks")
	if n.Path() != "a-b.ramp[1].weeks" || n.Pos.Line != 7 || n.Raw != "0.30" || n.Num.String() != "0.3" {
		t.Errorf("path %s, place %v, raw %s, number %s", n.Path(), n.Pos, n.Raw, n.Num)
	}
	if w := doc.Root.Get("a-b", "weeks"); w.Raw != "-8" || w.Num.Sign() >= 0 {
		t.Errorf("minus was lost: %s", w.Raw)
	}
}

// What CUE's YAML reader gives no place, such as a value after a record without braces in a list, stands there where the one
// before it does.
func TestPlaceWhereTheReaderTellsNone(t *testing.T) {
	src := []byte("a: 1\nb: [x: 1, 2, ~]\n")
	doc, fs := Trusted("a.yaml", src, YAML, schemaPath)
	if len(fs) > 0 {
		t.Fatal(fs)
	}
	places(t, doc.Root)
	for _, at := range []string{"1", "2"} {
		if p := doc.Root.Get("b", at).Pos; p.Line != 2 || p.Column != 8 {
			t.Errorf("b[%s] stands at %v, want 2:8", at, p)
		}
	}
	if doc, _ = Parse("a.yaml", src, YAML, schemaPath); doc.Root.Get("b", "2").Pos.Column != 14 {
		t.Errorf("read the short way b[2] stands at %v, want 2:14", doc.Root.Get("b", "2").Pos)
	}
	if _, fs = Parse("a.yaml", []byte("a: 1\nb: [x: 1, .nan]\n"), YAML, schemaPath); len(fs) != 1 || fs[0].Pos.Line != 2 {
		t.Errorf("what is wrong there is told at %v, want line 2", fs)
	}
}

// Law: Parse never panics; either a document or findings, each with place, remedy and rationale; every node of a
// document has a place; and its JSON, read again, is an equal document.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"x: 1", "{\"a\": [1, 2.5, true, null, \"x\"]}", "a:\n  - b: 1\n", "x: 1e7", "package p\nimport \"isocue.example/schema\"\nx: schema.#A & {y: 1}",
		"x: 'a'", "x: \"\"\"\n\ta\n\t\"\"\"", "a: &x [1]\nb: *x", "? a\n: b", "x: !!binary aGk=", "0x10: 1", "\"\": 1", "x: -0", "{}", "x: 5K", "x: 1_000", "x: .5", "x: +1",
		"x: \"\\u2028\\\"\"", "a: &a {b: 1}\n<<: *a", "x: 0o17\ny: 1.5Mi", "x: -.5e-6", "a: [x: 1, ~]"} {
		for _, n := range []string{"cue", "yaml", "json"} {
			f.Add(n, []byte(s))
		}
	}
	hostile, err := filepath.Glob("../../../testdata/hostile/*")
	if err != nil || len(hostile) < 100 {
		f.Fatal(err, len(hostile))
	}
	for _, name := range hostile {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(strings.TrimPrefix(filepath.Ext(name), "."), b)
	}
	for _, s := range []string{"a: ", "[a]:", "]\\", "{a:", "x: 1\n", "&a ", "\"\\("} { // past small, where the bounds on bulk begin
		f.Add("cue", []byte("x: 1\n"+strings.Repeat(s, small/len(s)+10)))
		f.Add("yaml", []byte("x: 1\n"+strings.Repeat(s, small/len(s)+10)))
	}
	f.Fuzz(func(t *testing.T, format string, src []byte) {
		doc, fs := Parse("f", src, Format(format), schemaPath)
		if (doc == nil) == (len(fs) == 0) {
			t.Fatalf("document %v with %d findings", doc != nil, len(fs))
		}
		for _, x := range fs {
			if !x.Pos.IsValid() || x.Message == "" || x.Remedy == "" || x.Rationale == "" {
				t.Fatalf("finding lacks something: %+v", x)
			}
		}
		if doc != nil {
			places(t, doc.Root)
			again(t, doc.Root)
		}
	})
}

// again writes a document as JSON and reads it back. Where the writing makes a text or file longer than is read, there is
// nothing to compare.
func again(t *testing.T, n *tree.Node) {
	src, err := json.Marshal(n)
	if err != nil {
		t.Fatal(err)
	}
	if len(src) > maxString {
		return
	}
	doc, fs := Parse("again.json", src, JSON, schemaPath)
	if doc == nil {
		t.Fatalf("its JSON is refused: %v\n%s", fs, src)
	}
	if !tree.Equal(n, doc.Root) {
		t.Fatalf("its JSON means something else: %s", src)
	}
}

func places(t *testing.T, n *tree.Node) {
	if !n.Pos.IsValid() {
		t.Fatalf("%s has no place", n.Path())
	}
	for _, k := range n.Keys {
		if n.Field[k].Path() == "" {
			t.Fatalf("field %q has no path", k)
		}
		places(t, n.Field[k])
	}
	for _, e := range n.Elem {
		places(t, e)
	}
}

// What the readers beneath would take long over, each a file of nearly the largest size. The law is what is told, and that it is
// told for these alone; how long it takes is the business of the corpus in testdata/hostile.
func TestBulk(t *testing.T) {
	fill := func(s string) string { return strings.Repeat(s, (MaxBytes-100)/len(s)) }
	for _, c := range []struct{ name, src, says, why string }{
		{"a.cue", fill(`]\`), "cannot be read as CUE", "errors of the scanner"},
		{"a.cue", "x: " + fill("'\n"), "cannot be read as CUE", "texts without an end"},
		{"a.cue", "x: " + fill("b:"), "nested deeper than 16 levels", "names in a row"},
		{"a.cue", fill("[a]:"), "nested deeper than 16 levels", "patterns in a row"},
		{"a.cue", "x: a" + fill(".b"), "computes, and the file does so in more than", "a long way of names"},
		{"a.cue", "x: " + fill("{a:"), "nested deeper than 16 levels", "records in a row"},
		{"a.cue", "x: " + fill("("), "nested deeper than 16 levels", "parentheses"},
		{"a.cue", `x: "\(1)"` + "\n" + fill("y: 1\n"), `a text with \( ) is not data`, "a text that computes"},
		{"a.cue", "x: [" + fill("for a in b ") + "{}]", "computes, and", "loops"},
		{"a.json", fill(`\`), "cannot be read as JSON", "no JSON"},
		{"a.yaml", "a: &a {x: 1}\nb:\n  <<: [" + fill("*a,") + "]", "is not data, allowed: each value where it stands", "merges"},
		{"a.yaml", "a: &a\n  <<: *a\n", "is not data, allowed: each value where it stands", "a merge of itself"},
		{"a.yaml", "x: {<<: {}, " + fill("kkkkk: 1,") + "}", "is not data, allowed: each value where it stands", "a merge before many names"},
	} {
		f, _ := FormatOf(c.name)
		doc, fs := Parse(c.name, []byte(c.src), f, schemaPath)
		if doc != nil || len(fs) == 0 || len(fs) > maxFindings || !strings.Contains(fs[0].Message, c.says) || !fs[0].Pos.IsValid() {
			t.Errorf("%s: %d findings, %+v, want %q", c.why, len(fs), fs[:min(1, len(fs))], c.says)
		}
	}
	// a clinic's policy may be large and have rules
	src := "reviewers: [\"B\"]\nrules: {\n" + strings.Repeat("\t\"clinic-a\": {when: a?: _|_, value: (given.x + 1) * 2, must: >=1 & <=3 | =~\"a\"}\n", 120) + "}\n"
	if doc, fs := Parse("a.cue", []byte(src), CUE, schemaPath); doc == nil {
		t.Errorf("a policy of %d bytes is refused: %v", len(src), fs)
	}
}
