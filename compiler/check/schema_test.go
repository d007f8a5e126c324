package check_test

import (
	"io/fs"
	"strings"
	"testing"

	"cuelang.org/go/cue"
	"cuelang.org/go/cue/errors"

	"isocue.example/compiler/internal/cueval"
	"isocue.example/schema"
)

// dataText is the data that cites sources beside rules and questions.
func dataText(t testing.TB) string {
	t.Helper()
	var all string
	for _, name := range []string{"sitting.cue", "medicines.cue", "norms.cue", "classes.cue", "effects.cue"} {
		b, err := fs.ReadFile(schema.FS, name)
		if err != nil {
			t.Fatal(err)
		}
		all += string(b)
	}
	return all
}

// CUE itself holds every data file and every rule against its definition.
func TestSchemaHoldsItsOwnData(t *testing.T) {
	for _, pkg := range []string{schema.Path, schema.Path + "/rules"} {
		_, v, err := cueval.Package(schema.FS, schema.Path, pkg)
		if err != nil {
			t.Fatalf("%s: %s", pkg, errors.Details(err, nil))
		}
		if err := v.Validate(); err != nil {
			t.Errorf("%s: %s", pkg, errors.Details(err, nil))
		}
	}
}

// A rule reads only what given.cue promises: a misspelt fact would make it silent for ever.
func TestRulesReadOnlyWhatIsGiven(t *testing.T) {
	b := engine(t).Check.Base
	_, v, err := cueval.Package(schema.FS, schema.Path, schema.Path)
	if err != nil {
		t.Fatal(err)
	}
	all := v.LookupPath(cue.ParsePath("#Given"))
	for _, r := range b.All() {
		g := all.LookupPath(cue.ParsePath(r.About))
		for _, p := range r.Reads() {
			if r.About == "protocol" { // a disjunction of modalities: one arm must know the field
				if !armHas(v, p) && p[0] != "rampWeeks" {
					t.Errorf("%s reads given.%s, which no protocol has", r.ID, strings.Join(p, "."))
				}
				continue
			}
			if !has(g, p) {
				t.Errorf("%s reads given.%s, which given.cue does not list for %s", r.ID, strings.Join(p, "."), r.About)
			}
		}
	}
}

func armHas(v cue.Value, p []string) bool {
	for _, d := range []string{"#Handgrip", "#SlowBreathing", "#Inspiratory", "#WallSquat"} {
		if has(v.LookupPath(cue.ParsePath(d)), p) {
			return true
		}
	}
	return false
}

func has(v cue.Value, p []string) bool {
	for _, name := range p {
		found := false
		for _, sel := range []cue.Selector{cue.Str(name), cue.Str(name).Optional(), cue.Str(name).Required()} {
			if x := v.LookupPath(cue.MakePath(sel)); x.Exists() {
				v, found = x, true
				break
			}
		}
		if !found {
			return false
		}
	}
	return true
}
