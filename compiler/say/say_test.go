package say

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// each visits every text of a catalogue by its path.
func each(v reflect.Value, path string, visit func(path, text string)) {
	switch v.Kind() {
	case reflect.String:
		visit(path, v.String())
	case reflect.Pointer:
		each(v.Elem(), path, visit)
	case reflect.Struct:
		for i := range v.NumField() {
			each(v.Field(i), path+"."+v.Type().Field(i).Name, visit)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			each(v.Index(i), fmt.Sprint(path, "[", i, "]"), visit)
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			each(v.MapIndex(k), fmt.Sprint(path, "[", k, "]"), visit)
		}
	}
}

func texts(l *Language) map[string]string {
	out := map[string]string{}
	each(reflect.ValueOf(l), "", func(path, text string) { out[path] = text })
	return out
}

var hole = regexp.MustCompile(`%[a-z]|\{[a-z]+\}`)

// Both catalogues are whole: no text is empty, each has the other's texts, and a text has the same holes in both. Holes of a
// format are filled in their order; those in braces by name, and a name may come again.
func TestCataloguesAreWhole(t *testing.T) {
	en := texts(English())
	if len(en) < 300 {
		t.Fatalf("%d texts were found", len(en))
	}
	for _, tag := range Tags() {
		l, _ := In(tag)
		other := texts(l)
		for path, text := range other {
			if strings.TrimSpace(text) == "" {
				t.Errorf("%s%s is empty", tag, path)
			}
			want, ok := en[path]
			if !ok {
				t.Errorf("%s%s stands in one catalogue alone", tag, path)
			}
			a, b := hole.FindAllString(want, -1), hole.FindAllString(text, -1)
			if strings.Contains(text, "{") {
				slices.Sort(a)
				slices.Sort(b)
			}
			if !slices.Equal(a, b) {
				t.Errorf("%s%s: holes %v, want %v: %q", tag, path, b, a, text)
			}
			if text == want && tag != "en" && len(text) > 12 && !strings.HasPrefix(path, ".Steps.") && !strings.HasPrefix(text, "{") {
				t.Errorf("%s%s is not translated: %q", tag, path, text)
			}
		}
		for path := range en {
			if _, ok := other[path]; !ok {
				t.Errorf("%s%s is missing", tag, path)
			}
		}
	}
}

// No sentence holds a number of its own: numbers come from the plan. The exceptions are names.
func TestNoSentenceHasANumber(t *testing.T) {
	digit := regexp.MustCompile(`[0-9]`)
	for _, tag := range Tags() {
		l, _ := In(tag)
		for path, text := range texts(l) {
			for _, name := range []string{"cmH2O", "page 1", "Seite 1", "out of 10", "von 10"} {
				text = strings.ReplaceAll(text, name, "")
			}
			if digit.MatchString(text) {
				t.Errorf("%s%s has a number: %q", tag, path, text)
			}
		}
	}
}

// Nothing a client reads tells to change medicine, in either language: refusal 7.
func TestNothingTellsToChangeMedicine(t *testing.T) {
	advice := regexp.MustCompile(`(?i)\b(stop|reduce|lower|skip|halve|leave out|change|increase) (taking |your )*(medicine|tablets?|pills?|dose)|\b(setzen|nehmen|lassen|senken|halbieren|ändern) sie [^.]*(medikament|tablette|dosis)`)
	allowed := regexp.MustCompile(`(?i)\b(nothing|nichts)\b`)
	for _, tag := range Tags() {
		l, _ := In(tag)
		for path, text := range texts(l) {
			if advice.MatchString(text) && !allowed.MatchString(text) {
				t.Errorf("%s%s: %q", tag, path, text)
			}
		}
	}
	if !advice.MatchString("Stop taking your tablets.") || !advice.MatchString("Nehmen Sie eine Tablette weniger.") {
		t.Error("the pattern finds nothing")
	}
}

func TestForms(t *testing.T) {
	day := func(s string) unit.Date {
		d, err := unit.ParseDate(s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	en, _ := In("en")
	de, _ := In("de")
	for _, c := range []struct{ why, got, want string }{
		{"one and other: CLDR plural rules of en", en.Count(1, en.Words.Reading), "1 reading"},
		{"", en.Count(2, en.Words.Reading), "2 readings"},
		{"one and other: CLDR plural rules of de", de.Count(1, de.Words.Reading), "1 Messung"},
		{"", de.Count(2, de.Words.Reading), "2 Messungen"},
		{"none is other", de.Count(0, de.Words.Day), "0 Tage"},
		{"decimal comma: CLDR numbers of de", de.Number(unit.MustDec("10.5")), "10,5"},
		{"decimal point", en.Number(unit.MustDec("10.5")), "10.5"},
		{"half seconds too", de.Span(25), "2,5 Sekunden"},
		{"singular of a time", de.Span(610), "1 Minute 1 Sekunde"},
		{"a full stop after the day: CLDR dates of de", de.FullDay(day("2027-01-04")), "Montag, 4. Januar 2027"},
		{"", en.FullDay(day("2027-01-04")), "Monday 4 January 2027"},
		{"one month", de.Dates(day("2027-01-04"), day("2027-01-10")), "4. bis 10. Januar"},
		{"two months", de.Dates(day("2027-01-29"), day("2027-02-04")), "29. Januar bis 4. Februar"},
		{"two years", en.Dates(day("2026-12-28"), day("2027-01-03")), "28 December to 3 January"},
		{"of a list", de.List([]string{"Blatt 1", "Blatt 3"}), "Blatt 1 und Blatt 3"},
		{"hands", de.HandName(record.Left), "links"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.why, c.got, c.want)
		}
	}
	if _, ok := In("fr"); ok {
		t.Error("there is a language fr")
	}
}
