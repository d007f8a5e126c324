package fhir_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

func engine(t *testing.T) *compiler.Compiler {
	t.Helper()
	c, err := compiler.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func client(t *testing.T, c *compiler.Compiler, name string) *load.Client {
	t.Helper()
	f, err := c.Reader.Path(filepath.Join("..", "..", "testdata", name, "client.yaml"))
	if err != nil || f.Client == nil {
		t.Fatal(err, f.Findings)
	}
	return f.Client
}

// demo is the plan of the demo client with all kinds of loads.
func demo(t *testing.T, c *compiler.Compiler) *record.Plan {
	t.Helper()
	in := compiler.Input{Client: client(t, c, "demo"), Now: time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)}
	in.Start, _ = unit.ParseDate("2027-01-04")
	for _, id := range []string{"handgrip-alternating", "inspiratory-strength", "walking-start"} {
		in.Protocols = append(in.Protocols, &c.Standard(id).Protocols[0])
	}
	r, err := c.Compile(in)
	if err != nil || r.Plan == nil {
		t.Fatal(err, r.Findings)
	}
	return r.Plan
}

var followUntil = time.Date(2027, 3, 29, 8, 0, 0, 0, time.UTC)

// follow follows a log of Tomas, who is made up.
func follow(t *testing.T, c *compiler.Compiler, name string, src []byte) (progress.Followed, error) {
	t.Helper()
	cl := client(t, c, "follow")
	span, err := c.LogSpan(cl.Record, followUntil)
	if err != nil {
		t.Fatal(err)
	}
	log, err := load.PressureLog(name, src, span)
	if err != nil {
		return progress.Followed{}, err
	}
	return c.Follow(compiler.Following{Client: cl, Log: log, Now: followUntil}), nil
}

func tomas(t *testing.T, c *compiler.Compiler) progress.Followed {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "follow", "tomas.log.csv"))
	if err != nil {
		t.Fatal(err)
	}
	f, err := follow(t, c, "tomas.log.csv", src)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func written(t *testing.T, write func(*bytes.Buffer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

type anyMap = map[string]any

// resources are those of a Bundle, by id; every full URL is that of its resource.
func resources(t *testing.T, doc []byte) (out []anyMap) {
	t.Helper()
	var b struct {
		ResourceType, Type string
		Entry              []struct {
			FullURL  string
			Resource anyMap
		}
	}
	if err := json.Unmarshal(doc, &b); err != nil || b.ResourceType != "Bundle" || b.Type != "collection" {
		t.Fatal(err, b.ResourceType, b.Type)
	}
	seen := map[string]bool{}
	for _, e := range b.Entry {
		if id := fmt.Sprint(e.Resource["id"]); e.FullURL != "urn:uuid:"+id || seen[id] {
			t.Errorf("%s stands at %s, or twice", id, e.FullURL)
		} else {
			seen[id] = true
		}
		out = append(out, e.Resource)
	}
	for _, r := range regexp.MustCompile(`"reference": "([^"]+)"`).FindAllStringSubmatch(string(doc), -1) {
		if !seen[strings.TrimPrefix(r[1], "urn:uuid:")] {
			t.Errorf("%s leads nowhere", r[1])
		}
	}
	return out
}

func at(v any, path ...any) any {
	for _, p := range path {
		switch p := p.(type) {
		case string:
			m, _ := v.(anyMap)
			v = m[p]
		case int:
			l, _ := v.([]any)
			if p >= len(l) {
				return nil
			}
			v = l[p]
		}
	}
	return v
}

// profile says what of the blood pressure profile an Observation breaks. Source: hl7.org/fhir/R4/bp.html, and vital signs
// beneath it: status, category, code, subject, effective, and two components with value, unit, system and code of UCUM.
func profile(o anyMap, panel, systolic, diastolic string) (out []string) {
	want := func(ok bool, what string) {
		if !ok {
			out = append(out, what)
		}
	}
	want(o["resourceType"] == "Observation", "not an Observation")
	want(o["status"] == "final", "status")
	want(at(o, "category", 0, "coding", 0, "system") == "http://terminology.hl7.org/CodeSystem/observation-category" && at(o, "category", 0, "coding", 0, "code") == "vital-signs", "category")
	want(at(o, "code", "coding", 0, "system") == "http://loinc.org" && at(o, "code", "coding", 0, "code") == panel, "code")
	want(at(o, "subject", "identifier", "value") != nil, "subject")
	when, _ := o["effectiveDateTime"].(string)
	_, err := time.Parse(time.RFC3339, when)
	want(err == nil || at(o, "effectivePeriod", "start") != nil && at(o, "effectivePeriod", "end") != nil, "effective")
	cs, _ := o["component"].([]any)
	want(len(cs) == 2, "two components")
	for i, code := range []string{systolic, diastolic} {
		want(at(cs, i, "code", "coding", 0, "code") == code, code)
		q := at(cs, i, "valueQuantity")
		n, _ := at(q, "value").(float64)
		want(n > 20 && n < 300, "value of "+code)
		want(at(q, "unit") == "mmHg" && at(q, "system") == "http://unitsofmeasure.org" && at(q, "code") == "mm[Hg]", "unit of "+code)
	}
	return out
}
