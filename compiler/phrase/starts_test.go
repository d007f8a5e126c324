package phrase

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/internal/testkit"
)

// A word can begin the entries that it begins when each is tried, and no other.
func TestStarts(t *testing.T) {
	l := NewLexicon(testkit.Symptoms, testkit.LogWords)
	var words []string
	for _, e := range l.entries {
		for _, p := range e.entry {
			for _, o := range p {
				for _, f := range o {
					words = append(words, f.s, f.s+"en", "vor"+f.s, "un"+f.s+"s", strings.TrimSuffix(f.s, "e"))
				}
			}
		}
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		words = append(words, strings.Map(func(r rune) rune { return r + rune(rnd.IntN(2)) }, words[rnd.IntN(len(words))]))
	}
	begun := 0
	for _, w := range append(words, "", "é", "\xff") {
		var want []int
		for i, e := range l.entries {
			if w != "" && slices.ContainsFunc(e.entry, func(p part) bool { return p[0].fits(w) }) {
				want = append(want, i)
			}
		}
		begun += len(want)
		if got := l.starts.of(w); !slices.Equal(got, want) {
			t.Errorf("%q begins entries %v, want %v", w, got, want)
		}
	}
	if begun < len(l.entries) {
		t.Errorf("%d words begin %d entries in all", len(words), begun)
	}
}
