package ical

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// TestTree shows what a reader gets: names in capitals, parameters without quotes, values unfolded, lines of the file.
func TestTree(t *testing.T) {
	const src = "begin:vcalendar\n\nx-name;Cn=\"a;b\",c;LANGUAGE=pt:one\n  two\n\t three\nBEGIN:VJOURNAL\nCATEGORIES:a\\,b,c\\\\,d\\q\nEND:VJOURNAL\nEND:VCALENDAR"
	got, err := Read([]byte(src))
	if err != nil {
		t.Fatal(err)
	}
	want := []Component{{Name: "VCALENDAR", Line: 1,
		Properties: []Property{{Name: "X-NAME", Params: []Param{{"CN", []string{"a;b", "c"}}, {"LANGUAGE", []string{"pt"}}}, Value: "one two three", Line: 3}},
		Components: []Component{{Name: "VJOURNAL", Line: 6, Properties: []Property{{Name: "CATEGORIES", Value: `a\,b,c\\,d\q`, Line: 7}}}}}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func TestSpans(t *testing.T) {
	for _, c := range []struct {
		in            string
		want          Span
		ok            bool
		why, citation string
	}{
		{"P15DT5H0M20S", Span{15, 5*time.Hour + 20*time.Second}, true, "the standard's example", "RFC 5545 3.3.6"},
		{"P7W", Span{49, 0}, true, "the standard's example", "RFC 5545 3.3.6"},
		{"-PT10M", Span{0, -10 * time.Minute}, true, "before", "RFC 5545 3.8.6.3"},
		{"+P1D", Span{1, 0}, true, "a sign may stand", "RFC 5545 3.3.6"},
		{"PT1605S", Span{0, 1605 * time.Second}, true, "seconds may be many", "RFC 5545 3.3.6"},
		{"P", Span{}, false, "nothing", "RFC 5545 3.3.6"},
		{"PT", Span{}, false, "a T and nothing", "RFC 5545 3.3.6"},
		{"P1DT", Span{}, false, "a T and nothing after days", "RFC 5545 3.3.6"},
		{"P1W1D", Span{}, false, "weeks stand alone", "RFC 5545 3.3.6"},
		{"P1WT1H", Span{}, false, "weeks stand alone", "RFC 5545 3.3.6"},
		{"PT1H1S", Span{}, false, "no minutes between", "RFC 5545 3.3.6"},
		{"PT1M1H", Span{}, false, "the order", "RFC 5545 3.3.6"},
		{"P1H", Span{}, false, "hours without T", "RFC 5545 3.3.6"},
		{"PTH", Span{}, false, "a letter without its number", "RFC 5545 3.3.6"},
		{"PT1.5H", Span{}, false, "no fractions", "RFC 5545 3.3.6"},
		{"PT-1M", Span{}, false, "one sign, in front", "RFC 5545 3.3.6"},
		{"+-PT1M", Span{}, false, "one sign", "RFC 5545 3.3.6"},
		{"PT9999999M", Span{}, false, "bounded", "no session lasts so long"},
	} {
		if c.citation == "" {
			t.Errorf("%q has no source", c.in)
		}
		got, err := (&Property{Name: "DURATION", Value: c.in}).Span()
		if (err == nil) != c.ok || got != c.want {
			t.Errorf("%q (%s): %v, %v, want %v", c.in, c.why, got, err, c.want)
		}
	}
}

// TestBounds: no file makes the reader work or nest without end.
func TestBounds(t *testing.T) {
	nested := strings.Repeat("BEGIN:VCALENDAR\n", maxDepth) + strings.Repeat("END:VCALENDAR\n", maxDepth)
	lines := func(n int) string { return "BEGIN:VCALENDAR\n" + strings.Repeat("A:\n", n-2) + "END:VCALENDAR\n" }
	bytes := func(n int) string {
		const head, tail = "BEGIN:VCALENDAR\nA:", "\nEND:VCALENDAR\n"
		return head + strings.Repeat("a", n-len(head)-len(tail)) + tail
	}
	for _, c := range []struct{ src, want, why string }{
		{nested, "", "as deep as is allowed"},
		{"BEGIN:VCALENDAR\n" + nested + "END:VCALENDAR\n", "allowed: at most 8", "one deeper"},
		{lines(maxLines), "", "as many lines as are allowed"},
		{lines(maxLines + 1), "allowed: at most that many", "one more"},
		{bytes(maxBytes), "", "as many bytes as are allowed"},
		{bytes(maxBytes + 1), "allowed: at most 8388608", "one more"},
		{"", "the file holds no calendar", "nothing at all"},
		{"%PDF-1.7\n", "has no colon", "another kind of file"},
		{"BEGIN:VEVENT\nEND:VEVENT\n", "outside a calendar", "an event alone"},
		{"BEGIN;X=y:VCALENDAR\nEND:VCALENDAR\n", "BEGIN has the parameter", "a parameter where none is"},
		{"BEGIN:V CALENDAR\nEND:V CALENDAR\n", "allowed: the name of a component", "a name that is none"},
		{"BEG\u0131N:VCALENDAR\nEND:VCALENDAR\n", "is no name of a property", "a letter whose capital is I"},
		{"BEGIN:VCALENDAR\nX;A=b", "broken value", "what makes another library panic"},
		{"BEGIN:VCALENDAR\nX;A=\"b\"", "broken value", "what makes another library panic"},
		{"BEGIN:VCALENDAR\nX;A=b,", "broken value", "what makes another library panic"},
	} {
		_, err := Read([]byte(c.src))
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: %v, want %q", c.why, err, c.want)
		}
	}
}
