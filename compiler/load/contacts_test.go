package load

import (
	"io/fs"
	"strconv"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/schema"
)

// What a page dials is what the schema lets a record say.
func TestDialledIsWhatTheSchemaSays(t *testing.T) {
	b, err := fs.ReadFile(schema.FS, "words.cue")
	if err != nil {
		t.Fatal(err)
	}
	for def, re := range map[string]string{"#Phone": record.Phone.String(), "#Emergency": record.Emergency.String()} {
		if !strings.Contains(string(b), def+": =~"+strconv.Quote(re)+"\n") {
			t.Errorf("%s is another pattern than the one that is dialled by, %s", def, re)
		}
	}
}

// A contact is one number that a phone dials, the prescriber may be a name, and what a person has to write is no placeholder.
func TestContactsAndNames(t *testing.T) {
	r, err := NewReader(nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		field, value string
		sound        bool
		why          string
	}{
		{"contacts.client", "+351 555 0199", true, "the client's own number"},
		{"contacts.client", "ask her", false, "words"},
		{"contacts.coach", "L. Brandt, +351 555 0100", false, "a name beside a number is not dialled"},
		{"contacts.clinic", "(020) 7946 0000", true, "an area in parentheses"},
		{"contacts.clinic", "+44 (0)20 7946 0000", false, "a zero that nobody dials"},
		{"contacts.maternityUnit", "555-0100 or 555-0101", false, "two numbers"},
		{"contacts.emergency", "112", true, "a short number"},
		{"contacts.emergency", "112 or 999", false, "two numbers"},
		{"contacts.emergency", "112 999", false, "two numbers, with a space between"},
		{"contacts.emergency", "999 (deaf: 18000)", false, "a number with a remark"},
		{"contacts.emergency", "none", false, "no number"},
		{"contacts.prescriber", "R. Okafor", true, "a name"},
		{"contacts.prescriber", "+351 555 0103", true, "a number"},
		{"contacts.prescriber", "R. Okafor, +351 555 0103", true, "both: nothing dials it"},
		{"contacts.prescriber", "TBA", false, "a placeholder"},
		{"contacts.prescriber", "-", false, "a placeholder"},
		{"screening.by", "L. Brandt", true, "a name"},
		{"screening.by", "王", true, "a name of one character"},
		{"screening.by", "Élodie N'Guyen-Açaí", true, "a name with marks"},
		{"screening.by", "Noa", true, "a name that begins as a placeholder does"},
		{"screening.by", "Nonell", true, "another"},
		{"screening.by", "Tod Odom", true, "another"},
		{"screening.by", "not yet asked", false, "what a template said"},
		{"screening.by", "Not asked", false, "in capitals"},
		{"screening.by", "noch nicht gefragt", false, "in German"},
		{"screening.by", "TODO", false, "a placeholder"},
		{"screening.by", "to do", false, "a placeholder"},
		{"screening.by", "unknown", false, "a placeholder"},
		{"screening.by", "n/a", false, "a placeholder"},
		{"screening.by", "N.A.", false, "a placeholder"},
		{"screening.by", "?", false, "a placeholder"},
		{"screening.by", "---", false, "a placeholder"},
		{"screening.by", "...", false, "a placeholder"},
		{"screening.by", "tba", false, "a placeholder"},
		{"screening.by", "(tbd)", false, "a placeholder in parentheses"},
		{"screening.by", "none", false, "a placeholder"},
		{"screening.by", "xxx", false, "a placeholder"},
		{"screening.by", "<name>", false, "a template's place"},
		{"screening.by", "[your name]", false, "another template's place"},
		{"screening.by", "${coach}", false, "a third one's"},
		{"screening.by", "your name here", false, "a form's place"},
		{"screening.by", " ", false, "nothing"},
		{"taught.by", "unbekannt", false, "a placeholder in German"},
		{"consent.by", "x", false, "a placeholder"},
		{"consent.explained", "not to train when ill", true, "what was explained may begin with not"},
		{"consent.explained", "TODO", false, "a placeholder"},
		{"name", "N/A", false, "it would be printed"},
		{"name", "Dana Test-Miller", true, "a placeholder's word in a name"},
	} {
		parts := strings.SplitN(c.field, ".", 2)
		value := strconv.Quote(c.value)
		body := map[string]string{"screening": "date: \"2027-01-02\", questions: 2, answers: {}, ", "taught": "date: \"2027-01-02\", ", "consent": "date: \"2027-01-02\", "}[parts[0]]
		switch {
		case c.field == "consent.by":
			body += `explained: "when to stop", `
		case c.field == "consent.explained":
			body += `by: "L. Brandt", `
		}
		text := "id: \"a-1\", zone: \"UTC\", dominantHand: \"right\", measured: {}\n"
		if len(parts) == 1 {
			text += c.field + ": " + value + "\n"
		} else {
			text += parts[0] + ": {" + body + parts[1] + ": " + value + "}\n"
		}
		f := r.Bytes("a.cue", []byte(text))
		if sound := f.Client != nil; sound != c.sound {
			t.Errorf("%s %q is sound: %v, want %v: %s\n%v", c.field, c.value, sound, c.sound, c.why, f.Findings)
		}
		if !c.sound && (len(f.Findings) != 1 || f.Findings[0].Path != c.field || f.Findings[0].Verdict != finding.Malformed || !strings.Contains(f.Findings[0].Message, "allowed: one ")) {
			t.Errorf("%s %q: %v", c.field, c.value, f.Findings)
		}
	}
}
