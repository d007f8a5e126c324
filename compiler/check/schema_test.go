package check_test

import (
	"io/fs"
	"strings"
	"testing"

	"cuelang.org/go/cue/errors"

	"isocue.example/compiler/internal/cueval"
	"isocue.example/schema"
)

// dataText is the data that cites sources beside rules and questions.
func dataText(t testing.TB) string {
	t.Helper()
	var all string
	for _, name := range []string{"sitting.cue", "course.cue", "gaps.cue", "comparison.cue", "symptoms.cue", "medicines.cue", "norms.cue", "classes.cue", "effects.cue", "envelope.cue"} {
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
		v, _, err := cueval.Build(schema.FS, schema.Path, pkg)
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
	c := engine(t)
	for _, r := range c.Check.Base.All() {
		for _, p := range r.Reads() {
			if !c.Reader.GivenKnows(r.About, p) {
				t.Errorf("%s reads given.%s, which given.cue does not list for %s", r.ID, strings.Join(p, "."), r.About)
			}
		}
	}
	for about, misspelt := range map[string]string{"stage": "holdSecond", "protocol": "rampWeek", "dose": "sett"} {
		if c.Reader.GivenKnows(about, []string{misspelt}) {
			t.Errorf("%s is known for %s: the test above cannot fail", misspelt, about)
		}
	}
}
