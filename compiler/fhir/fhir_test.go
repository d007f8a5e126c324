package fhir_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/fhir"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/unit"
)

func engine(t *testing.T) *compiler.Compiler {
	t.Helper()
	c, err := compiler.New()
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

// A stopped plan has no active request. Source: hl7.org/fhir/R4, RequestStatus: revoked is what ended before its end.
func TestStopped(t *testing.T) {
	c := engine(t)
	p := demo(t, c)
	p.Stopped = p.Start + 7
	n := 0
	for _, r := range resources(t, written(t, func(b *bytes.Buffer) error { return fhir.Plan(b, p) })) {
		switch r["resourceType"] {
		case "CarePlan", "ServiceRequest":
			if n++; r["status"] != "revoked" {
				t.Errorf("a %v of a stopped plan is %v", r["resourceType"], r["status"])
			}
		}
	}
	if n < 3 {
		t.Errorf("%d requests", n)
	}
}

// What an earlier sheet asked for and a newer one does not is revoked, under the id it had: a reader that keeps what it was sent
// would else show it on.
func TestNothingStaysOpen(t *testing.T) {
	c := engine(t)
	p := demo(t, c)
	requests := func() (out map[string]string) {
		out = map[string]string{}
		for _, r := range resources(t, written(t, func(b *bytes.Buffer) error { return fhir.Plan(b, p) })) {
			if r["resourceType"] == "ServiceRequest" {
				out[fmt.Sprint(r["id"])] = fmt.Sprint(r["status"])
				if asked := len(asList(at(r, "occurrenceTiming", "event"))) > 0; asked == (r["status"] == "revoked") {
					t.Errorf("a request that is %v has dates: %v", r["status"], asked)
				}
			}
		}
		return out
	}
	first := requests()
	p.Sheet = 2
	cancelled := p.Sessions[0].Kind
	for i := range p.Sessions {
		switch s := &p.Sessions[i]; {
		case s.Kind == cancelled:
			s.Status = record.Cancelled
		case s.Status == record.Provisional:
			s.Status = record.Confirmed // measured again
		}
	}
	second, ended := requests(), 0
	for id, status := range first {
		switch {
		case second[id] == "":
			t.Errorf("a request that was %s is not in the newer Bundle", status)
		case second[id] == "revoked":
			ended++
		case second[id] != "active":
			t.Errorf("a request is %s", second[id])
		}
	}
	if held := strings.Count(fmt.Sprint(first), "on-hold"); held == 0 || ended < held+1 {
		t.Errorf("%d requests were on hold, %d ended", held, ended)
	}
}

// A kind that the plan has no more, here one with the load of an older measurement, is revoked in every later Bundle, also after the
// plan went through its file. Source: hl7.org/fhir/R4, ServiceRequest.status: what is not revoked is still asked for.
func TestKindThatIsGone(t *testing.T) {
	c := engine(t)
	in := compiler.Input{Client: client(t, c, "demo"), Now: time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)}
	in.Start, _ = unit.ParseDate("2027-01-04")
	in.Protocols = []*load.Protocol{&c.Standard("handgrip-start").Protocols[0]}
	known, gone := map[string]bool{}, 0 // ids of all Bundles so far
	for sheet := 1; sheet <= 3; sheet++ {
		r, err := c.Compile(in)
		if err != nil || r.Plan == nil || r.Plan.Sheet != sheet {
			t.Fatal(err, r.Findings)
		}
		var file bytes.Buffer
		if err := report.Plan(&file, r.Plan); err != nil {
			t.Fatal(err)
		}
		p, err := load.ReadPlan(file.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		p.Sitting = r.Plan.Sitting
		now := map[string]bool{}
		for _, x := range resources(t, written(t, func(b *bytes.Buffer) error { return fhir.Plan(b, p) })) {
			if x["resourceType"] != "ServiceRequest" {
				continue
			}
			now[fmt.Sprint(x["id"])] = true
			if asked := len(asList(at(x, "occurrenceTiming", "event"))) > 0; asked == (x["status"] == "revoked") || at(x, "code", "text") == "" || x["patientInstruction"] == "" {
				t.Errorf("sheet %d: %v", sheet, x)
			}
		}
		for id := range known {
			if !now[id] {
				t.Errorf("sheet %d: a request of an earlier sheet is not told of", sheet)
			}
		}
		for id := range now {
			known[id] = true
		}
		gone += len(p.Ended)
		in.Previous, in.Now = p, in.Now.Add(time.Hour)
		cl, rec := *in.Client, *in.Client.Record
		cl.Record, rec.Grip = &rec, slices.Clone(rec.Grip)
		for i := range rec.Grip { // measured again: a little less
			rec.Grip[i].Trials = slices.Clone(rec.Grip[i].Trials)
			for k := range rec.Grip[i].Trials {
				rec.Grip[i].Trials[k] = rec.Grip[i].Trials[k].Sub(unit.Int(2))
			}
		}
		in.Client = &cl
	}
	if gone == 0 {
		t.Error("no kind went away")
	}
}
