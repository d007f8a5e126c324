package compiler

import (
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// closedBy is which rules about a log close slow breathing, the mildest of what is trained, and whether the log says anything at all.
func closedBy(t *testing.T, c *Compiler, cl *load.Client, name, src string, now time.Time) (out []string, told bool) {
	t.Helper()
	span, err := c.LogSpan(cl.Record, now)
	if err != nil {
		t.Fatal(err)
	}
	l, err := load.PressureLog(name, []byte(src), span)
	if err != nil {
		t.Fatalf("%s: %v", src, err)
	}
	for _, tell := range c.Follow(Following{Client: cl, Log: l, Now: now, Modalities: []record.Modality{record.SlowBreathing}}).Tells {
		if tell.Closes && len(tell.Closed) > 0 {
			out = append(out, tell.Rule)
		}
	}
	return out, len(l.Problems) > 0
}

// From the bytes of a log to what closes training. Source: hl7.org/fhir/R4, Observation, for the forms of a Bundle.
func TestSevereLogsClose(t *testing.T) {
	c := engine(t)
	const (
		head   = `{"resourceType": "Bundle", "entry": [{"resource": {"resourceType": "Observation", "status": "final", "effectiveDateTime": "2027-01-02T07:30:00Z", `
		next   = `}}, {"resource": {"resourceType": "Observation", "status": "final", "effectiveDateTime": "2027-01-02T07:30:05Z", `
		tail   = `}}]}`
		up     = `"code": {"coding": [{"system": "http://loinc.org", "code": "8480-6"}]}, "valueQuantity": {"value": 205, "unit": "mmHg"}`
		down   = `"code": {"coding": [{"system": "http://loinc.org", "code": "8462-4"}]}, "valueQuantity": {"value": 118, "unit": "mmHg"}`
		normal = `"code": {"coding": [{"system": "http://loinc.org", "code": "85354-9"}]}, "component": [{"code": {"text": "systolic"}, "valueInteger": 134}, {"code": {"text": "diastolic"}, "valueInteger": 82}]`
	)
	for _, x := range []struct {
		why, name, src string
		edit           edits
		want           []string
	}{
		{"two Observations of one sitting", "log.json", head + up + next + down + tail, nil, []string{"log-gate-diastolic", "log-gate-systolic"}},
		{"one of them alone", "log.json", head + up + tail, nil, []string{"log-row-hides"}},
		{"the lower one alone", "log.json", head + down + tail, nil, []string{"log-row-hides-diastolic"}},
		{"a fast pulse five seconds on", "log.json", head + normal + next + `"code": {"text": "Pulse"}, "valueInteger": 140` + tail, nil, []string{"log-pulse"}},
		{"a fast pulse alone", "log.json", head + `"code": {"text": "Pulse"}, "valueInteger": 140` + tail, nil, []string{"log-row-hides-pulse"}},
		{"words where a number belongs", "log.json", head + `"code": {"text": "Systolic"}, "valueString": "over the top"` + tail, nil, []string{"log-row-hides-unknown"}},
		{"a code that nobody knows", "log.json", head + `"code": {"text": "?"}, "valueQuantity": {"value": 205, "unit": "mmHg"}` + tail, nil, []string{"log-row-hides"}},
		{"a count of steps", "log.json", head + `"code": {"text": "Steps"}, "valueInteger": 205` + tail, nil, nil},
		{"a symptom as a value", "log.json", head + `"code": {"text": "Remark"}, "valueString": "chest pain since the morning"` + tail, nil, []string{"log-danger-sign"}},
		{"a symptom as a code", "log.json", head + `"code": {"coding": [{"system": "http://snomed.info/sct", "code": "29857009", "display": "Chest pain"}]}, "valueBoolean": true` + tail, nil, []string{"log-danger-sign"}},
		{"a symptom by its words, said to be there", "log.json", head + `"code": {"text": "Chest pain"}, "valueCodeableConcept": {"text": "Present"}` + tail, nil, []string{"log-danger-sign"}},
		{"a symptom on a scale", "log.json", head + `"code": {"text": "Chest pain severity"}, "valueInteger": 6` + tail, nil, []string{"log-danger-sign"}},
		{"a symptom without a value", "log.json", head + `"code": {"text": "Sudden shortness of breath"}` + tail, nil, []string{"log-danger-sign"}},
		{"a symptom on a scale, at nothing", "log.json", head + `"code": {"text": "Chest pain severity"}, "valueInteger": 0` + tail, nil, nil},
		{"a symptom that is not there", "log.json", head + `"code": {"text": "Chest pain"}, "valueCodeableConcept": {"text": "No"}` + tail, nil, nil},
		{"a symptom of somebody else", "log.json", head + `"code": {"text": "Family history of heart attack"}, "valueBoolean": true` + tail, nil, nil},
		{"a severe row before a clinician spoke", "log.csv", "at,systolic,diastolic\n2027-01-01T07:30,205,\n", clearedFor("alert-in-log", "slow-breathing"), nil},
		{"a severe row after a clinician spoke", "log.csv", "at,systolic,diastolic\n2027-01-02T07:30,205,\n", clearedFor("alert-in-log", "slow-breathing"), []string{"log-row-hides"}},
		{"a severe row of no day, whoever spoke", "log.csv", "at,systolic,diastolic\nsometime,205,118\n", clearedFor("alert-in-log", "slow-breathing"), []string{"log-row-hides"}},
		{"in pregnancy, the line of the maternity unit", "log.csv", "at,systolic,diastolic\n2027-01-02T07:30,141,\n", yes("pregnancy", "since: 2026-10-01"), []string{"log-row-hides"}},
		{"the same for anybody else", "log.csv", "at,systolic,diastolic\n2027-01-02T07:30,141,\n", nil, nil},
	} {
		src := string(file(t, "../testdata/demo/client.yaml"))
		for i := 0; i < len(x.edit); i += 2 {
			src = strings.Replace(src, x.edit[i], x.edit[i+1], 1)
		}
		cl := c.Reader.Bytes("client.yaml", []byte(src)).Client
		if cl == nil {
			t.Fatalf("%s: the record is not read", x.why)
		}
		got, _ := closedBy(t, c, cl, x.name, x.src, now)
		slices.Sort(got)
		if !slices.Equal(got, x.want) {
			t.Errorf("%s: closed by %v, want %v", x.why, got, x.want)
		}
	}
}

// The names under which servers send everyday values are no symptoms: no false alarm that somebody has to learn to ignore.
func TestEverydayValuesCloseNothing(t *testing.T) {
	c := engine(t)
	cl := demo(t, c, "slow-breathing-even").Client
	for _, name := range []string{"Body weight", "Body height", "Body temperature", "Number of steps in unspecified time Pedometer", "Oxygen saturation in Arterial blood by Pulse oximetry",
		"Respiratory rate", "Glucose [Mass/volume] in Blood", "Sleep duration", "Body mass index (BMI) [Ratio]", "R-R interval.standard deviation (Heart rate variability)", "Tobacco smoking status", "Pain severity - 0-10 verbal numeric rating",
		"Exercise duration", "Calories burned", "Waist Circumference at umbilicus by Tape measure", "Chest circumference", "Fall risk total", "Family history of stroke", "Hemoglobin A1c/Hemoglobin.total in Blood"} {
		for _, value := range []string{`"valueQuantity": {"value": 62, "unit": "units"}`, `"valueQuantity": {"value": 205, "unit": "units"}`, `"valueQuantity": {"value": 7, "unit": "{score}"}`} {
			src := `{"resourceType": "Bundle", "entry": [{"resource": {"resourceType": "Observation", "status": "final", "effectiveDateTime": "2027-01-02T07:30:00Z", "code": {"text": "` + name + `"}, ` + value + `}}]}`
			got, told := closedBy(t, c, cl, "log.json", src, now)
			if len(got) > 0 || told {
				t.Errorf("%s %s: closed by %v, told %v", name, value, got, told)
			}
		}
	}
}
