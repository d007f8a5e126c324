package near_test

import (
	"testing"

	"isocue.example/compiler/near"
)

// Source: Unicode's compatibility forms, its format characters, and letters that look alike.
func TestPlain(t *testing.T) {
	for _, x := range []struct{ why, text, want string }{
		{"plain already", "chest pain 192/112", "chest pain 192/112"},
		{"full width", "ｃｈｅｓｔ　ｐａｉｎ １９２／１１２", "chest pain 192/112"},
		{"a dotless i", "chest pa\u0131n", "chest pain"},
		{"a soft hyphen", "chest\u00adpain", "chestpain"},
		{"a zero-width space", "che\u200bst pain", "chest pain"},
		{"Cyrillic letters", "сhеst раin", "chest pain"},
		{"an umlaut in two parts", "ohnma\u0308chtig", "ohnmächtig"},
		{"a ligature", "stiﬀ", "stiff"},
	} {
		if got := near.Plain(x.text); got != x.want {
			t.Errorf("%s: %q, want %q", x.why, got, x.want)
		}
	}
}
