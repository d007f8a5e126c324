package handout

import (
	"bytes"
	"testing"
	"unicode"
)

// What plain does in one go is what the library does in two.
func TestPlain(t *testing.T) {
	for _, s := range []string{"", "a", "ab\x00c", "\x1b[2J", "a\u202eb", "a\u2028b", "a\xffb", "\xff", "ä\tö\n", "\ufffd", "a\u009b", "\u2066x\u2069", "ende\r\n"} {
		want := bytes.Map(func(r rune) rune {
			if r != '\n' && r != '\t' && unicode.In(r, unicode.Cc, unicode.Bidi_Control, unicode.Zl, unicode.Zp) {
				return -1
			}
			return r
		}, bytes.ToValidUTF8([]byte(s), nil))
		given := []byte(s)
		if got := plain(given); string(got) != string(want) {
			t.Errorf("%q is %q, want %q", s, got, want)
		}
		if string(given) != s {
			t.Errorf("%q was written over", s)
		}
	}
}
