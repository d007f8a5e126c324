package cueval

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"cuelang.org/go/cue"

	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
	"isocue.example/schema"
)

// people are the definitions that the files of many people are held against.
var people = []string{"#Client", "#Handgrip", "#SlowBreathing", "#Inspiratory", "#WallSquat", "#Walking", "#Strength", "#EntryFields"}

func whole(t testing.TB) *Schema {
	t.Helper()
	s, err := Load(nil, schema.FS, schema.Path, "words.cue", "client.cue", "protocol.cue", "diary.cue")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func (s *Schema) shapeFor(def string) (shape, cue.Value) {
	v := s.root.LookupPath(cue.ParsePath(def))
	s.shapes.mu.Lock()
	defer s.shapes.mu.Unlock()
	return s.compiled(def, v), v
}

// unknowns are the places of a shape that are left to CUE.
func unknowns(s shape) (out []string) {
	switch s := s.(type) {
	case unknown:
		return []string{s.at + ": " + s.why}
	case all:
		for _, x := range s {
			out = append(out, unknowns(x)...)
		}
	case either:
		for _, x := range s {
			out = append(out, unknowns(x)...)
		}
	case *record:
		for _, f := range s.field {
			out = append(out, unknowns(f.shape)...)
		}
		for i := range s.names {
			out = append(append(out, unknowns(s.names[i])...), unknowns(s.values[i])...)
		}
	case *elements:
		for _, x := range s.first {
			out = append(out, unknowns(x)...)
		}
		if s.rest != nil {
			out = append(out, unknowns(s.rest)...)
		}
	}
	return out
}

// Nothing in today's shapes of records and protocols is left to CUE.
func TestNothingFallsBack(t *testing.T) {
	s := whole(t)
	for _, def := range people {
		c, _ := s.shapeFor(def)
		if u := unknowns(c); len(u) > 0 {
			t.Errorf("%s: not understood: %s", def, strings.Join(u, "; "))
		}
	}
}

// What a compiled shape does not understand is left to CUE, and never called fitting.
func TestUnknownShapes(t *testing.T) {
	for _, c := range []struct{ schema, fits, breaks, why string }{
		{"#P: {a: *1 | int}", "a: 2", `a: "x"`, "a field that the schema fills in"},
		{"#P: {a?: *\"x\" | string}", `a: "y"`, "a: 1", "a choice with a default"},
		{"#P: {a!: int, b?: >a}", "a: 1, b: 2", "a: 1, b: 1", "a bound that is another field"},
		{"#P: {a!: int, if a > 3 {b!: int}}", "a: 1", "a: 4", "a field that stands under a condition"},
		{"#P: {a!: int, ...}", "a: 1, b: 2", `a: "x"`, "an open record"},
		{"#P: {a!: {x!: int} | {y!: int}}", "a: x: 1", "a: z: 1", "a choice between records"},
		{"import \"list\"\n#P: {a!: [...int] & list.MaxItems(2)}", "a: [1]", "a: [1, 2, 3]", "a list with a validator"},
		{"import \"struct\"\n#P: {a!: {[string]: int} & struct.MaxFields(1)}", "a: x: 1", "a: {x: 1, y: 2}", "a record with a validator"},
		{"import \"strings\"\n#P: {a!: strings.ContainsAny(\"xyz\")}", `a: "x"`, `a: "b"`, "a validator that nobody compiled"},
		{"#P: {a!: 3 | 4}", "a: 3", "a: 5", "numbers as words"},
		{"#P: {a!: !=\"x\"}", `a: "y"`, `a: "x"`, "a value that must differ"},
		{"#P: {a!: int, next?: #P}", "a: 1, next: {a: 2, next: a: 3}", `a: 1, next: {a: 2, next: a: "x"}`, "a shape that holds itself"},
		{"#P: {a!: _}", "a: 1", "b: 1", "anything at all"},
	} {
		imports, def := "", c.schema
		if i := strings.IndexByte(def, '\n'); i > 0 {
			imports, def = def[:i], def[i+1:]
		}
		s, err := Load(nil, fstest.MapFS{"a.cue": {Data: []byte("package schema\n" + imports + "\n" + def + "\n")}}, home)
		if err != nil {
			t.Fatal(c.why, err)
		}
		sh, v := s.shapeFor("#P")
		if len(unknowns(sh)) == 0 {
			t.Errorf("%s: taken for understood", c.why)
		}
		for src, want := range map[string]bool{c.fits: true, c.breaks: false} {
			n := read(t, src)
			if got := s.oracle(v, n); got != want {
				t.Errorf("%s: CUE says %v of %s", c.why, got, src)
			}
			if !want && sh.fits(n) == yes {
				t.Errorf("%s: %s is called fitting", c.why, src)
			}
			for range worth + 2 { // compiled or not
				if got := len(s.Check("#P", n)) == 0; got != want && want {
					t.Errorf("%s: Check says %v of %s", c.why, got, src)
				}
			}
		}
	}
}

// oracle lets CUE alone decide whether data fits.
func (s *Schema) oracle(v cue.Value, n *tree.Node) bool {
	return v.Unify(s.ctx.BuildExpr(Expr(n, nil, nil))).Validate(cue.Final(), cue.Concrete(true)) == nil
}

// full says that the tag full is given; its counts are those of `.ci/run`.
var full bool

// CUE is the oracle: of random data, some sound and some with a slip, the compiled shape says what the evaluator says.
func TestShapesAgreeWithCUE(t *testing.T) {
	pairs := 400
	if full {
		pairs = 100_000
	}
	type pair struct {
		sh shape
		v  cue.Value
	}
	var s *Schema
	var of map[string]pair
	rnd := rand.New(rand.NewPCG(3, 4))
	fit := map[string]int{}
	bad := 0
	for i := range pairs {
		if i%2000 == 0 { // what was built for one record is not given back before its context is
			s, of = whole(t), map[string]pair{}
			for _, def := range people {
				sh, v := s.shapeFor(def)
				of[def] = pair{sh, v}
			}
		}
		def := people[i%len(people)]
		if rnd.IntN(2) > 0 {
			def = people[0]
		}
		sh, v := of[def].sh, of[def].v
		g := &maker{rnd: rnd, slip: []int{0, 15, 60, 250}[rnd.IntN(4)], full: 2 + 4*rnd.IntN(3)}
		n := g.make(sh)
		got, want := sh.fits(n), s.oracle(v, n)
		if want {
			fit[def]++
		} else {
			fit[def+" not"]++
		}
		if got == unsure || (got == yes) != want {
			if bad++; bad < 6 {
				t.Errorf("%s: shape says %d, CUE fits %v on %v", def, got, want, s.ctx.BuildExpr(Expr(n, nil, nil)))
			}
		}
	}
	for _, def := range people {
		if fit[def] < pairs/60 || fit[def+" not"] < pairs/60 {
			t.Errorf("%s: %d fit, %d do not; both must be seen", def, fit[def], fit[def+" not"])
		}
	}
	t.Logf("%d records, %d differ; of #Client %d fit and %d do not", pairs, bad, fit["#Client"], fit["#Client not"])
}

// maker makes random data of a shape; one value in slip is made without looking at it, none where slip is 0.
type maker struct {
	rnd  *rand.Rand
	slip int
	full int // one optional field in full is there
}

var texts = []string{"2027-01-02", "2027-13-02", "2027-02-31", "2026-12-29T07:30", "2026-12-29T24:30", "07:00", "24:00", "24:01", "", " ", "a", "A",
	"plover-12", "plover--12", "-a", "a-", strings.Repeat("a", 48), strings.Repeat("a", 49), strings.Repeat("ä", 80), strings.Repeat("ä", 81),
	strings.Repeat("x", 200), strings.Repeat("x", 201), "e\u0301", "\u00e9", "a\tb", "a\u2028b", "a\u202eb", "\x7f", "\U0001f600", "Europe/Lisbon",
	"America/North_Dakota/Beulah", "Etc/GMT+3", "no such/zone", "yes", "no", "left", "right", "home", "3", "0.30", "\"", "\\", "\\(x)", "_", "#a", "mon", "112"}

var numbers = []string{"0", "1", "-1", "2", "3", "7", "8", "12", "13", "20", "38.5", "40", "0.5", "0.3", "0.30", "1.0", "1.5", "60", "60.1", "80", "80.5", "100",
	"120", "180", "181", "250", "300", "300.5", "301", "400", "500", "500.001", "1900", "1971", "2000", "2100", "2101", "3600", "3601", "9999", "1e3", "1e-6",
	"0.000000000000000000001", "123456789012345678901234", "1.0000000000000000000001", "0.99999999999999999999"}

func number(raw string) *tree.Node {
	n := tree.Num(unit.MustDec(raw))
	n.Raw = raw
	return n
}

// free is any value at all.
func (m *maker) free(depth int) *tree.Node {
	switch m.rnd.IntN(12) {
	case 0:
		return &tree.Node{Kind: tree.Null, Raw: "null"}
	case 1:
		return tree.Truth(m.rnd.IntN(2) == 0)
	case 2:
		if depth > 0 {
			return tree.NewList(m.free(depth-1), m.free(depth-1))
		}
		return tree.NewList()
	case 3:
		r := tree.NewRecord()
		if depth > 0 {
			r.Set(texts[1+m.rnd.IntN(20)], m.free(depth-1))
		}
		return r
	case 4, 5, 6, 7:
		return tree.Str(texts[m.rnd.IntN(len(texts))])
	}
	return number(numbers[m.rnd.IntN(len(numbers))])
}

func (m *maker) slips() bool { return m.slip > 0 && m.rnd.IntN(m.slip) == 0 }

// make makes a value that fits where it can.
func (m *maker) make(s shape) *tree.Node {
	if m.slips() {
		return m.free(2)
	}
	switch s := s.(type) {
	case *record:
		out := tree.NewRecord()
		for _, k := range slices.Sorted(maps.Keys(s.field)) {
			f := s.field[k]
			if f.required && !m.slips() || m.rnd.IntN(m.full) == 0 {
				out.Set(k, m.make(f))
			}
		}
		for i, name := range s.names {
			for range m.rnd.IntN(4) {
				out.Set(m.make(name).Text(), m.make(s.values[i]))
			}
		}
		if m.slips() {
			out.Set(texts[1+m.rnd.IntN(20)], m.free(1))
		}
		return out
	case *elements:
		out := tree.NewList()
		for _, x := range s.first {
			out.Append(m.make(x))
		}
		if s.rest != nil {
			for range m.rnd.IntN(3) {
				out.Append(m.make(s.rest))
			}
		} else if m.slips() {
			out.Append(m.free(0))
		}
		if len(out.Elem) > 0 && m.slips() {
			out.Elem = out.Elem[:len(out.Elem)-1]
		}
		return out
	case field:
		return m.make(s.shape)
	case either:
		if m.slips() {
			return tree.Str(texts[m.rnd.IntN(len(texts))])
		}
		return m.make(s[m.rnd.IntN(len(s))])
	case word:
		return tree.Str(string(s))
	case all:
		for _, x := range s {
			if w, ok := x.(word); ok && s.fits(tree.Str(string(w))) == yes {
				return tree.Str(string(w))
			}
		}
	}
	for i, at := 0, m.rnd.IntN(1000); i < len(texts)+len(numbers)+2; i++ { // a plain value: any that fits
		var n *tree.Node
		switch k := (at + i) % (len(texts) + len(numbers) + 2); {
		case k < len(texts):
			n = tree.Str(texts[k])
		case k < len(texts)+len(numbers):
			n = number(numbers[k-len(texts)])
		default:
			n = tree.Truth(k%2 == 0)
		}
		if s.fits(n) == yes {
			return n
		}
	}
	panic(fmt.Sprintf("no sample fits %#v; give the maker one", s))
}

// BenchmarkShape is one record of a client, by the compiled shape and by CUE.
func BenchmarkShape(b *testing.B) {
	s := whole(b)
	sh, v := s.shapeFor("#Client")
	n := (&maker{rnd: rand.New(rand.NewPCG(5, 6)), full: 1}).make(sh)
	b.Run("compiled", func(b *testing.B) {
		for b.Loop() {
			sh.fits(n)
		}
	})
	b.Run("cue", func(b *testing.B) {
		for b.Loop() {
			s.oracle(v, n)
		}
	})
}
