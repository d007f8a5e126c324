package load_test

import (
	"fmt"
	"strings"
	"testing"

	"isocue.example/compiler/load"
)

// observation is a blood pressure as FHIR R4 has it, with what a test changes.
func observation(at, status, systolic, unit, more string) string {
	return fmt.Sprintf(`{"resource": {"resourceType": "Observation", "status": %q, "code": {"coding": [{"system": "http://loinc.org", "code": "85354-9"}]},
 "effectiveDateTime": %q%s, "component": [
  {"code": {"coding": [{"system": "http://loinc.org", "code": "8480-6"}]}, "valueQuantity": {"value": %s, "system": "http://unitsofmeasure.org", "code": %q}},
  {"code": {"coding": [{"system": "http://loinc.org", "code": "8462-4"}]}, "valueQuantity": {"value": 84, "system": "http://unitsofmeasure.org", "code": "mm[Hg]"}}]}}`, status, at, more, systolic, unit)
}

func aBundle(entries ...string) string {
	return "{\"resourceType\": \"Bundle\", \"type\": \"collection\", \"entry\": [\n" + strings.Join(entries, ",\n") + "\n]}"
}

// A Bundle is read as a CSV is: the same checks, the client's wall clock, and a severe number in a row that cannot be used is
// never lost. Source: hl7.org/fhir/R4, Observation and its blood pressure profile.
func TestBundle(t *testing.T) {
	good := observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", "")
	pulse := `{"resource": {"resourceType": "Observation", "status": "final", "code": {"coding": [{"system": "http://loinc.org", "code": "8867-4"}]},
 "effectiveDateTime": "2027-01-04T06:30:00Z", "valueQuantity": {"value": 68, "system": "http://unitsofmeasure.org", "code": "/min"}}}`
	for _, x := range []struct {
		why, src       string
		readings       int
		problem, fails string
	}{
		{"one reading with its pulse", aBundle(good, pulse), 1, "", ""},
		{"an arm, in words", aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", `, "bodySite": {"text": "Left arm"}`)), 1, "", ""},
		{"another offset is the client's own time", aBundle(observation("2027-01-04T08:30:00+02:00", "final", "138", "mm[Hg]", "")), 1, "", ""},
		{"nothing that is a reading", aBundle(`{"resource": {"resourceType": "Patient"}}`), 0, "", ""},
		{"not final", aBundle(observation("2027-01-04T06:30:00Z", "entered-in-error", "138", "mm[Hg]", "")), 0, "line 2: its status is not final, amended or corrected", ""},
		{"kilopascal", aBundle(observation("2027-01-04T06:30:00Z", "final", "18", "kPa", "")), 0, "a value is in kPa, allowed: mm[Hg] of UCUM", ""},
		{"no unit, as in a CSV", aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "", "")), 1, "", ""},
		{"a unit spelled as people do", aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "mmHg", "")), 1, "", ""},
		{"a unit of another kind", aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "kg", "")), 0, "a value is in another unit, allowed: mm[Hg] of UCUM", ""},
		{"no time of day", aBundle(observation("2027-01-04", "final", "138", "mm[Hg]", "")), 0, "has no time of day", ""},
		{"swapped", aBundle(observation("2027-01-04T06:30:00Z", "final", "60", "mm[Hg]", "")), 0, "systolic 60 is under diastolic 84", ""},
		{"a mean is no reading", aBundle(observation("2027-01-04T06:30:00Z", "final", "137.5", "mm[Hg]", "")), 0, "systolic is 137.5, allowed: a whole number", ""},
		{"a number that is a word", aBundle(observation("2027-01-04T06:30:00Z", "final", `"high"`, "mm[Hg]", "")), 0, "", "the entry on line 2 is not a resource of FHIR R4"},
		{"of another client of ours", aBundle(good, observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", `, "subject": {"identifier": {"system": "https://isocue.example/client", "value": "other-1"}}`)), 0, "", "is about another client than the record"},
		{"two persons", aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", `, "subject": {"reference": "Patient/1"}`), observation("2027-01-05T06:30:00Z", "final", "138", "mm[Hg]", `, "subject": {"reference": "Patient/2"}`)), 0, "", "the entry on line 6 is about another person than that on line 2"},
		{"one person, written three ways", aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", `, "subject": {"reference": "Patient/1"}`), observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", `, "subject": {"reference": "https://a.example/fhir/Patient/1"}`), observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", `, "subject": {"reference": "Patient/1/_history/2"}`)), 1, "line 10: the same reading as on line 2", ""},
		{"one Observation twice", aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", `, "id": "a"`), observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", `, "id": "a"`)), 1, "line 6: the same reading as on line 2", ""},
		{"two versions of one", aBundle(observation("2027-01-04T06:30:00Z", "final", "158", "mm[Hg]", `, "id": "a"`), observation("2027-01-04T06:30:00Z", "amended", "138", "mm[Hg]", `, "id": "a"`)), 0, "", "the Observation on line 6 stands on line 2 in another version"},
		{"a bound, not a value", aBundle(observation("2027-01-04T06:30:00Z", "final", `170, "comparator": ">"`, "mm[Hg]", "")), 0, "a value is a bound", ""},
		{"a component twice", aBundle(strings.Replace(good, `"component": [`, `"component": [{"code": {"coding": [{"system": "http://loinc.org", "code": "8480-6"}]}, "valueQuantity": {"value": 120, "system": "http://unitsofmeasure.org", "code": "mm[Hg]"}},`, 1)), 0, "a component stands in it twice", ""},
		{"a wrist", aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", `, "bodySite": {"coding": [{"system": "http://snomed.info/sct", "display": "Structure of left wrist"}]}`)), 0, "taken elsewhere than at an upper arm", ""},
		{"an arm in another language", aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", `, "bodySite": {"text": "linker Oberarm"}`)), 1, "", ""},
		{"a meaning that is changed", aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", `, "modifierExtension": [{"url": "https://a.example/not"}]`)), 0, "modifierExtension", ""},
		{"a single resource", `{"resourceType": "Observation"}`, 0, "", "the log is JSON and no Bundle but a single Observation, or one a line: ask the server for a search, whose answer is a Bundle, allowed: CSV, or a Bundle of Observations of FHIR R4"},
		{"an Observation a line", "{\"resourceType\": \"Observation\"}\n{\"resourceType\": \"Observation\"}", 0, "", "no Bundle but a single Observation, or one a line"},
		{"a server's error", `{"resourceType": "OperationOutcome", "issue": []}`, 0, "", "no Bundle but the error of a server"},
		{"no FHIR", `{"date": "2027-01-04", "systolic": 138}`, 0, "", "no Bundle, nor anything else of FHIR, allowed"},
		{"a type that nobody knows", `{"resourceType": "gone"}`, 0, "", "the log is JSON and no Bundle, allowed"},
		{"cut off", aBundle(good)[:200], 0, "", "a bracket, comma or quote is missing or too many"},
		{"two in a file", aBundle(good) + aBundle(good), 0, "", "something follows the Bundle"},
		{"two lists of entries", `{"resourceType": "Bundle", "entry": [], "entry": []}`, 0, "", "entry is not one list"},
		{"entries that are no list", `{"resourceType": "Bundle", "entry": 4}`, 0, "", "entry is not one list"},
		{"too large", `{"resourceType": "` + strings.Repeat("x", load.MaxLog), 0, "", "the log has more than 2097152 bytes, allowed: at most 2097152"},
	} {
		s := span(t)
		s.Client = "heron-07"
		l, err := load.PressureLog("log.json", []byte(x.src), s)
		if x.fails != "" {
			if err == nil || !strings.Contains(err.Error(), x.fails) {
				t.Errorf("%s: %v, want %q", x.why, err, x.fails)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", x.why, err)
			continue
		}
		var said string
		for _, p := range l.Problems {
			said += fmt.Sprintf("line %d: %s\n", p.Line, p.Problem)
		}
		kept := 0
		for _, r := range l.Readings {
			if r.Systolic > 0 {
				kept++
				if r.At.String() != "2027-01-04T06:30" {
					t.Errorf("%s: at %s", x.why, r.At)
				}
			}
		}
		if kept != x.readings || x.problem == "" && said != "" || !strings.Contains(said, x.problem) {
			t.Errorf("%s: %d readings, %q; want %d, %q", x.why, kept, said, x.readings, x.problem)
		}
	}
	l, err := load.PressureLog("log.json", []byte(aBundle(good, pulse)), span(t))
	if err != nil || l.Readings[0].Pulse != 68 {
		t.Errorf("%v, %v", l, err)
	}
	// 27 kPa are 202.5 mmHg. Source: NIST SP 811 (2008), appendix B.8.
	for _, x := range []struct {
		value, unit string
		want        int
	}{{"27", "kPa", 203}, {"204", "kg", 204}, {"1e400000000", "kPa", 84}, {"0.4", "kPa", 84}} {
		l, err := load.PressureLog("log.json", []byte(aBundle(observation("2027-01-04T06:30:00Z", "final", x.value, x.unit, ""))), span(t))
		if err != nil || len(l.Problems) != 1 || l.Problems[0].Largest != x.want || len(l.Readings) > 0 {
			t.Errorf("%s %s: %v, %+v, want %d told", x.value, x.unit, err, l, x.want)
		}
	}
	severe := observation("2027-01-04T06:30:00Z", "preliminary", "204", "mm[Hg]", "")
	if l, err = load.PressureLog("log.json", []byte(aBundle(severe)), span(t)); err != nil || len(l.Problems) != 1 || l.Problems[0].Largest != 204 {
		t.Errorf("a severe number in a row that cannot be used is lost: %v, %v", l, err)
	}
}

// A page that another follows says so, and a severe number is not lost with the row that cannot be used.
func TestBundlePage(t *testing.T) {
	one := observation("2027-01-04T06:30:00Z", "final", `200, "comparator": ">"`, "mm[Hg]", "")
	src := strings.Replace(aBundle(one), `"type"`, `"link": [{"relation": "self", "url": "https://a.example/1"}, {"relation": "next", "url": "https://a.example/2"}], "type"`, 1)
	s := span(t)
	l, err := load.PressureLog("log.json", []byte(src), s)
	if err != nil || !strings.Contains(strings.Join(l.Said, "|"), "one page of several") {
		t.Errorf("%v, %v", l, err)
	}
	if len(l.Problems) != 1 || l.Problems[0].Largest != 200 {
		t.Errorf("%+v", l.Problems)
	}
}

// Whose readings they are is the reader's to make sure of where no entry says it in our words.
func TestBundleOfNobody(t *testing.T) {
	s := span(t)
	s.Client = "heron-07"
	ours := `, "subject": {"identifier": {"system": "https://isocue.example/client", "value": "heron-07"}}`
	for subject, want := range map[string]bool{ours: false, "": true, `, "subject": {"reference": "Patient/1"}`: true} {
		l, err := load.PressureLog("log.json", []byte(aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", subject))), s)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(strings.Join(l.Said, "|"), "make sure that all are this client's own"); got != want || len(l.Readings) != 1 {
			t.Errorf("%q: %v, %d readings", subject, l.Said, len(l.Readings))
		}
	}
}
