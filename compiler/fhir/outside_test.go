//go:build full

package fhir_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"isocue.example/compiler/fhir"
)

// The Bundles of the demo client and of a follow-up have no error by a validator that others wrote, and broken ones have.
func TestByAnother(t *testing.T) {
	dir := os.Getenv("ISOCUE_FHIR")
	if dir == "" {
		t.Fatal("ISOCUE_FHIR names no folder; .ci/fhir/install makes one")
	}
	c, out := engine(t), t.TempDir()
	plan := written(t, func(b *bytes.Buffer) error { return fhir.Plan(b, demo(t, c)) })
	newer := demo(t, c)
	newer.Sheet = 2 // with requests that are revoked, and have no dates
	second := written(t, func(b *bytes.Buffer) error { return fhir.Plan(b, newer) })
	readings := written(t, func(b *bytes.Buffer) error { return fhir.Follow(b, tomas(t, c)) })
	swap := func(doc []byte, old, new string) []byte {
		if !bytes.Contains(doc, []byte(old)) {
			t.Fatalf("%q does not stand in the document", old)
		}
		return bytes.Replace(doc, []byte(old), []byte(new), 1)
	}
	for _, x := range []struct {
		name string
		doc  []byte
		want string
	}{
		{"plan", plan, ": 0 errors"},
		{"second-plan", second, ": 0 errors"},
		{"readings", readings, ": 0 errors"},
		{"plan-without-intent", swap(plan, `        "intent": "plan",`+"\n", ""), "CarePlan.intent: Missing property"},
		{"reading-finished", swap(readings, `"status": "final"`, `"status": "finished"`), `Observation.status: Code "finished" not found in value set`},
		{"request-with-a-colour", swap(plan, `"resourceType": "ServiceRequest"`, `"colour": "red", "resourceType": "ServiceRequest"`), "ServiceRequest.colour: Unexpected property"},
	} {
		name := filepath.Join(out, x.name+".json")
		if err := os.WriteFile(name, x.doc, 0o600); err != nil {
			t.Fatal(err)
		}
		b, err := exec.Command("node", filepath.Join(dir, "check.mjs"), name).CombinedOutput()
		if !strings.Contains(string(b), x.want) || (err == nil) != strings.Contains(x.want, ": 0 ") {
			t.Errorf("%s: %v\n%s", x.name, err, b)
		}
	}
}
