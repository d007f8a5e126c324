package phrase

import (
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/internal/testkit"
)

// What a log's own words come to. Source: common practice for the words. A negation takes a symptom back where nothing stands
// between them that could mean something else.
func TestRecognise(t *testing.T) {
	l := NewLexicon(testkit.Symptoms, testkit.LogWords)
	for text, want := range map[string]string{
		"dizzy": "dizzy", "Felt a bit dizzy after": "dizzy", "chest-pain": "chest-pain", "Chest pain, then fainted": "chest-pain faint",
		"no dizziness": "", "not dizzy or light-headed": "", "no chest pain, dizzy": "dizzy", "no symptoms": "", "none": "", "": "",
		"never had a headache; severe headache today": "severe-headache", "severe headache": "severe-headache", "headache": "headache",
		"no headache but dizzy": "dizzy", "light headed": "dizzy", "my chest. Pain in leg": "? ", "dizzy, schwindelig": "dizzy",
		"TIGHT CHEST!": "chest-pain", "headaches": "headache", "眩暈": "? ", "fine, all ok": "",
		"could not sleep for chest pain": "chest-pain ?", "no change in chest pain": "chest-pain ?", "not well": "?", "not so fine today": "?", "felt symptoms": "?",
		"no pain, all fine": "", "no, not dizzy": "", "no dizziness and headache": "headache ?", "no severe headache": "headache",
		"Schwindel": "dizzy", "SCHWINDLIG!": "dizzy", "mir ist so schwindelig": "dizzy", "Drehschwindel": "dizzy",
		"Brustschmerzen": "chest-pain", "Schmerzen in der Brust": "chest-pain", "Die Brust schmerzt": "chest-pain ?", "Schmerz (Brust)": "chest-pain", "Schmerz li. Brust": "chest-pain ?",
		"Brust fine, Schmerz Knie": "?", "Ohnmacht": "faint", "ohnmaechtig": "faint", "ohnmachtig": "faint", "OHNMÄCHTIG": "faint", "ohnma\u0308chtig": "faint", "fast ohnmächtig": "faint ?",
		"schwarz vor Augen": "faint ?", "vor den Augen schwarz": "faint ?", "keine Luft": "breathlessness", "keine Luft Brustschmerz": "breathlessness chest-pain",
		"kein Schwindel": "", "kein Schwindel oder Kopfschmerz": "", "weder Schwindel noch Kopfschmerz": "", "noch Schwindel": "dizzy", "nicht nur Schwindel": "dizzy",
		"nicht ohne Schwindel": "dizzy", "ohne Brustschmerz": "", "Brust ohne Schmerzen": "", "Brust: keine Schmerzen, Druck": "?", "Druck in der Brust, keine Schmerzen": "chest-pain",
		"kein Schwindel aber Brustschmerz": "chest-pain", "kein Schwindel und Brustschmerz": "chest-pain", "keine starken Kopfschmerzen": "headache",
		"kein Schwindel Brustschmerz": "chest-pain", "starker Kopfschmerz": "severe-headache", "nicht gut": "?", "nicht so gut": "?", "alles gut": "? ", "Schmerzen": "?", "keine Schmerzen": "",
		"Brust\nSchmerz": "?", "Brust-Schmerz": "chest-pain", "Brust\u00adschmerz": "chest-pain",
	} {
		found, unknown := l.Recognise(text)
		var got []string
		for _, s := range found {
			got = append(got, s.ID)
		}
		slices.Sort(got)
		if unknown {
			got = append(got, "?")
		}
		if strings.Join(got, " ") != strings.TrimSpace(want) {
			t.Errorf("%q is %v, want %q", text, got, want)
		}
	}
}
