package cueval

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"isocue.example/compiler/internal/guard"
	"isocue.example/compiler/tree"
)

const home = "isocue.example/schema"

// A schema of the test's own, so that no change of the real one can hollow these tests out.
func small(t testing.TB) *Schema {
	t.Helper()
	s, err := Load(nil, fstest.MapFS{"a.cue": {Data: []byte(`package schema

// A short name: three letters.
#Name: =~"^[a-z]{3}$"
// A side.
#Side: "left" | "right"
#P: {
	id!:    #Name
	n!:     int & >=1 & <=8
	share?: number & >0 & <=1
	side?:  #Side
	ok?:    bool
	free?:  string
	in?: #Q
	list?: [...#Q]
	some?: [#Q, ...#Q]
	map?: [#Name]: "yes" | "no"
}
#Q: {
	a!: int & >=0
	b?: number
}
`)}}, home)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func read(t testing.TB, src string) *tree.Node {
	t.Helper()
	d, fs := guard.Parse("f.cue", []byte(src), guard.CUE, home)
	if d == nil {
		t.Fatal(fs)
	}
	return d.Root
}

// show prints problems in the order of the file: place, what, name or path, allowed.
func show(ps []Problem) string {
	slices.SortFunc(ps, func(a, b Problem) int {
		return strings.Compare(fmt.Sprintf("%04d%04d%s%s", a.Node.Pos.Line, a.Node.Pos.Column, a.Node.Path(), a.Name), fmt.Sprintf("%04d%04d%s%s", b.Node.Pos.Line, b.Node.Pos.Column, b.Node.Path(), b.Name))
	})
	var out []string
	for _, p := range ps {
		at := fmt.Sprintf("%d:%d ", p.Node.Pos.Line, p.Node.Pos.Column)
		switch p.Kind {
		case UnknownField:
			out = append(out, at+"unknown "+p.Node.Path())
		case MissingField:
			out = append(out, at+"missing "+p.Node.Join(p.Name)+": "+p.Allowed)
		default:
			out = append(out, at+"bad "+p.Node.Path()+": "+p.Allowed)
		}
	}
	return strings.Join(out, "\n")
}

// Every problem of a file at once, each at its place and in words. The sources are defects and habits of
// cuelang.org/go v0.17.1, measured for this project, and the small schema above.
func TestAllProblems(t *testing.T) {
	s := small(t)
	for _, c := range []struct{ src, want, why, source string }{
		{`id: "abc", n: 3`, "", "a sound file has none", "schema"},
		{`id: "abc", n: 3, share: 1, in: {a: 0, b: -1.5}, list: [], map: abc: "yes"`, "", "optional fields", "schema"},
		{"id: 1\nzz: 1", "1:1 missing n: a whole number 1 to 8\n1:5 bad id: a short name: three letters\n2:5 unknown zz",
			"a type error hides unknown and missing fields beside it", "v0.17.1 measured, issues 3358 and 3845"},
		{"zz: 1", "1:1 missing id: a short name: three letters\n1:1 missing n: a whole number 1 to 8\n1:5 unknown zz",
			"an unknown field hides the missing ones", "v0.17.1 measured"},
		{"id: \"abc\"\nn: 9\nin: {b: \"x\", c: 1}\nlist: [{a: 1}, {a: -1, d: 1}, {}]",
			"2:4 bad n: a whole number 1 to 8\n3:5 missing in.a: a whole number at least 0\n3:9 bad in.b: a number\n3:17 unknown in.c\n4:20 bad list[1].a: a whole number at least 0\n4:27 unknown list[1].d\n4:31 missing list[2].a: a whole number at least 0",
			"problems at every depth, the missing ones at the record that lacks them", "v0.17.1 gives no place for missing fields"},
		{"id: \"abc\"\nn: 1.5", "2:4 bad n: a whole number 1 to 8", "a fraction is no whole number", "schema"},
		{"id: \"abc\"\nn: 3.0", "", "3.0 is three: JSON and YAML mean it so", "RFC 8259 section 6"},
		{"id: \"abc\"\nn: \"3\"", "2:4 bad n: a whole number 1 to 8", "text is no number", "schema"},
		{"id: \"abc\"\nn: null", "2:4 bad n: a whole number 1 to 8", "nothing is no number", "schema"},
		{"id: \"abc\"\nn: {}", "2:4 bad n: a whole number 1 to 8", "a record is no number", "schema"},
		{"id: \"abc\"\nn: []", "2:4 bad n: a whole number 1 to 8", "a list is no number", "schema"},
		{"id: \"abc\"\nn: 3\nin: 4", "3:5 bad in: a record", "a number is no record", "schema"},
		{"id: \"abc\"\nn: 3\nlist: {}", "3:7 bad list: a list", "a record is no list", "schema"},
		{"id: \"abc\"\nn: 3\nside: \"Left\"", `3:7 bad side: "left" or "right"`, "one wrong choice is one problem, not one a branch", "v0.17.1 reports every branch"},
		{"id: \"abc\"\nn: 3\nlist: [{a: 1}, 7]", "3:16 bad list[1]: a record", "an element of another kind", "schema"},
		{"id: \"abc\"\nn: 3\nlist: [{a: [1]}]", "3:12 bad list[0].a: a whole number at least 0", "a list is no number, below a list", "schema"},
		{"id: \"abc\"\nn: 3\nmap: [\"yes\"]", "3:6 bad map: a record", "a list is no map", "schema"},
		{"id: \"abc\"\nn: 3\nmap: {abc: \"maybe\", toolong: \"yes\"}", "3:12 bad map.abc: \"yes\" or \"no\"\n3:30 unknown map.toolong", "names of a map are held to their pattern", "schema"},
		{"id: \"abc\"\nn: 3\nshare: 0", "3:8 bad share: over 0 to 1", "an open bound", "schema"},
		{"id: \"abc\"\nn: 3\nok: \"yes\"", "3:5 bad ok: true or false", "a word is no truth value", "schema"},
		{"id: \"abc\"\nn: 3\nfree: 112", "3:7 bad free: text", "a number is no text", "schema"},
		{"id: \"abcd\"\nn: 0\nshare: 2\nside: 1\nok: 1\nfree: 1\nq1: 1\nq2: 2\nin: {}",
			"1:5 bad id: a short name: three letters\n2:4 bad n: a whole number 1 to 8\n3:8 bad share: over 0 to 1\n4:7 bad side: \"left\" or \"right\"\n5:5 bad ok: true or false\n6:7 bad free: text\n7:5 unknown q1\n8:5 unknown q2\n9:5 missing in.a: a whole number at least 0",
			"nine slips are nine problems", "v0.17.1 shows six"},
	} {
		if c.why == "" || c.source == "" {
			t.Errorf("%q has no why or no source", c.src)
		}
		if got := show(s.Check("#P", read(t, c.src))); got != c.want {
			t.Errorf("%s\n%s\ngot\n%s\nwant\n%s", c.why, c.src, got, c.want)
		}
	}
}

// An empty list where one element is asked for is a problem of the list, wherever the engine puts it.
func TestEmptyList(t *testing.T) {
	ps := small(t).Check("#P", read(t, "id: \"abc\"\nn: 3\nsome: []"))
	if len(ps) != 1 || !strings.HasPrefix(ps[0].Node.Path(), "some") || ps[0].Node.Pos.Line != 3 {
		t.Errorf("%s", show(ps))
	}
}

// An unknown field is told with the names that are still free, a wrong choice with the choices.
func TestKnown(t *testing.T) {
	s := small(t)
	for _, p := range s.Check("#P", read(t, "id: \"abc\", n: 3, shares: 0.5, side: \"up\"")) {
		switch {
		case p.Kind == UnknownField && (!slices.Contains(p.Known, "share") || slices.Contains(p.Known, "shares") || slices.Contains(p.Known, "id")):
			t.Errorf("free names %v", p.Known)
		case p.Kind == BadValue && !slices.Equal(p.Known, []string{"left", "right"}):
			t.Errorf("choices %v", p.Known)
		case p.Kind == MissingField:
			t.Errorf("%+v", p)
		}
	}
}

// The order in which an engine reports does not reach the author: the same file gives the same problems.
func TestSteady(t *testing.T) {
	s := small(t)
	n := read(t, "zz: 1\nyy: 2\nin: {x: 1, y: 2}\nlist: [{}, {}, {q: 1}]\nside: 3")
	first := show(s.Check("#P", n))
	if strings.Count(first, "\n") < 8 {
		t.Fatalf("too few problems for a test of order:\n%s", first)
	}
	for range 20 {
		if got := show(s.Check("#P", n)); got != first {
			t.Fatalf("another order or content\n%s\n%s", first, got)
		}
	}
}

// What a schema cannot be made of is told when it is loaded.
func TestLoadRefuses(t *testing.T) {
	for _, c := range []struct{ src, says, why, source string }{
		{"package schema\n#P: {", "load schema", "syntax", "CUE language"},
		{"package schema\nx: 1 & 2", "build schema", "a conflict", "CUE language"},
		{"package schema\nimport \"other.example/x\"\nz: x.y", "is not allowed", "a foreign import", "no network, no registry"},
	} {
		if c.why == "" || c.source == "" {
			t.Errorf("%q has no why or no source", c.src)
		}
		if _, err := Load(nil, fstest.MapFS{"a.cue": {Data: []byte(c.src)}}, home); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.why, err, c.says)
		}
	}
}
