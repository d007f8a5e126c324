package near

import "testing"

func TestMatch(t *testing.T) {
	names := []string{"holdSeconds", "restSeconds", "rounds", "weeks", "lbf", "kgf", "right", "left"}
	for _, c := range []struct{ word, want, why string }{
		{"holdSecond", "holdSeconds", "one letter missing"},
		{"restSceonds", "restSeconds", "two letters swapped"},
		{"round", "rounds", "singular"},
		{"lbs", "lbf", "the trade's other spelling"},
		{"Right ", "right", "a capital and a space"},
		{"colour", "", "nothing like it"},
		{"x", "", "too short to guess"},
	} {
		if got := Match(c.word, names); got != c.want {
			t.Errorf("%s: %q gave %q, want %q", c.why, c.word, got, c.want)
		}
	}
}
