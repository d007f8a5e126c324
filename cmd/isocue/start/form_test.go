package start

import (
	"html"
	"strings"
	"testing"

	"isocue.example/compiler/rule"
)

// The form asks every question and every class of medicine of the rule base, says what a yes means, and has room for as many
// trials as the rules want; it asks for the emergency number, without which no sheet is written.
func TestFormAsksEverything(t *testing.T) {
	b, err := rule.Load()
	if err != nil {
		t.Fatal(err)
	}
	src, err := Form(b, "t")
	if err != nil {
		t.Fatal(err)
	}
	s := html.UnescapeString(string(src))
	for _, q := range b.Questions {
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
