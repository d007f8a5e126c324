package load_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"isocue.example/compiler/load"
)

// wrapper writes one reading into a Bundle in a way that is drawn: its codes, values, units, structure, place and order.
type wrapper struct{ *rand.Rand }

func (w wrapper) one(of ...string) string { return of[w.IntN(len(of))] }

// spelled are ways to write that an Observation is of a part; "?" is a code that nobody knows.
var spelled = map[string][]string{
	"panel": {`"coding": [{"system": "http://loinc.org", "code": "85354-9"}]`, `"coding": [{"system": "http://loinc.org", "code": "35094-2"}]`, `"coding": [{"code": "75367002", "system": "http://snomed.info/sct"}]`, `"text": "Blood pressure"`, `"text": "Blutdruck"`, `"coding": [{"code": "bp-home"}]`, `"coding": [{"code": "85353-1"}]`, `"coding": [{"code": "?"}]`},
	"systolic": {`"coding": [{"system": "http://loinc.org", "code": "8480-6"}]`, `"coding": [{"system": "http://snomed.info/sct", "code": "271649006"}]`, `"coding": [{"code": "150021"}]`, `"text": "Systolic"`, `"coding": [{"display": "SBP"}]`, `"coding": [{"code": "?"}, {"system": "http://loinc.org", "code": "8480-6"}]`, `"coding": [{"system": "https://a.example", "code": "bp-s"}]`,
		`"coding": [{"system": "http://loinc.org", "code": "8459-0"}]`, `"coding": [{"code": "407554009"}]`, `"coding": [{"code": "?"}]`, `"coding": [{"code": "96608-5"}]`},
	"diastolic": {`"coding": [{"system": "http://loinc.org", "code": "8462-4"}]`, `"coding": [{"system": "http://snomed.info/sct", "code": "271650006"}]`, `"coding": [{"code": "150022"}]`, `"text": "diastolic blood pressure"`, `"coding": [{"display": "DBP"}]`, `"coding": [{"code": "?"}]`, `"coding": [{"code": "8453-3"}]`},
	"pulse":     {`"coding": [{"system": "http://loinc.org", "code": "8867-4"}]`, `"coding": [{"code": "364075005"}]`, `"text": "Pulse"`, `"text": "Herzfrequenz"`, `"coding": [{"display": "Heart rate"}]`, `"coding": [{"code": "?"}]`},
}

// pressure is a value of a pressure, and no text where the code is not known: a bare word would be any text.
func (w wrapper) pressure(mm int, known bool) string {
	of := []string{
		fmt.Sprintf(`"valueQuantity": {"value": %d, "system": "http://unitsofmeasure.org", "code": "mm[Hg]"}`, mm), fmt.Sprintf(`"valueQuantity": {"value": %d, "unit": "mmHg"}`, mm),
		fmt.Sprintf(`"valueQuantity": {"value": %d.0, "unit": "mm Hg"}`, mm), fmt.Sprintf(`"valueQuantity": {"value": %d}`, mm), fmt.Sprintf(`"valueInteger": %d`, mm), fmt.Sprintf(`"valueDecimal": %d.5`, mm),
		fmt.Sprintf(`"valueQuantity": {"value": %d.%02d, "code": "kPa"}`, (mm*1333/100+1)/100, (mm*1333/100+1)%100),
	}
	if known {
		of = append(of, fmt.Sprintf(`"valueString": "%d"`, mm), fmt.Sprintf(`"valueString": "%d mmHg"`, mm), fmt.Sprintf(`"valueQuantity": {"value": %d, "code": "weird"}`, mm),
			fmt.Sprintf(`"valueRange": {"low": {"value": %d}, "high": {"value": %d}}`, mm-9, mm), fmt.Sprintf(`"valueQuantity": {"value": %d, "comparator": ">", "unit": "mmHg"}`, mm), fmt.Sprintf(`"valueCodeableConcept": {"text": "%d"}`, mm),
			fmt.Sprintf(`"valueQuantity": {"value": %de0, "unit": "mmHg"}`, mm))
	}
	return w.one(of...)
}

func (w wrapper) beats(n int, known bool) string {
	of := []string{fmt.Sprintf(`"valueQuantity": {"value": %d, "code": "/min"}`, n), fmt.Sprintf(`"valueQuantity": {"value": %d, "unit": "beats/min"}`, n), fmt.Sprintf(`"valueInteger": %d`, n), fmt.Sprintf(`"valueQuantity": {"value": %d, "unit": "bpm", "code": "{beats}/min"}`, n)}
	if known {
		of = append(of, fmt.Sprintf(`"valueString": "%d bpm"`, n), fmt.Sprintf(`"valueQuantity": {"value": %d, "unit": "Hz"}`, n))
	}
	return w.one(of...)
}

func (w wrapper) shuffle(of []string) string {
	w.Shuffle(len(of), func(i, j int) { of[i], of[j] = of[j], of[i] })
	return strings.Join(of, ", ")
}

func (w wrapper) observation(code, at string, more ...string) string {
	parts := append([]string{`"resourceType": "Observation"`, fmt.Sprintf(`"status": %q`, w.one("final", "final", "amended", "preliminary", "registered", "unknown")), `"code": {` + code + `}`}, more...)
	switch w.IntN(4) {
	case 0:
		parts = append(parts, fmt.Sprintf(`"effectiveInstant": %q`, at))
	case 1:
		parts = append(parts, fmt.Sprintf(`"effectivePeriod": {"start": %q}`, at))
	case 2:
	default:
		parts = append(parts, fmt.Sprintf(`"effectiveDateTime": %q`, at))
	}
	return "{" + w.shuffle(parts) + "}"
}

// valued is a part of a reading: its code with its value.
func (w wrapper) valued(what string, n int) (code, value string) {
	code = w.one(spelled[what]...)
	known := !strings.Contains(code, `"?"`) || strings.Contains(code, "loinc")
	if what == "pulse" {
		return code, w.beats(n, known)
	}
	return code, w.pressure(n, known)
}

// reading is the resources of one reading.
func (w wrapper) reading(systolic, diastolic, pulse int) (out []string) {
	at := fmt.Sprintf("2027-01-%02dT%02d:%02d:00Z", 1+w.IntN(28), w.IntN(24), w.IntN(60))
	numbers := map[string]int{"systolic": systolic, "diastolic": diastolic, "pulse": pulse}
	form := w.IntN(5)
	if form == 4 && pulse < 120 {
		return []string{w.observation(w.one(spelled["panel"]...), at, w.one(fmt.Sprintf(`"valueString": "%d/%d"`, systolic, diastolic), fmt.Sprintf(`"valueRatio": {"numerator": {"value": %d}, "denominator": {"value": %d}}`, systolic, diastolic)))}
	}
	var components, names, inside []string
	for i, what := range []string{"systolic", "diastolic", "pulse"} {
		code, value := w.valued(what, numbers[what])
		id := fmt.Sprintf("%s-%d", what, w.IntN(1_000_000))
		switch {
		case form == 0 && i < 2, form == 0 && w.IntN(2) == 0:
			components = append(components, `{`+w.shuffle([]string{`"code": {` + code + `}`, value})+`}`)
		case form == 2 && i < 2:
			names = append(names, `{"reference": "`+w.one("Observation/", "https://a.example/r4/Observation/")+id+`"}`)
			out = append(out, w.observation(code, at, value, `"id": "`+id+`"`))
		case form == 3 && i < 2:
			names, inside = append(names, `{"reference": "#`+id+`"}`), append(inside, w.observation(code, at, value, `"id": "`+id+`"`))
		default:
			out = append(out, w.observation(code, at, value))
		}
	}
	switch {
	case len(components) > 0:
		out = append(out, w.observation(w.one(spelled["panel"]...), at, `"component": [`+w.shuffle(components)+`]`))
	case len(inside) > 0:
		out = append(out, w.observation(w.one(spelled["panel"]...), at, `"hasMember": [`+w.shuffle(names)+`]`, `"contained": [`+w.shuffle(inside)+`]`))
	case len(names) > 0:
		out = append(out, w.observation(w.one(spelled["panel"]...), at, `"hasMember": [`+w.shuffle(names)+`]`))
	}
	return out
}

// placed is a resource somewhere in an entry.
func (w wrapper) placed(resource string) string {
	for {
		switch w.IntN(6) {
		case 0:
			resource = `{"resourceType": "Bundle", "type": "collection", "entry": [` + entry(resource) + `]}`
		case 1:
			resource = `{"resourceType": "DiagnosticReport", "status": "final", "contained": [` + resource + `]}`
		case 2:
			resource = `{"resourceType": "Parameters", "parameter": [{"name": "return", "resource": ` + resource + `}]}`
		default:
			return entry(resource)
		}
	}
}

// harmless is what stands beside a reading in a Bundle and closes nothing.
func (w wrapper) harmless() string {
	n := 20 + w.IntN(300)
	at := fmt.Sprintf("2027-01-%02dT%02d:%02d:00Z", 1+w.IntN(28), w.IntN(24), w.IntN(60))
	value := w.one(fmt.Sprintf(`"valueInteger": %d`, n), fmt.Sprintf(`"valueQuantity": {"value": %d}`, n), fmt.Sprintf(`"valueQuantity": {"value": %d.5, "unit": "kg"}`, n))
	switch w.IntN(7) {
	case 0:
		return w.observation(`"coding": [{"system": "http://loinc.org", "code": "`+w.one("29463-7", "55423-8", "8310-5", "59408-5", "2708-6", "9279-1", "8302-2", "39156-5", "2339-0")+`"}]`, at, value)
	case 1:
		return w.observation(`"text": "`+w.one("Body weight", "Number of steps", "Step count", "Body temperature", "Oxygen saturation by pulse oximetry", "Respiratory rate", "Gewicht", "Schritte", "Blood glucose", "Sleep duration", "Body mass index")+`"`, at, value)
	case 2:
		return w.observation(`"coding": [{"code": "?"}]`, at, fmt.Sprintf(`"valueQuantity": {"value": %d, "unit": "%s"}`, n, w.one("kg", "lb", "steps", "%", "mg/dL", "Cel", "cm", "kcal", "km", "mmol/L")))
	case 3:
		return w.observation(`"text": "Heart rate during exercise"`, at, fmt.Sprintf(`"valueInteger": %d`, n))
	case 4:
		return fmt.Sprintf(`{"resourceType": "Goal", "description": {"text": "under %d/118"}, "target": [{"detailQuantity": {"value": %d, "unit": "mmHg"}}]}`, n, n)
	case 5:
		return `{"resourceType": "` + w.one("Patient", "Device", "Practitioner", "Provenance") + fmt.Sprintf(`", "identifier": [{"value": "%d"}]}`, n)
	}
	return w.observation(`"coding": [{"system": "http://loinc.org", "code": "8867-4"}]`, at, `"category": [{"coding": [{"code": "activity"}]}]`, fmt.Sprintf(`"valueInteger": %d`, n))
}

func (w wrapper) bundle(resources []string) string {
	for i := range resources {
		resources[i] = w.placed(resources[i])
	}
	return `{"resourceType": "Bundle", "entry": [` + w.shuffle(resources) + `]}`
}

// severeBundle is a Bundle with one severe reading and others beside it; quietBundle is one with none.
func severeBundle(seed uint64) string {
	w := wrapper{rand.New(rand.NewPCG(seed, 1))}
	numbers := [][3]int{{205, 118, 70}, {205, 84, 70}, {150, 118, 70}, {138, 84, 140}, {180, 84, 70}, {150, 110, 70}, {138, 84, 121}}[w.IntN(7)]
	all := w.reading(numbers[0], numbers[1], numbers[2])
	for range w.IntN(5) {
		all = append(all, w.harmless())
	}
	return w.bundle(all)
}

func quietBundle(seed uint64) string {
	w := wrapper{rand.New(rand.NewPCG(seed, 2))}
	all := []string{obs(loinc+"85354-9", morning, `"component": [`+part("8480-6", mmHg("138"))+`, `+part("8462-4", mmHg("84"))+`]`)}
	for range 1 + w.IntN(8) {
		all = append(all, w.harmless())
	}
	return w.bundle(all)
}

// closesIn is why a Bundle does not close training, "" where it does. A file that is refused closes too.
func closesIn(src string, s load.LogSpan) string {
	l, err := load.PressureLog("log.json", []byte(src), s)
	if err != nil || closes(l, s) {
		return ""
	}
	return says(l)
}

// Whichever way a severe reading is wrapped, it closes training; what stands beside one never does.
func TestWrappedReadings(t *testing.T) {
	s := span(t)
	for seed := range uint64(1000) {
		src := severeBundle(seed)
		l, err := load.PressureLog("log.json", []byte(src), s)
		switch {
		case err != nil:
			t.Errorf("seed %d is refused as a file: %v\n%s", seed, err, src)
		case !closes(l, s):
			t.Errorf("seed %d closes nothing:\n%s%s", seed, says(l), src)
		}
		src = quietBundle(seed)
		if l, err = load.PressureLog("log.json", []byte(src), s); err != nil || closes(l, s) || readingsOf(l) != "138/84" {
			t.Errorf("seed %d closes, or loses its reading: %v\n%s%s", seed, err, says(l), src)
		}
		if t.Failed() {
			return
		}
	}
}

// The same law, where somebody else draws; and no Bundle that is cut, doubled or broken makes the reader give up.
func FuzzWrappedReadings(f *testing.F) {
	f.Add(uint64(1), 0)
	f.Add(uint64(77), 40)
	s := span(f)
	f.Fuzz(func(t *testing.T, seed uint64, cut int) {
		src := severeBundle(seed)
		if why := closesIn(src, s); why != "" {
			t.Errorf("seed %d closes nothing:\n%s%s", seed, why, src)
		}
		if cut > 0 && cut < len(src) {
			_, _ = load.PressureLog("log.json", []byte(src[:cut]), s)
			_, _ = load.PressureLog("log.json", []byte(src[:cut]+src[cut/2:]), s)
		}
	})
}
