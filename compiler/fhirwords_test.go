package compiler

import (
	"slices"
	"strings"
	"testing"
)

// A Bundle's words are read as a CSV's are, in whatever element they stand. Source: the elements of FHIR R4 that hold text.
func TestABundlesWordsAreRead(t *testing.T) {
	const head = `{"resourceType":"Bundle","entry":[{"resource":`
	pressure := func(systolic, more string) string {
		return head + `{"resourceType":"Observation","status":"final","code":{"coding":[{"code":"85354-9"}]},"effectiveDateTime":"2027-01-02T21:00:00-04:00",` + more +
			`"component":[{"code":{"coding":[{"code":"8480-6"}]},"valueQuantity":{"value":` + systolic + `,"code":"mm[Hg]"}},{"code":{"coding":[{"code":"8462-4"}]},"valueQuantity":{"value":79,"code":"mm[Hg]"}},` +
			`{"code":{"text":"symptom"},"valueString":"SYMPTOM"}]}}]}`
	}
	with := func(s, symptom string) string { return strings.ReplaceAll(s, "SYMPTOM", symptom) }
	for _, x := range []struct{ why, src, want string }{
		{"a component", with(pressure("131", ""), "chest pain"), "log-danger-sign"},
		{"a component with words that nobody knows", with(pressure("131", ""), "zzqx"), "log-symptom-unknown"},
		{"a method", with(pressure("131", `"method":{"text":"chest pain"},`), "none"), "log-danger-sign"},
		{"a number in a method", with(pressure("131", `"method":{"text":"192/112"},`), "none"), "log-row-hides"},
		{"a text", with(pressure("131", `"text":{"status":"generated","div":"<div>chest pain</div>"},`), "none"), "log-danger-sign"},
		{"a position in an extension", with(pressure("212", `"extension":[{"url":"http://hl7.org/fhir/StructureDefinition/observation-bodyPosition","valueCodeableConcept":{"text":"standing"}}],`), "none"), "log-gate-systolic"},
		{"a condition", head + `{"resourceType":"Condition","code":{"text":"chest pain"},"recordedDate":"2027-01-02"}}]}`, "log-danger-sign"},
		{"an answered question", head + `{"resourceType":"QuestionnaireResponse","authored":"2027-01-02T20:00:00-04:00","item":[{"linkId":"1","text":"chest pain","answer":[{"valueBoolean":true}]}]}}]}`, "log-danger-sign"},
		{"a symptom in a code's text", head + `{"resourceType":"Observation","status":"final","code":{"text":"symptom"},"valueCodeableConcept":{"text":"syncope"},"effectiveDateTime":"2027-01-02T21:00:00-04:00"}}]}`, "log-danger-sign"},
	} {
		if got := logTells(t, x.src, ""); !slices.Contains(got, x.want) {
			t.Errorf("%s: %v, want %s", x.why, got, x.want)
		}
	}
	for _, x := range []struct{ why, src string }{
		{"a denial", with(pressure("131", `"interpretation":[{"text":"normal"}],`), "none")},
		{"a condition that is over", head + `{"resourceType":"Condition","clinicalStatus":{"coding":[{"code":"resolved"}]},"code":{"text":"chest pain"},"recordedDate":"2027-01-02"}}]}`},
		{"a question answered no", head + `{"resourceType":"QuestionnaireResponse","authored":"2027-01-02T20:00:00-04:00","item":[{"linkId":"1","text":"chest pain","answer":[{"valueBoolean":false}]}]}}]}`},
	} {
		for _, rule := range logTells(t, x.src, "") {
			if engine(t).Check.Base.Rule(rule).Tell.Closes() {
				t.Errorf("%s: %s closes training", x.why, rule)
			}
		}
	}
}
