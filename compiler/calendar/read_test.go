package calendar

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// TestReadWhatWeWrite: every event of the eight weeks reads back as the plan has it.
func TestReadWhatWeWrite(t *testing.T) {
	p := eightWeeks(t)
	c, err := Read([]byte(encode(t, p)))
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Components) != 1+len(p.Sessions)+len(p.Others) || c.Components[0].Name != "VTIMEZONE" {
		t.Fatalf("%d components", len(c.Components))
	}
	get := func(e *Component, name string) string {
		p := e.Get(name)
		if p == nil {
			return "none"
		}
		return p.Text()
	}
	cautions := ""
	for _, x := range p.Cautions {
		cautions += "\n" + x.Text
	}
	for i, s := range p.Sessions {
		e := &c.Components[1+i]
		start, err := e.Get("DTSTART").Moment()
		if want := s.Start.String(); err != nil || start.Wall.Format("2006-01-02T15:04") != want || start.TZID != p.Zone || start.UTC || start.AllDay {
			t.Errorf("session %d starts %+v, %v, want %s in %s", i, start, err, want, p.Zone)
		}
		if length, err := e.Get("DURATION").Span(); err != nil || length != (Span{Clock: time.Duration(s.Seconds) * time.Second}) {
			t.Errorf("session %d lasts %v, %v, want %d s", i, length, err, s.Seconds)
		}
		got := []string{get(e, "UID"), get(e, "SEQUENCE"), get(e, "STATUS"), get(e, "SUMMARY")}
		want := []string{s.UID, fmt.Sprint(s.Sequence), statusNames[statusIndex(s.Status)], fmt.Sprintf("%s, week %d", p.Kinds[s.Kind].Title, s.Week)}
		if !slices.Equal(got, want) || !strings.HasSuffix(get(e, "DESCRIPTION"), cautions) {
			t.Errorf("session %d is %q, want %q and the cautions", i, got, want)
		}
		if got, want := e.Get("CATEGORIES").List(), []string{"Training", string(p.Kinds[s.Kind].Modality)}; !slices.Equal(got, want) {
			t.Errorf("session %d has categories %q, want %q", i, got, want)
		}
	}
	for i, o := range p.Others {
		e := &c.Components[1+len(p.Sessions)+i]
		from, _ := e.Get("DTSTART").Moment()
		to, _ := e.Get("DTEND").Moment()
		if !from.AllDay || !to.AllDay || !from.Wall.Equal(o.Date.Time()) || to.Wall.Sub(from.Wall) != 24*time.Hour || get(e, "UID") != o.UID {
			t.Errorf("entry %d is %s, %v to %v, want %s on %v", i, get(e, "UID"), from, to, o.UID, o.Date)
		}
	}
}

// TestTree shows what a reader gets: names in capitals, parameters without quotes, values unfolded, lines of the file.
func TestTree(t *testing.T) {
	const src = "begin:vcalendar\n\nx-name;Cn=\"a;b\",c;LANGUAGE=pt:one\n  two\n\t three\nBEGIN:VJOURNAL\nCATEGORIES:a\\,b,c\\\\,d\\q\nEND:VJOURNAL\nEND:VCALENDAR"
	got, err := ReadForeign([]byte(src))
	if err != nil {
		t.Fatal(err)
	}
	want := []Component{{Name: "VCALENDAR", Line: 1,
		Properties: []Property{{Name: "X-NAME", Params: []Param{{"CN", []string{"a;b", "c"}}, {"LANGUAGE", []string{"pt"}}}, Value: "one two three", Line: 3}},
		Components: []Component{{Name: "VJOURNAL", Line: 6, Properties: []Property{{Name: "CATEGORIES", Value: `a\,b,c\\,d\q`, Line: 7}}}}}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if l := got[0].Components[0].Properties[0].List(); !slices.Equal(l, []string{"a,b", `c\`, `d\q`}) {
		t.Errorf("the list is %q", l)
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

// A fraction of a second is no time, although Go's time.Parse takes it.
func TestMomentHasNoFractions(t *testing.T) {
	for _, v := range []string{"20270328T070000.5Z", "20270328T070000,5", "2027032", "202703280", "20270328T07000"} {
		if m, err := (&Property{Name: "DTSTART", Value: v}).Moment(); err == nil {
			t.Errorf("%s is %v", v, m)
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
		_, err := ReadForeign([]byte(c.src))
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: %v, want %q", c.why, err, c.want)
		}
	}
}
