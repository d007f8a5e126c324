package compiler

import (
	"strings"
	"testing"

	"isocue.example/compiler/say"
)

// What a client is told to call the emergency number for, before a session and after one, on calendar, sheet and page, is what a
// log makes an emergency of: every danger sign of the base has its words in each list of each language. A sign that is not asked
// for lets somebody with it train.
func TestEveryDangerSignIsAskedFor(t *testing.T) {
	b := engine(t).Check.Base
	words := map[string]map[string][]string{ // by language and symptom, what stands in a sentence; every one of them
		"en": {"chest-pain": {"hest pain or pressure"}, "faint": {"fainting"}, "breathlessness": {"sudden trouble breathing"},
			"weakness": {"weakness or numbness on one side"}, "trouble-speaking": {"speaking"}, "trouble-seeing": {"seeing"},
			"confusion": {"confusion"}, "severe-headache": {"sudden severe headache"}, "coughing-blood": {"coughing blood"}},
		"de": {"chest-pain": {"Schmerz oder Druck in der Brust"}, "faint": {"Ohnmacht"}, "breathlessness": {"plötzliche", "Atemnot"},
			"weakness": {"Schwäche oder Taubheit auf einer Seite"}, "trouble-speaking": {"Sprechen"}, "trouble-seeing": {"Sehen"},
			"confusion": {"Verwirrtheit"}, "severe-headache": {"plötzlich sehr stark", "Kopfschmerz"}, "coughing-blood": {"Bluthusten"}},
	}
	for _, tag := range say.Tags() {
		l, _ := say.In(tag)
		in, ok := b.In(tag)
		if !ok {
			t.Fatalf("no base in %s", tag)
		}
		lists := map[string]string{"gate": l.Gate.Symptoms, "page": l.Page.SignsAsk, "after a session": l.Page.OtherSigns}
		for _, c := range in.Cautions {
			if c.ID == "emergency" {
				lists["caution"] = c.Text
			}
		}
		if len(lists) != 4 {
			t.Fatalf("%s: no caution for an emergency", tag)
		}
		for _, s := range b.Symptoms() {
			if !s.Grave || s.Unnamed {
				continue
			}
			if len(words[tag][s.ID]) == 0 {
				t.Errorf("%s: nobody knows how a client is asked for %s", tag, s.ID)
			}
			for name, text := range lists {
				for _, w := range words[tag][s.ID] {
					if !strings.Contains(text, w) {
						t.Errorf("%s, %s: %q asks for no %s", tag, name, text, s.ID)
					}
				}
			}
		}
	}
}
