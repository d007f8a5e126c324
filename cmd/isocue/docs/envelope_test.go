package docs

import (
	"testing"

	"isocue.example/compiler"
)

// Every parameter considered is held by rules that exist or says why not; every rule stands in a row; every choice between
// sources names sources and rules that exist.
func TestEnvelope(t *testing.T) {
	c, err := compiler.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	b := c.Check.Base
	rows, choices, err := envelope(c.Reader)
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 60 || len(choices) < 10 {
		t.Errorf("%d rows and %d choices were read", len(rows), len(choices))
	}
	held := map[string]bool{}
	for _, r := range rows {
		if (len(r.Rules) == 0) == (r.Excused == "") {
			t.Errorf("%s, %s: %d rules and the excuse %q; one of them stands", r.About, r.Parameter, len(r.Rules), r.Excused)
		}
		for _, id := range r.Rules {
			held[id] = true
			if b.Rule(id) == nil {
				t.Errorf("%s, %s: there is no rule %s", r.About, r.Parameter, id)
			}
		}
	}
	for _, id := range b.IDs() {
		if !held[id] {
			t.Errorf("rule %s stands in no row of schema/base/envelope.cue", id)
		}
	}
	for _, c := range choices {
		if len(c.Says) < 2 || c.Made == "" || len(c.Rules) == 0 {
			t.Errorf("%s: a choice needs two sources, words and rules", c.Matter)
		}
		for _, s := range c.Says {
			if _, ok := b.Sources()[s.Source]; !ok {
				t.Errorf("%s: source %q does not exist", c.Matter, s.Source)
			}
		}
		for _, id := range c.Rules {
			if b.Rule(id) == nil {
				t.Errorf("%s: there is no rule %s", c.Matter, id)
			}
		}
	}
}
