package compiler

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/handout"
	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/say"
)

// A client with a hurt hand is told to squeeze with the other one alone, also on the day of measuring, in every language and in all
// that is taken home.
func TestASparedHandIsNeverSqueezed(t *testing.T) {
	src, err := os.ReadFile("../testdata/demo/client.yaml")
	if err != nil {
		t.Fatal(err)
	}
	hurt := strings.NewReplacer(`hand-hurt: "no"`, `hand-hurt: "yes"`, "conditions: []", "conditions: [{code: hand-hurt, since: 2026-12-20, side: left}]").Replace(string(src))
	both := regexp.MustCompile(`(?i)each hand|both hands|left hand|other hand|jeder hand|beide[nr]? h[aä]nde?|linke[nr]? hand|\blinks (drücken|\d)`)
	for _, tag := range say.Tags() {
		l, _ := say.In(tag)
		c, err := engine(t).In(l)
		if err != nil {
			t.Fatal(err)
		}
		in := demo(t, c, "handgrip-alternating")
		if in.Client = c.Reader.Bytes("client.yaml", []byte(hurt)).Client; in.Client == nil {
			t.Fatal("no client")
		}
		in.Protocols = TitlesIn(l, in.Protocols)
		p := plan(t, c, in)
		b, err := calendar.Encode(nil, p, calendar.Options{Version: "t", Language: l})
		if err != nil {
			t.Fatal(err)
		}
		read, err := testkit.Calendar(b)
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, e := range read.Components {
			if e.Name == "VEVENT" {
				said += testkit.Text(e.Get("SUMMARY")) + "\n" + testkit.Text(e.Get("DESCRIPTION")) + "\n"
			}
		}
		h, err := c.Handout(p, in.Client, "t")
		if err != nil {
			t.Fatal(err)
		}
		sheet, err := handout.Sheet(h)
		if err != nil {
			t.Fatal(err)
		}
		for what, text := range map[string]string{"calendar": said, "sheet": regexp.MustCompile(`<[^>]*>`).ReplaceAllString(string(sheet), "")} {
			if got := both.FindString(text); got != "" {
				t.Errorf("%s: the %s of a client with a hurt left hand says %q", tag, what, got)
			}
			if want := map[string]string{"en": "3 times with your right hand alone", "de": "3 Mal nur rechts"}[tag]; !strings.Contains(text, want) {
				t.Errorf("%s: the %s does not say %q", tag, what, want)
			}
		}
	}
}
