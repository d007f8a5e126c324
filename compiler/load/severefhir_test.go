package load_test

import (
	"fmt"
	"strings"
	"testing"

	"isocue.example/compiler/load"
)

// obs is an Observation with a code as a server writes it ("system|code|display", each may be missing) and what else stands in it.
func obs(code, at, more string) string {
	parts := append(strings.Split(code, "|"), "", "")
	coding := ""
	for i, key := range []string{"system", "code", "display"} {
		if parts[i] != "" {
			coding += fmt.Sprintf(`, %q: %q`, key, parts[i])
		}
	}
	if at != "" {
		more = fmt.Sprintf(`"effectiveDateTime": %q, %s`, at, more)
	}
	return fmt.Sprintf(`{"resourceType": "Observation", "status": "final", "code": {"coding": [{%s}]}, %s}`, strings.TrimPrefix(coding, ", "), strings.TrimSuffix(more, ", "))
}

func entry(resource string) string { return `{"resource": ` + resource + `}` }

func mmHg(n string) string {
	return `"valueQuantity": {"value": ` + n + `, "unit": "mmHg", "system": "http://unitsofmeasure.org", "code": "mm[Hg]"}`
}

func part(code, value string) string {
	return fmt.Sprintf(`{"code": {"coding": [{"code": %q}]}, %s}`, code, value)
}

const (
	sct     = "http://snomed.info/sct|"
	loinc   = "http://loinc.org|"
	morning = "2027-01-04T06:30:00Z"
	fiveOn  = "2027-01-04T06:30:05Z"
	later   = "2027-01-04T06:34:00Z"
	evening = "2027-01-04T20:00:00Z"
)

// A Bundle says a pressure in many ways. Each is read where it has one meaning and told where it has not; none that is severe is lost,
// and what is no pressure closes nothing. Source: hl7.org/fhir/R4, Observation: value[x], component, hasMember, contained.
func TestBundlesAsServersWriteThem(t *testing.T) {
	components := func(systolic, diastolic string) string {
		return `"component": [` + part("8480-6", systolic) + `, ` + part("8462-4", diastolic) + `]`
	}
	two := func(a, b, s, d string) string {
		return aBundle(entry(obs(loinc+"8480-6", a, mmHg(s))), entry(obs(loinc+"8462-4", b, mmHg(d))))
	}
	members := func(names ...string) string {
		return `"hasMember": [{"reference": "` + strings.Join(names, `"}, {"reference": "`) + `"}]`
	}
	for _, x := range []struct {
		why, src, reads string
		closes, told    bool
	}{
		// two Observations
		{"two of one moment", two(morning, morning, "148", "84"), "148/84", false, false},
		{"two of one moment, severe", two(morning, morning, "205", "118"), "205/118", true, false},
		{"the lower one first, seconds later", aBundle(entry(obs(loinc+"8462-4", fiveOn, mmHg("118"))), entry(obs(loinc+"8480-6", morning, mmHg("160")))), "160/118", true, false},
		{"two of one sitting", two(morning, later, "205", "118"), "205/118", true, false},
		{"two of two sittings", two(morning, evening, "138", "84"), "", false, true},
		{"two of two sittings, severe", two(morning, evening, "205", "84"), "", true, true},
		{"two that do not fit", two(morning, morning, "120", "118"), "", true, true},
		{"a systolic one alone", aBundle(entry(obs(loinc+"8480-6", morning, mmHg("205")))), "", true, true},
		{"a diastolic one alone", aBundle(entry(obs(loinc+"8462-4", morning, mmHg("118")))), "", true, true},
		{"a harmless one alone", aBundle(entry(obs(loinc+"8480-6", morning, mmHg("138")))), "", false, true},
		{"two sittings of two each", aBundle(entry(obs(loinc+"8480-6", morning, mmHg("138"))), entry(obs(loinc+"8480-6", evening, mmHg("142"))), entry(obs(loinc+"8462-4", evening, mmHg("86"))), entry(obs(loinc+"8462-4", morning, mmHg("84")))), "138/84 142/86", false, false},
		// panels
		{"another panel", aBundle(entry(obs(loinc+"35094-2", morning, components(mmHg("205"), mmHg("118"))))), "205/118", true, false},
		{"the vital signs' panel", aBundle(entry(obs(loinc+"85353-1", morning, `"component": [`+part("8480-6", mmHg("205"))+`,`+part("8462-4", mmHg("118"))+`,`+part("8867-4", `"valueQuantity": {"value": 70, "code": "/min"}`)+`,`+part("9279-1", `"valueQuantity": {"value": 14, "code": "/min"}`)+`]`))), "205/118/70", true, false},
		{"components of something else", aBundle(entry(obs("|visit|", morning, components(mmHg("205"), mmHg("118"))))), "205/118", true, false},
		{"members", aBundle(entry(obs(loinc+"85354-9", morning, `"id": "p", `+members("Observation/s", "Observation/d"))), entry(obs(loinc+"8480-6", morning, `"id": "s", `+mmHg("205"))), entry(obs(loinc+"8462-4", morning, `"id": "d", `+mmHg("118")))), "205/118", true, false},
		{"members without a moment of their own", aBundle(entry(obs(loinc+"8480-6", "", `"id": "s", `+mmHg("205"))), entry(obs(loinc+"8462-4", "", `"id": "d", `+mmHg("118"))), entry(obs(loinc+"85354-9", morning, members("Observation/s", "https://a.example/fhir/Observation/d/_history/3")))), "205/118", true, false},
		{"members by the name of the entry", aBundle(entry(obs(loinc+"85354-9", morning, members("urn:uuid:1", "urn:uuid:2"))), `{"fullUrl": "urn:uuid:1", "resource": `+obs(sct+"271649006", "", mmHg("138"))+`}`, `{"fullUrl": "urn:uuid:2", "resource": `+obs(sct+"271650006", "", mmHg("84"))+`}`), "138/84", false, false},
		{"members that are not there", aBundle(entry(obs(loinc+"85354-9", morning, members("Observation/s", "Observation/d")))), "", true, true},
		{"no value, and why", aBundle(entry(obs(loinc+"85354-9", morning, `"dataAbsentReason": {"text": "cuff slipped"}`))), "", false, true},
		{"contained members", aBundle(entry(obs(loinc+"85354-9", morning, members("#s", "#d")+`, "contained": [`+obs(loinc+"8480-6", "", `"id": "s", `+mmHg("205"))+`, `+obs(loinc+"8462-4", "", `"id": "d", `+mmHg("118"))+`]`))), "205/118", true, false},
		{"contained in a report", aBundle(entry(`{"resourceType": "DiagnosticReport", "status": "final", "contained": [` + obs(loinc+"85354-9", morning, components(mmHg("205"), mmHg("118"))) + `]}`)), "205/118", true, false},
		{"a Bundle in the Bundle", aBundle(entry(`{"resourceType": "Bundle", "entry": [` + entry(obs(loinc+"85354-9", morning, components(mmHg("205"), mmHg("118")))) + `]}`)), "205/118", true, false},
		{"beside the entries", `{"resourceType": "Bundle", "entry": [], "contained": [` + obs(loinc+"85354-9", morning, components(mmHg("205"), mmHg("118"))) + `]}`, "205/118", true, false},
		{"a type in small letters", aBundle(entry(strings.Replace(obs(loinc+"85354-9", morning, components(mmHg("205"), mmHg("118"))), "Observation", "observation", 1))), "205/118", true, false},
		// values
		{"whole numbers without a unit", aBundle(entry(obs(loinc+"85354-9", morning, components(`"valueInteger": 205`, `"valueInteger": 118`)))), "205/118", true, false},
		{"numbers as text", aBundle(entry(obs(loinc+"85354-9", morning, components(`"valueString": "205 mmHg"`, `"valueString": "118"`)))), "205/118", true, false},
		{"both in one text", aBundle(entry(obs(loinc+"85354-9", morning, `"valueString": "205/118 mmHg"`))), "205/118", true, false},
		{"both in one text, harmless", aBundle(entry(obs(sct+"75367002", morning, `"valueString": "138/84"`))), "138/84", false, false},
		{"both under the systolic code", aBundle(entry(obs(loinc+"8480-6", morning, `"valueString": "205/118"`))), "205/118", true, false},
		{"one to the other", aBundle(entry(obs(loinc+"85354-9", morning, `"valueRatio": {"numerator": {"value": 205}, "denominator": {"value": 118}}`))), "205/118", true, false},
		{"from one to another", aBundle(entry(obs(loinc+"8480-6", morning, `"valueRange": {"low": {"value": 190}, "high": {"value": 205}}`))), "", true, true},
		{"sampled", aBundle(entry(obs(loinc+"8480-6", morning, `"valueSampledData": {"data": "130 205", "origin": {"value": 0}}`))), "", true, true},
		{"a word", aBundle(entry(obs(loinc+"8480-6", morning, `"valueString": "very high"`))), "", true, true},
		{"a concept", aBundle(entry(obs(loinc+"8480-6", morning, `"valueCodeableConcept": {"text": "205"}`))), "", true, true},
		{"an exponent", aBundle(entry(obs(loinc+"85354-9", morning, components(mmHg("2.05e2"), mmHg("118"))))), "205/118", true, false},
		{"an exponent without end", aBundle(entry(obs(loinc+"85354-9", morning, components(mmHg("2e99999"), mmHg("84"))))), "", true, true},
		{"one number for both", aBundle(entry(obs(loinc+"85354-9", morning, mmHg("205")))), "", true, true},
		{"in kilopascal", aBundle(entry(obs(loinc+"85354-9", morning, components(`"valueQuantity": {"value": 27.3, "code": "kPa"}`, `"valueQuantity": {"value": 15.7, "unit": "kPa"}`)))), "", true, true},
		{"in kilopascal, harmless", aBundle(entry(obs(loinc+"85354-9", morning, components(`"valueQuantity": {"value": 18.1, "code": "kPa"}`, `"valueQuantity": {"value": 11, "code": "kPa"}`)))), "", false, true},
		{"in metres", aBundle(entry(obs(loinc+"8480-6", morning, `"valueQuantity": {"value": 0.205, "code": "m[Hg]"}`))), "", true, true},
		{"in a unit that nobody knows", aBundle(entry(obs(loinc+"8480-6", morning, `"valueQuantity": {"value": 205, "code": "xyz"}`))), "", true, true},
		{"in a unit that nobody knows, too small for a pressure", aBundle(entry(obs(loinc+"8480-6", morning, `"valueQuantity": {"value": 2.05, "code": "xyz"}`))), "", true, true},
		{"over a bound", aBundle(entry(obs(loinc+"8480-6", morning, `"valueQuantity": {"value": 200, "comparator": ">", "code": "mm[Hg]"}`))), "", true, true},
		{"a component twice, the second severe", aBundle(entry(obs(loinc+"85354-9", morning, `"component": [`+part("8480-6", mmHg("205"))+`,`+part("8480-6", mmHg("120"))+`,`+part("8462-4", mmHg("80"))+`]`))), "", true, true},
		{"in an extension", aBundle(entry(obs(loinc+"85353-1", morning, `"extension": [{"url": "https://a.example/systolic", "valueInteger": 205}]`))), "", true, true},
		// codes
		{"SNOMED alone", aBundle(entry(obs(sct+"75367002", morning, `"component": [`+part("271649006", mmHg("205"))+`,`+part("271650006", mmHg("118"))+`]`))), "205/118", true, false},
		{"a device's codes", aBundle(entry(obs("urn:iso:std:iso:11073:10101|150020", morning, `"component": [`+part("150021", mmHg("205"))+`,`+part("150022", mmHg("118"))+`]`))), "205/118", true, false},
		{"words alone", aBundle(entry(obs("||Systolic blood pressure", morning, mmHg("205"))), entry(obs("||Diastolic blood pressure", morning, mmHg("118")))), "205/118", true, false},
		{"words of an app", aBundle(entry(obs("|HKQuantityTypeIdentifierBloodPressureSystolic", morning, mmHg("205"))), entry(obs("|HKQuantityTypeIdentifierBloodPressureDiastolic", morning, mmHg("118")))), "205/118", true, false},
		{"words in another language", aBundle(entry(obs("||Presión arterial sistólica", morning, mmHg("205"))), entry(obs("||Blutdruck diastolisch", morning, mmHg("118")))), "205/118", true, false},
		{"standing", aBundle(entry(obs(loinc+"8460-8", morning, mmHg("138"))), entry(obs(loinc+"8454-1", morning, mmHg("84")))), "138/84", false, false},
		{"lying", aBundle(entry(obs(loinc+"8461-6", morning, mmHg("205"))), entry(obs(loinc+"8455-8", morning, mmHg("118")))), "", true, true},
		{"a mean of many", aBundle(entry(obs(loinc+"96607-7", morning, `"component": [`+part("96608-5", mmHg("205"))+`,`+part("96609-3", mmHg("118"))+`]`))), "", true, true},
		{"a mean of many, harmless", aBundle(entry(obs(loinc+"96607-7", morning, `"component": [`+part("96608-5", mmHg("138"))+`,`+part("96609-3", mmHg("84"))+`]`))), "", false, false},
		{"over a day", aBundle(entry(obs(loinc+"85354-9", "", `"effectivePeriod": {"start": "2027-01-04T06:30:00Z", "end": "2027-01-05T06:30:00Z"}, `+components(mmHg("205"), mmHg("118"))))), "", true, true},
		{"a mean arterial pressure beside it", aBundle(entry(obs(loinc+"85354-9", morning, `"component": [`+part("8480-6", mmHg("138"))+`,`+part("8462-4", mmHg("84"))+`,`+part("8478-0", mmHg("112"))+`]`))), "138/84", false, false},
		{"a mean arterial pressure over every line", aBundle(entry(obs(loinc+"8478-0", morning, mmHg("190")))), "", true, true},
		{"a code that nobody knows, in millimetres", aBundle(entry(obs("https://a.example|x1", morning, mmHg("205")))), "", true, true},
		{"a code that nobody knows, in millimetres, harmless", aBundle(entry(obs("https://a.example|x1", morning, mmHg("84")))), "", false, true},
		{"a code that nobody knows, in kilopascal", aBundle(entry(obs("https://a.example|x1", morning, `"valueQuantity": {"value": 27.3, "code": "kPa"}`))), "", true, true},
		{"a code that nobody knows, without a unit", aBundle(entry(obs("https://a.example|x1", morning, `"valueInteger": 205`))), "", true, true},
		{"a code that nobody knows, a minute", aBundle(entry(obs("https://a.example|x1", morning, `"valueQuantity": {"value": 140, "unit": "beats/min"}`))), "", true, true},
		{"no code at all", aBundle(entry(`{"resourceType": "Observation", "status": "final", "effectiveDateTime": "2027-01-04T06:30:00Z", ` + mmHg("205") + `}`)), "", true, true},
		{"a component that nobody knows", aBundle(entry(obs(loinc+"85354-9", morning, `"component": [`+part("up", mmHg("205"))+`,`+part("down", mmHg("118"))+`]`))), "", true, true},
		{"a weight in millimetres of mercury", aBundle(entry(obs(loinc+"29463-7", morning, mmHg("205")))), "", true, true},
		{"written under a code that nobody knows", aBundle(entry(obs("|x1", morning, `"valueString": "BP 205/118"`))), "", true, true},
		{"in a note", aBundle(entry(obs(loinc+"85354-9", morning, components(mmHg("138"), mmHg("84"))+`, "note": [{"text": "first 205/118"}]`))), "138/84", true, true},
		{"in an answer", aBundle(entry(`{"resourceType": "QuestionnaireResponse", "status": "completed", "item": [{"linkId": "1", "text": "Systolic pressure", "answer": [{"valueInteger": 205}]}]}`)), "", true, true},
		{"in a conclusion", aBundle(entry(`{"resourceType": "DiagnosticReport", "status": "final", "conclusion": "BP 205/118 at home"}`)), "", true, true},
		// no reading that may be used
		{"not final, severe", aBundle(entry(strings.Replace(obs(loinc+"85354-9", morning, components(mmHg("150"), mmHg("118"))), "final", "preliminary", 1))), "", true, true},
		{"the half of it not final", aBundle(entry(obs(loinc+"8480-6", morning, mmHg("205"))), entry(strings.Replace(obs(loinc+"8462-4", morning, mmHg("118")), "final", "registered", 1))), "", true, true},
		{"at a wrist, severe", aBundle(entry(obs(loinc+"85354-9", morning, `"bodySite": {"text": "left wrist"}, `+components(mmHg("205"), mmHg("118"))))), "", true, true},
		{"without a moment", aBundle(entry(obs(loinc+"85354-9", "", components(mmHg("205"), mmHg("118"))))), "", true, true},
		// pulses
		{"a pulse of the moment", aBundle(entry(obs(loinc+"85354-9", morning, components(mmHg("138"), mmHg("84")))), entry(obs(loinc+"8867-4", morning, `"valueQuantity": {"value": 140, "code": "/min"}`))), "138/84/140", true, false},
		{"a pulse five seconds later", aBundle(entry(obs(loinc+"85354-9", morning, components(mmHg("138"), mmHg("84")))), entry(obs(sct+"364075005", fiveOn, `"valueQuantity": {"value": 140, "unit": "bpm"}`))), "138/84/140", true, false},
		{"a pulse minutes later", aBundle(entry(obs(loinc+"8867-4", later, `"valueInteger": 68`)), entry(obs(loinc+"85354-9", morning, components(mmHg("138"), mmHg("84"))))), "138/84/68", false, false},
		{"a second pulse of the sitting", aBundle(entry(obs(loinc+"85354-9", morning, components(mmHg("138"), mmHg("84")))), entry(obs(loinc+"8867-4", morning, `"valueInteger": 68`)), entry(obs(loinc+"8867-4", fiveOn, `"valueInteger": 140`))), "138/84/68", true, true},
		{"a pulse of the evening", aBundle(entry(obs(loinc+"85354-9", morning, components(mmHg("138"), mmHg("84")))), entry(obs(loinc+"8867-4", evening, `"valueInteger": 140`))), "138/84", true, true},
		{"a pulse alone", aBundle(entry(obs(loinc+"40443-4", morning, `"valueQuantity": {"value": 140, "code": "/min"}`))), "", true, true},
		{"a pulse alone, not final", aBundle(entry(strings.Replace(obs(loinc+"40443-4", morning, `"valueInteger": 140`), "final", "preliminary", 1))), "", true, true},
		{"a pulse in words", aBundle(entry(obs("||Pulse rate", morning, `"valueString": "140 bpm"`))), "", true, true},
		{"harmless pulses alone", aBundle(entry(obs(loinc+"8867-4", morning, `"valueInteger": 68`)), entry(obs(loinc+"8867-4", evening, `"valueInteger": 71`))), "", false, false},
		// what closes nothing
		{"steps", aBundle(entry(obs(loinc+"55423-8", morning, `"valueInteger": 205`)), entry(obs("|HKQuantityTypeIdentifierStepCount", morning, `"valueQuantity": {"value": 190, "unit": "count"}`)), entry(obs("||Number of steps", morning, `"valueInteger": 205`)), entry(obs("|x|", morning, `"valueQuantity": {"value": 205, "code": "{steps}"}`))), "", false, false},
		{"a weight", aBundle(entry(obs(loinc+"29463-7", morning, `"valueQuantity": {"value": 205, "unit": "lb", "code": "[lb_av]"}`)), entry(obs("||Weight", morning, `"valueInteger": 205`))), "", false, false},
		{"a temperature", aBundle(entry(obs(loinc+"8310-5", morning, `"valueQuantity": {"value": 98.6, "code": "[degF]"}`)), entry(obs("||Body temperature", morning, `"valueDecimal": 120`))), "", false, false},
		{"oxygen", aBundle(entry(obs(loinc+"59408-5|Oxygen saturation in Arterial blood by Pulse oximetry", morning, `"valueQuantity": {"value": 198, "code": "%"}`)), entry(obs("||SpO2 pulse oximeter", morning, `"valueInteger": 198`)), entry(obs("||PaO2 arterial oxygen", morning, mmHg("198")))), "", false, false},
		{"breaths a minute", aBundle(entry(obs(loinc+"9279-1", morning, `"valueQuantity": {"value": 140, "code": "/min"}`)), entry(obs("||Respiratory rate", morning, `"valueQuantity": {"value": 140, "code": "/min"}`))), "", false, false},
		{"glucose", aBundle(entry(obs(loinc+"2339-0", morning, `"valueQuantity": {"value": 190, "code": "mg/dL"}`)), entry(obs("|x|", morning, `"valueQuantity": {"value": 190, "code": "mg/dL"}`))), "", false, false},
		{"a heart at work", aBundle(entry(obs("||Heart rate during exercise", morning, `"valueQuantity": {"value": 165, "code": "/min"}`)), entry(obs(loinc+"8867-4", morning, `"category": [{"coding": [{"code": "activity"}]}], "valueInteger": 165`))), "", false, false},
		{"a child before birth", aBundle(entry(obs("||Fetal heart rate", morning, `"valueQuantity": {"value": 140, "code": "/min"}`))), "", false, false},
		{"the pressure of an eye, of a breath, of the weather", aBundle(entry(obs("||Intraocular pressure", morning, mmHg("120"))), entry(obs("||Maximal inspiratory pressure", morning, `"valueQuantity": {"value": 120, "code": "cm[H2O]"}`)), entry(obs("|x|", morning, `"valueQuantity": {"value": 1013, "code": "hPa"}`))), "", false, false},
		{"a goal", aBundle(entry(`{"resourceType": "Goal", "target": [{"measure": {"text": "Systolic blood pressure"}, "detailQuantity": {"value": 185}}], "note": [{"text": "call at 185/112"}]}`), entry(obs("||Target heart rate", morning, `"valueQuantity": {"value": 150, "code": "/min"}`))), "", false, false},
		{"a thousand of something", aBundle(entry(obs("|x|", morning, `"valueInteger": 8432`))), "", false, false},
		{"a person and a device", aBundle(entry(`{"resourceType": "Patient", "birthDate": "1971-01-01", "telecom": [{"value": "205 118 140"}]}`), entry(`{"resourceType": "Device", "version": [{"value": "205"}]}`)), "", false, false},
	} {
		s := span(t)
		l, err := load.PressureLog("log.json", []byte(x.src), s)
		if err != nil {
			t.Errorf("%s: %v", x.why, err)
			continue
		}
		if got := readingsOf(l); got != x.reads || closes(l, s) != x.closes || len(l.Problems) > 0 != x.told {
			t.Errorf("%s: read %q, closes %v, want %q, %v, told %v\n%s", x.why, got, closes(l, s), x.reads, x.closes, x.told, says(l))
		}
	}
}
