package compiler

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

// The catalogues and the schema's data know the same languages, and every standard protocol has a title in each.
func TestLanguagesAgree(t *testing.T) {
	if want := append([]string{"en"}, rule.Tags...); !slices.Equal(say.Tags(), want) {
		t.Errorf("the catalogues know %v, the schema %v", say.Tags(), want)
	}
	c := engine(t)
	for _, id := range c.StandardIDs() {
		for _, tag := range rule.Tags {
			if p := c.Standard(id).Protocols[0].Record; p.Titles[tag] == "" || p.Titles[tag] == p.Title {
				t.Errorf("%s has no title in %s", id, tag)
			}
		}
	}
}

// In every language, open or discreet, a calendar passes our strict reader and tells the same events at the same times; an open
// one carries every caution of its language in every entry, and a discreet one no word of health.
func TestCalendarsInEveryLanguage(t *testing.T) {
	health := regexp.MustCompile(`(?i)handgri|squat|breath|atmen|squeeze|drücken|kgf|pressure|blutdruck|reading|messung|training|coach|arzt|physician|` + regexp.QuoteMeta("+1 555 0142") + `|\b911\b`)
	c := engine(t)
	for _, tag := range say.Tags() {
		l, _ := say.In(tag)
		mine, err := c.In(l)
		if err != nil {
			t.Fatal(err)
		}
		in := demo(t, c, "handgrip-alternating", "slow-breathing-even")
		in.Protocols = TitlesIn(l, in.Protocols)
		p := plan(t, mine, in)
		for _, discreet := range []bool{false, true} {
			b, err := calendar.Encode(nil, p, calendar.Options{Version: "t", Language: l, Discreet: discreet, Remind: 10})
			if err != nil {
				t.Fatal(err)
			}
			read, err := testkit.Calendar(b)
			if err != nil {
				t.Fatalf("%s: %v", tag, err)
			}
			events := 0
			for i, e := range read.Components {
				if e.Name != "VEVENT" {
					continue
				}
				events++
				said := testkit.Text(e.Get("SUMMARY")) + "\n" + testkit.Text(e.Get("DESCRIPTION"))
				for _, alarm := range e.Components {
					said += testkit.Text(alarm.Get("DESCRIPTION"))
				}
				if discreet {
					if w := health.FindString(said); w != "" {
						t.Errorf("%s, event %d: a discreet entry says %q", tag, i, w)
					}
					continue
				}
				for _, x := range p.Cautions {
					if !strings.Contains(said, x.Text) {
						t.Errorf("%s, event %d: caution %s is missing", tag, i, x.ID)
					}
				}
			}
			if events != len(p.Sessions)+len(p.Others) {
				t.Errorf("%s: %d events", tag, events)
			}
		}
	}
}

// A plan remembers its language: another one changes every entry that is still to come and nothing that is past, the same one
// changes nothing, and so does a discreet calendar.
func TestLanguageAndDiscretionLast(t *testing.T) {
	c := engine(t)
	in := demo(t, c, "handgrip-alternating")
	first := plan(t, c, in)
	l, _ := say.In("de")
	mine, err := c.In(l)
	if err != nil {
		t.Fatal(err)
	}
	in.Previous, in.Now = first, now.AddDate(0, 0, 14)
	for _, x := range []struct {
		why    string
		c      *Compiler
		change func(in *Input)
		want   bool
	}{
		{"the same language", c, func(*Input) {}, false},
		{"another language", mine, func(in *Input) { in.Protocols = TitlesIn(l, in.Protocols) }, true},
		{"another language, no other title", mine, func(*Input) {}, true},
		{"a discreet calendar", c, func(in *Input) { in.Discreet = true }, true},
	} {
		in := in
		x.change(&in)
		p := plan(t, x.c, in)
		past, come := 0, 0
		at := unit.At(unit.DateOf(in.Now), 0)
		for i, s := range p.Sessions {
			moved := s.Sequence != first.Sessions[i].Sequence
			if moved && s.Start < at {
				past++
			}
			if moved {
				come++
			}
		}
		for i, o := range p.Others {
			if o.Sequence != first.Others[i].Sequence {
				come++
			}
		}
		coming := 0
		for _, s := range p.Sessions {
			if s.Start >= at {
				coming++
			}
		}
		for _, o := range p.Others {
			if o.Date >= at.Date() {
				coming++
			}
		}
		if past > 0 || x.want && come != coming || !x.want && come > 0 {
			t.Errorf("%s: %d past and %d of %d coming entries counted up", x.why, past, come, coming)
		}
	}
}
