package check_test

import (
	"io/fs"
	"strings"
	"testing"

	"cuelang.org/go/cue"
	"cuelang.org/go/cue/errors"

	"isocue.example/compiler/internal/cueval"
	"isocue.example/compiler/near"
	"isocue.example/schema"
)

// dataText is the data that cites sources beside rules and questions.
func dataText(t testing.TB) string {
	t.Helper()
	var all string
	for _, name := range []string{"sitting.cue", "course.cue", "gaps.cue", "comparison.cue", "symptoms.cue", "symptomsother.cue", "medicines.cue", "medicinepairs.cue", "norms.cue", "classes.cue", "effects.cue", "envelope.cue"} {
		b, err := fs.ReadFile(schema.FS, "base/"+name)
		if err != nil {
			t.Fatal(err)
		}
		all += string(b)
	}
	return all
}

// CUE itself holds every data file and every rule against its definition.
func TestSchemaHoldsItsOwnData(t *testing.T) {
	for _, pkg := range []string{schema.Path, schema.Path + "/base", schema.Path + "/rules"} {
		v, _, err := cueval.Build(schema.FS, schema.Path, pkg)
		if err != nil {
			t.Fatalf("%s: %s", pkg, errors.Details(err, nil))
		}
		if err := v.Validate(cue.Concrete(true)); err != nil { // as cue vet -c does
			t.Errorf("%s: %s", pkg, errors.Details(err, nil))
		}
	}
}

// A rule reads only what given.cue promises: a misspelt fact would make it silent for ever.
func TestRulesReadOnlyWhatIsGiven(t *testing.T) {
	c := engine(t)
	for _, r := range c.Check.Base.All() {
		for _, trouble := range r.Misread(c.Reader.GivenKnows) {
			t.Errorf("%s: %s", r.ID, trouble)
		}
	}
	for misspelt, right := range map[string]string{"stage.holdSecond": "holdSeconds", "stage.laod.fraction": "load", "protocol.daysPerWeeks": "daysPerWeek", "dose.sett": "set"} {
		about, fact, _ := strings.Cut(misspelt, ".")
		wrong, beside := c.Reader.GivenKnows(about, strings.Split(fact, "."))
		if wrong == "" || near.Match(wrong, beside) != right {
			t.Errorf("%s: %q is unknown, and %q stand beside it, want %s among them", misspelt, wrong, beside, right)
		}
	}
}
