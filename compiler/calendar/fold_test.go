package calendar

import (
	"strings"
	"testing"
	"unicode/utf8"
)

func TestPlain(t *testing.T) {
	for _, c := range []struct{ in, want, why, source string }{
		{"a\r\nb\rc\nd", "a\nb\nc\nd", "every line break is one newline", "RFC 5545 3.3.11"},
		{"a\x00\x07\x7f\u0080b", "ab", "no control character", "RFC 5545 3.1 CONTROL"},
		{"a\tb", "a b", "two words stay two words", "RFC 5545 3.1 WSP"},
		{"a\u2028b\u2029c\u0085d", "a\nb\nc\nd", "what other programs split lines at", "Unicode 15 section 5.8"},
		{"çà é, 漢字 🙂", "çà é, 漢字 🙂", "other text stays", "RFC 5545 3.1.4"},
	} {
		if c.source == "" {
			t.Errorf("%q has no source", c.in)
		}
		if got, err := plain(c.in); err != nil || got != c.want {
			t.Errorf("plain(%q) (%s) = %q, %v, want %q", c.in, c.why, got, err, c.want)
		}
	}
	if _, err := plain("a\xffb"); err == nil {
		t.Error("text that is not UTF-8 passed")
	}
}

func TestFold(t *testing.T) {
	x := strings.Repeat("x", 73)
	for _, c := range []struct{ in, want, why, source string }{
		{x, "D:" + x, "75 octets need no fold", "RFC 5545 3.1"},
		{x + "y", "D:" + x + "\r\n y", "the 76th begins a line", "RFC 5545 3.1"},
		{x + "é", "D:" + x + "\r\n é", "no cut in a character", "RFC 5545 3.1"},
		{x[1:] + "é", "D:" + x[1:] + "\r\n é", "no cut in a character that would half fit", "RFC 5545 3.1"},
		{x[1:] + "\n", "D:" + x[1:] + "\r\n \\n", "no cut in an escape", "RFC 5545 3.3.11"},
		{x[1:] + ";", "D:" + x[1:] + "\r\n \\;", "no cut in an escape", "RFC 5545 3.3.11"},
		{`\,;` + "\n", `D:\\\,\;\n`, "the four escapes", "RFC 5545 3.3.11"},
		{strings.Repeat("x", 73+74), "D:" + x + "\r\n " + strings.Repeat("x", 74), "the space counts, and no empty line follows", "RFC 5545 3.1"},
	} {
		if c.source == "" {
			t.Errorf("%q has no source", c.in)
		}
		l := line{}
		l.begin("D:")
		l.text(c.in)
		if got := string(l.buf); got != c.want {
			t.Errorf("%s: got %q, want %q", c.why, got, c.want)
		}
	}
}

// physical holds bytes to the laws of physical lines, and gives what is wrong.
func physical(s string) string {
	if !strings.HasSuffix(s, "\r\n") || strings.HasPrefix(s, "\ufeff") {
		return "no line break at the end, or a byte order mark"
	}
	for l := range strings.SplitSeq(strings.TrimSuffix(s, "\r\n"), "\r\n") {
		switch {
		case l == "" || l == " ":
			return "an empty line"
		case len(l) > 75:
			return "over 75 octets: " + l
		case !utf8.ValidString(l):
			return "a cut character: " + l
		case strings.ContainsAny(l, "\r\n"):
			return "a bare line break: " + l
		case strings.ContainsFunc(l, func(r rune) bool { return r < ' ' || r == 0x7f }):
			return "a control character: " + l
		case (len(l)-len(strings.TrimRight(l, `\`)))%2 != 0:
			return "a cut escape: " + l
		}
	}
	return ""
}

func FuzzEncodeText(f *testing.F) {
	for _, s := range []string{"", "a", `\n`, `\\;`, "a,b;c\\d\ne\r\nf\rg", strings.Repeat("é", 90), strings.Repeat("\n", 90), "\u2028x\x00", strings.Repeat(" ", 300), "🙂" + strings.Repeat("漢", 50), "\xff"} {
		f.Add(s, uint8(3))
	}
	f.Fuzz(func(t *testing.T, s string, lead uint8) {
		want, err := plain(s)
		if (err == nil) != utf8.ValidString(s) {
			t.Fatalf("error %v for valid %v", err, utf8.ValidString(s))
		}
		if err != nil {
			return
		}
		name := strings.Repeat("N", int(lead%70)+1) + ":"
		l := line{buf: []byte("before\r\n")}
		l.begin(name)
		l.text(want)
		l.end()
		got := strings.TrimPrefix(string(l.buf), "before\r\n")
		if wrong := physical(got); wrong != "" {
			t.Fatalf("%q: %s", s, wrong)
		}
		back := unescape(strings.TrimPrefix(strings.TrimSuffix(unfold(got), "\r\n"), name))
		if back != want {
			t.Fatalf("%q came back as %q", want, back)
		}
		if again, err := plain(want); err != nil || again != want {
			t.Fatalf("the normal form of %q is not stable: %q", want, again)
		}
	})
}
