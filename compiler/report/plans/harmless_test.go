package plans

import "testing"

// No cell begins a formula, in whatever width its sign is written. Source: the OWASP note on CSV injection; Unicode, Halfwidth and Fullwidth Forms.
func TestHarmless(t *testing.T) {
	for _, c := range []struct{ cell, want, why string }{
		{"=1+1", "'=1+1", "a formula"},
		{"+1", "'+1", "a plus"},
		{"-1", "'-1", "a minus"},
		{"@SUM(A1)", "'@SUM(A1)", "an at"},
		{"\t=1", "'\t=1", "a tab"},
		{"\r=1", "'\r=1", "a carriage return"},
		{"\uff1d1+1", "'\uff1d1+1", "a full-width equals sign"},
		{"\uff0b1", "'\uff0b1", "a full-width plus"},
		{"\uff0d1", "'\uff0d1", "a full-width minus"},
		{"\uff20SUM", "'\uff20SUM", "a full-width at"},
		{"\u22121", "'\u22121", "a minus sign"},
		{" =1", "' =1", "behind a space"},
		{"\u3000=1", "'\u3000=1", "behind a wide space"},
		{"-", "-", "nothing is known"},
		{"right 12.0 kgf; left 11.5 kgf", "right 12.0 kgf; left 11.5 kgf", "loads"},
		{"a = b - c", "a = b - c", "signs inside"},
		{"", "", "nothing"},
	} {
		if got := harmless(c.cell); got != c.want {
			t.Errorf("%s: %q became %q, want %q", c.why, c.cell, got, c.want)
		}
	}
}
