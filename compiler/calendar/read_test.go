package calendar

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/ical"
	"isocue.example/compiler/internal/testkit"
)

// TestReadWhatWeWrite: every event of the eight weeks reads back as the plan has it.
func TestReadWhatWeWrite(t *testing.T) {
	p := eightWeeks(t)
	c, err := testkit.Calendar([]byte(encode(t, p)))
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Components) != 1+len(p.Sessions)+len(p.Others) || c.Components[0].Name != "VTIMEZONE" {
		t.Fatalf("%d components", len(c.Components))
	}
	get := func(e *ical.Component, name string) string {
		p := e.Get(name)
		if p == nil {
			return "none"
		}
		return testkit.Text(p)
	}
	cautions := ""
	for _, x := range p.Cautions {
		cautions += "\n" + x.Text
	}
	for i, s := range p.Sessions {
		e := &c.Components[1+i]
		start, err := testkit.MomentOf(e.Get("DTSTART"))
		if want := s.Start.String(); err != nil || start.Wall.Format("2006-01-02T15:04") != want || start.TZID != p.Zone || start.UTC || start.AllDay {
			t.Errorf("session %d starts %+v, %v, want %s in %s", i, start, err, want, p.Zone)
		}
		if length, err := e.Get("DURATION").Span(); err != nil || length != (ical.Span{Clock: time.Duration(s.Seconds) * time.Second}) {
			t.Errorf("session %d lasts %v, %v, want %d s", i, length, err, s.Seconds)
		}
		got := []string{get(e, "UID"), get(e, "SEQUENCE"), get(e, "STATUS"), get(e, "SUMMARY")}
		want := []string{s.UID, fmt.Sprint(s.Sequence), statusNames[statusIndex(s.Status)], fmt.Sprintf("%s, week %d", p.Kinds[s.Kind].Title, s.Week)}
		if !slices.Equal(got, want) || !strings.HasSuffix(get(e, "DESCRIPTION"), cautions) {
			t.Errorf("session %d is %q, want %q and the cautions", i, got, want)
		}
		if got, want := testkit.List(e.Get("CATEGORIES")), []string{"Training", string(p.Kinds[s.Kind].Modality)}; !slices.Equal(got, want) {
			t.Errorf("session %d has categories %q, want %q", i, got, want)
		}
	}
	for i, o := range p.Others {
		e := &c.Components[1+len(p.Sessions)+i]
		from, _ := testkit.MomentOf(e.Get("DTSTART"))
		to, _ := testkit.MomentOf(e.Get("DTEND"))
		if !from.AllDay || !to.AllDay || !from.Wall.Equal(o.Date.Time()) || to.Wall.Sub(from.Wall) != 24*time.Hour || get(e, "UID") != o.UID {
			t.Errorf("entry %d is %s, %v to %v, want %s on %v", i, get(e, "UID"), from, to, o.UID, o.Date)
		}
	}
}
