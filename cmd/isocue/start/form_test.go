package start

import (
	"html"
	"regexp"
	"strings"
	"testing"

	"isocue.example/compiler/rule"
	"isocue.example/schema"
)

// formText is the form with the rule base it was made from.
func formText(t *testing.T) (*rule.Base, string) {
	t.Helper()
	b, err := rule.Load()
	if err != nil {
		t.Fatal(err)
	}
	src, err := Form(b, "t")
	if err != nil {
		t.Fatal(err)
	}
	return b, html.UnescapeString(string(src))
}

// The form asks every question and every class of medicine of the rule base, says what a yes means, and has room for as many
// trials as the rules want; it asks for the emergency number, without which no sheet is written.
func TestFormAsksEverything(t *testing.T) {
	b, s := formText(t)
	for _, q := range b.Questions() {
		if !strings.Contains(s, q.Asks) || !strings.Contains(s, q.Says) || !strings.Contains(s, "<em>"+q.ID+"</em>") {
			t.Errorf("question %s is not whole", q.ID)
		}
	}
	for id, m := range b.Medicines {
		if !strings.Contains(s, m.Name+"<small>Yes: "+m.Says) {
			t.Errorf("medicine %s is not asked", id)
		}
	}
	for _, c := range b.Cautions {
		if !strings.Contains(s, c.Text) {
			t.Errorf("caution %s is missing", c.ID)
		}
	}
	for m, text := range b.Expected {
		if !strings.Contains(s, text) {
			t.Errorf("what may be told of %s is missing", m)
		}
	}
	if n, want := strings.Count(s, `<th scope="col">Trial</th>`), b.Limit("grip-trials", "floor").Whole()+b.Limit("mip-trials", "floor").Whole(); n != want {
		t.Errorf("there is room for %d trials, want %d", n, want)
	}
	for _, want := range []string{"Emergency number", "Sit quietly for 5 minutes", "over 10 mmHg apart", "within 15 percent", "let go before 30 seconds"} {
		if !strings.Contains(s, want) {
			t.Errorf("%q is missing", want)
		}
	}
	for _, never := range []string{"http:", "https:", "src=", "href=", "<script", "<form", "<input"} {
		if strings.Contains(s, never) {
			t.Errorf("it has %q", never)
		}
	}
}

// Whatever a record must hold of a client at the first visit has a place on the form: each field that the schema demands of what is
// asked, measured, opened and owned, by the words under which the form asks for it.
func TestFormHasAPlaceForEveryField(t *testing.T) {
	_, s := formText(t)
	asked := map[string]string{"id": "Id (never a name)", "zone": "Time zone", "dominantHand": "Hand that writes", "date": "Date", "by": "Asked by", "questions": "Questions of set", "answers": ">Yes<",
		"code": ">Code<", "class": ">Class<", "changed": "Last changed", "for": ">Training<", "role": "By, and role", "until": ">Until<", "explained": "What is trained and why", "hand": ">Hand<", "unit": "unit: kgf",
		"trials": ">Trial<", "with": "Gauge", "method": "(static)", "stages": "A step test", "ended": "It ended because", "minutesPerWeek": "Minutes walked in a usual week", "kneeDegrees": "Knees, degrees", "heelCm": "Heels, cm",
		"heartRate": "Heart rate", "at": ">Time<", "systolic": ">Upper<", "diastolic": ">Lower<", "step": "step <", "settings": "its settings", "label": "its settings", "cmH2O": "in cmH2O", "arm": "Arm from now on",
		"size": "size small", "validated": "validated ones", "days": "Hours that suit", "from": "Hours that suit", "to": "Days away",
		"score": "", "setting": ""} // what the coach chooses, and that it is the clinic
	file, err := schema.FS.ReadFile("client.cue")
	if err != nil {
		t.Fatal(err)
	}
	fields := regexp.MustCompile(`(?m)^\s*(\w+)!:`).FindAllStringSubmatch(string(file), -1)
	if len(fields) < 40 {
		t.Fatalf("%d fields were found", len(fields))
	}
	for _, f := range fields {
		if want, ok := asked[f[1]]; !ok || !strings.Contains(s, want) {
			t.Errorf("the form has no place for %s (%q)", f[1], want)
		}
	}
	for _, want := range []string{">Since<", "Side, where asked", "The prescriber's own limits", "Sex", "Emergency number"} {
		if !strings.Contains(s, want) {
			t.Errorf("the form has no %q", want)
		}
	}
}
