package fhir_test

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"isocue.example/compiler/fhir"
	"isocue.example/compiler/record"
)

func TestReadingsFitTheProfile(t *testing.T) {
	c := engine(t)
	f := tomas(t, c)
	doc := written(t, func(b *bytes.Buffer) error { return fhir.Follow(b, f) })
	readings, means, pulses := 0, 0, 0
	for _, o := range resources(t, doc) {
		switch code := at(o, "code", "coding", 0, "code"); code {
		case "85354-9":
			readings++
			if bad := profile(o, "85354-9", "8480-6", "8462-4"); len(bad) > 0 || at(o, "meta", "profile", 0) != "http://hl7.org/fhir/StructureDefinition/bp" {
				t.Errorf("%v: %v", o["id"], bad)
			}
		case "96607-7":
			means++
			if bad := profile(o, "96607-7", "96608-5", "96609-3"); len(bad) > 0 {
				t.Errorf("%v: %v", o["id"], bad)
			}
			if n := at(o, "extension", 0, "valueInteger"); n != 24.0 {
				t.Errorf("the mean is of %v readings, want 24", n)
			}
		case "8867-4":
			pulses++
			if at(o, "valueQuantity", "code") != "/min" {
				t.Errorf("%v", o)
			}
		default:
			t.Errorf("an Observation of %v", code)
		}
	}
	if readings != len(f.Home) || means != 2 || readings < 48 || pulses == 0 {
		t.Errorf("%d readings, %d means, %d pulses; %d home readings", readings, means, pulses, len(f.Home))
	}
	if !bytes.Contains(doc, []byte(`"value": 151`)) || !bytes.Contains(doc, []byte(`"value": 129`)) {
		t.Error("the means are not those of the story")
	}
	if again := written(t, func(b *bytes.Buffer) error { return fhir.Follow(b, tomas(t, c)) }); !bytes.Equal(doc, again) {
		t.Error("the same follow-up gives other bytes")
	}
}

// What the profile asks for is asked: a fixture that breaks it is found. Source: the same page.
func TestProfileBites(t *testing.T) {
	c := engine(t)
	doc := written(t, func(b *bytes.Buffer) error { return fhir.Follow(b, tomas(t, c)) })
	for why, spoil := range map[string]func(anyMap){
		"status":             func(o anyMap) { o["status"] = "finished" },
		"category":           func(o anyMap) { delete(o, "category") },
		"effective":          func(o anyMap) { delete(o, "effectiveDateTime") },
		"two components":     func(o anyMap) { o["component"] = o["component"].([]any)[:1] },
		"unit of 8480-6":     func(o anyMap) { at(o, "component", 0, "valueQuantity").(anyMap)["code"] = "mmHg" },
		"value of 8462-4":    func(o anyMap) { delete(at(o, "component", 1, "valueQuantity").(anyMap), "value") },
		"not an Observation": func(o anyMap) { o["resourceType"] = "Patient" },
	} {
		o := resources(t, doc)[0]
		spoil(o)
		if bad := profile(o, "85354-9", "8480-6", "8462-4"); len(bad) == 0 || bad[0] != why {
			t.Errorf("%s: found %v", why, bad)
		}
	}
}

func TestPlan(t *testing.T) {
	c := engine(t)
	p := demo(t, c)
	doc := written(t, func(b *bytes.Buffer) error { return fhir.Plan(b, p) })
	count, events := map[string]int{}, 0
	for _, r := range resources(t, doc) {
		kind := fmt.Sprint(r["resourceType"])
		count[kind]++
		switch kind {
		case "CarePlan", "ServiceRequest":
			if r["intent"] != "plan" || at(r, "subject", "identifier", "value") != "plover-12" || r["status"] == nil {
				t.Errorf("%v", r)
			}
			for _, e := range asList(at(r, "occurrenceTiming", "event")) {
				if _, err := time.Parse(time.RFC3339, e.(string)); err != nil {
					t.Error(err)
				}
				events++
			}
		}
	}
	for code, unit := range map[string]string{"83173-5": "kgf", "83174-3": "kgf", "maximal-inspiratory-pressure": "cm[H2O]"} {
		found := false
		for _, r := range resources(t, doc) {
			found = found || at(r, "code", "coding", 0, "code") == code && at(r, "valueQuantity", "code") == unit
		}
		if !found {
			t.Errorf("no Observation of %s in %s", code, unit)
		}
	}
	if count["CarePlan"] != 1 || count["Observation"] != 3 || count["Patient"] != 0 || events != len(p.Sessions) {
		t.Errorf("%v, %d dated sessions of %d", count, events, len(p.Sessions))
	}
	if !bytes.Contains(doc, []byte(`"2027-01-04T07:00:00-04:00"`)) {
		t.Error("the first session does not stand at its wall time with its offset")
	}
	for _, never := range []string{"Dara", "Quill", "snomed", "1971"} {
		if bytes.Contains(bytes.ToLower(doc), bytes.ToLower([]byte(never))) {
			t.Errorf("%s stands in the record", never)
		}
	}
	for _, always := range []string{"not a medical clearance", "never hold your breath", "content from LOINC"} {
		if !bytes.Contains(doc, []byte(always)) {
			t.Errorf("%q does not stand in the record", always)
		}
	}
	p.Language = "de"
	for _, r := range resources(t, written(t, func(b *bytes.Buffer) error { return fhir.Plan(b, p) })) {
		if kind := r["resourceType"]; (kind == "CarePlan" || kind == "ServiceRequest") && r["language"] != "de" {
			t.Errorf("a %v that the client reads in German says its language is %v", kind, r["language"])
		}
	}
	p.Cautions = nil
	if err := fhir.Plan(&bytes.Buffer{}, p); err == nil {
		t.Error("a plan without cautions is written")
	}
}

func asList(v any) []any { l, _ := v.([]any); return l }

// Ids are of what a resource is: a plan that follows keeps them. A cancelled session is asked for no more.
func TestIDsStay(t *testing.T) {
	c := engine(t)
	p := demo(t, c)
	ids := func(p *record.Plan) (out map[string]string) {
		out = map[string]string{}
		for _, r := range resources(t, written(t, func(b *bytes.Buffer) error { return fhir.Plan(b, p) })) {
			out[fmt.Sprint(r["id"])] = fmt.Sprint(at(r, "code", "text"), at(r, "occurrenceTiming", "event", 0))
		}
		return out
	}
	before := ids(p)
	p.Sessions[0].Status, p.Stopped = record.Cancelled, p.Start+1
	after := ids(p)
	if len(after) != len(before) {
		t.Errorf("%d resources, then %d", len(before), len(after))
	}
	for id := range after {
		if _, ok := before[id]; !ok {
			t.Errorf("%s is new", id)
		}
	}
}

// What is written comes back as it was: the same readings, windows, change and verdict.
func TestReadingsComeBack(t *testing.T) {
	c := engine(t)
	f := tomas(t, c)
	back, err := follow(t, c, "tomas.json", written(t, func(b *bytes.Buffer) error { return fhir.Follow(b, f) }))
	if err != nil {
		t.Fatal(err)
	}
	if len(back.Rows) > 0 || len(back.Home) != len(f.Home) || back.Verdict != f.Verdict || len(back.Windows) != 2 {
		t.Fatalf("%v, %d of %d readings, %s", back.Rows, len(back.Home), len(f.Home), back.Verdict)
	}
	for i := range f.Home {
		x, y := f.Home[i], back.Home[i]
		if x.At != y.At || x.Systolic != y.Systolic || x.Diastolic != y.Diastolic || x.Pulse != y.Pulse || x.Arm != y.Arm {
			t.Errorf("%+v came back as %+v", x, y)
		}
	}
	for i := range f.Windows {
		if f.Windows[i].Systolic.Cmp(back.Windows[i].Systolic) != 0 || f.Windows[i].From != back.Windows[i].From {
			t.Errorf("window %d: %v, %v", i, f.Windows[i].Systolic, back.Windows[i].Systolic)
		}
	}
}
