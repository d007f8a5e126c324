package rule

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/record"
)

// What the schema holds for clients is whole in every language: the same cautions in the same order, an expectation for each
// modality, and in it the same numbers. The words are a translator's; that no number was lost or gained is not.
func TestDataForClientsIsWholeInEveryLanguage(t *testing.T) {
	b := base(t)
	number := regexp.MustCompile(`[0-9]+`)
	numbers := func(s string) []string {
		out := number.FindAllString(s, -1)
		slices.Sort(out)
		return out
	}
	for _, tag := range Tags {
		l, ok := b.In(tag)
		if !ok || l.Language != tag || len(l.Cautions) != len(b.Cautions) {
			t.Fatalf("%s: %v, %d cautions, want %d", tag, ok, len(l.Cautions), len(b.Cautions))
		}
		for i, c := range b.Cautions {
			o := l.Cautions[i]
			if o.ID != c.ID || strings.TrimSpace(o.Text) == "" || o.Text == c.Text {
				t.Errorf("%s: caution %s is %q", tag, c.ID, o.Text)
			}
		}
		for _, m := range record.Modalities {
			en, other := b.Expected[m], l.Expected[m]
			if other == "" || other == en {
				t.Errorf("%s: %s may be told %q", tag, m, other)
			}
			if a, b := numbers(en), numbers(other); !slices.Equal(a, b) || len(a) == 0 {
				t.Errorf("%s: %s has the numbers %v, want %v", tag, m, b, a)
			}
		}
	}
	if _, ok := b.In("xx"); ok {
		t.Error("there is a language xx")
	}
	if l, ok := b.In("en"); !ok || l != b {
		t.Error("English is the base itself")
	}
}
