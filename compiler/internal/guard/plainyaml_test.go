package guard

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"isocue.example/compiler/tree"
)

// alike says where two trees differ in kind, value, place, order or what their author wrote; "" where they do not. A value to which
// CUE's reader gives no place of its own stands there where the one before it does, and is not compared.
func alike(a, b *tree.Node, at *map[[2]int]bool) string {
	place := [2]int{b.Pos.Line, b.Pos.Column}
	if a.Kind != b.Kind || a.Raw != b.Raw || a.Str != b.Str || a.Bool != b.Bool || a.Num.Cmp(b.Num) != 0 || a.Path() != b.Path() || a.Pos != b.Pos && !(*at)[place] {
		return fmt.Sprintf("%s is %v %q at %v, want %v %q at %v", a.Path(), a.Kind, a.Raw, a.Pos, b.Kind, b.Raw, b.Pos)
	}
	(*at)[place] = true
	if len(a.Elem) != len(b.Elem) || fmt.Sprint(a.Keys) != fmt.Sprint(b.Keys) || len(a.Field) != len(b.Field) {
		return fmt.Sprintf("%s has %d elements and fields %v, want %d and %v", a.Path(), len(a.Elem), a.Keys, len(b.Elem), b.Keys)
	}
	for i := range a.Elem {
		if s := alike(a.Elem[i], b.Elem[i], at); s != "" {
			return s
		}
	}
	for _, k := range a.Keys {
		if s := alike(a.Field[k], b.Field[k], at); s != "" {
			return s
		}
	}
	return ""
}

// sameAsCUE says whether the short way accepts a text; then CUE's reader must accept it too, and read the same.
func sameAsCUE(t *testing.T, src string) bool {
	t.Helper()
	if _, bad := text("f", []byte(src)); bad || len(before("f", []byte(src), YAML)) > 0 {
		return false
	}
	got := plainYAML("f", []byte(src))
	if got == nil {
		return false
	}
	want, fs := Trusted("f", []byte(src), YAML, schemaPath)
	if want == nil {
		t.Fatalf("%q: accepted, and CUE's reader says %v", src, fs)
	}
	if s := alike(got, want.Root, &map[[2]int]bool{}); s != "" {
		t.Fatalf("%q: %s", src, s)
	}
	return true
}

// The short way is taken for the records that people keep, and refuses whatever is not plain. Oracle: CUE's reader of YAML.
func TestPlainYAMLMeansWhatCUEReads(t *testing.T) {
	for _, name := range []string{"../../../testdata/demo/client.yaml"} {
		src, err := os.ReadFile(name)
		if err != nil || !sameAsCUE(t, string(src)) {
			t.Errorf("%s is not read the short way: %v", name, err)
		}
	}
	for _, src := range []string{"a: 1", "a: {b: [1, -2.50, x, 'y', \"z\", true, false, ~, null, ]}", "a:\n- b: 2027-01-04\n  c: 07:30\n", "a: |\n  two\n  lines\n", "a: >-\n  one\n  line\n",
		"a: é \"x\"\nö: 'it''s'", "a: \"\\u2028\\t\"", "_x: 1\n\"#y\": 2", "a: 1 # why\n# what\nb: 0.0\n", "a: ''\nb:\n", "a: {}\nb: []\n", "a: [x: 1, ~]", "a: y\nb: no\nc: 1985\n"} {
		if !sameAsCUE(t, src) {
			t.Errorf("%q is not read the short way", src)
		}
	}
	for _, src := range []string{"a: 010", "a: 0x1F", "a: 1_000", "a: 1e3", "a: .5", "a: +1", "a: .nan", "a: .inf", "a: 1.", "a: 12345678901234567", "a: TRUE", "a: !!str 1", "a: !x 1", "a: &b 1",
		"1: a", "true: a", "~: a", "? [a]\n: b", "'': a", "a: 1\na: 1", "a: 1\n---\nb: 1", "[1]", "a", "{}", "# nothing", strings.Repeat("x", 70) + ": 1", strings.Repeat("{a: ", 20) + "1" + strings.Repeat("}", 20),
		"a: [" + strings.Repeat("1,", 1001) + "]", "a: " + strings.Repeat("x", 2000), "a: {"} {
		if sameAsCUE(t, src) {
			t.Errorf("%q is read the short way", src)
		}
	}
}

// Law: what the short way accepts, CUE's reader accepts, with the same values at the same places.
func FuzzPlainYAML(f *testing.F) {
	for _, glob := range []string{"../../../testdata/hostile/*.yaml", "../../../testdata/*/*.yaml"} {
		names, err := filepath.Glob(glob)
		if err != nil || len(names) == 0 {
			f.Fatal(glob, err)
		}
		for _, name := range names {
			b, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(string(b))
		}
	}
	for _, s := range []string{"a: [x: 1, ~]", "a: {b: [1, -2.50, x, 'y', \"z\", true, ~]}", "a: |\n  x\n\ty\nb: >\n  z\n", "é: ü # x\n\nb: \"\\e\"\n", "- a: 1\n  b: 2\n", "a:\n  - b:\n    - c\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, src string) { sameAsCUE(t, src) })
}
