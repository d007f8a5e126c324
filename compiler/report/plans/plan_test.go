package plans

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"isocue.example/compiler/record"
)

// No view of a plan prints without cautions.
func TestPlanNeedsCautions(t *testing.T) {
	for _, cs := range [][]record.Caution{nil, {}, {{ID: "a", Text: " "}}, {{ID: "a", Text: "x"}, {ID: "b"}}} {
		p := &record.Plan{Cautions: cs}
		for _, form := range Forms.Names() {
			if Forms.Write(io.Discard, form, p) == nil {
				t.Errorf("%s: %v was enough", form, cs)
			}
		}
	}
	p := &record.Plan{Cautions: []record.Caution{{ID: "a", Text: "Take care."}}}
	for _, form := range Forms.Names() {
		var b bytes.Buffer
		if err := Forms.Write(&b, form, p); err != nil || !strings.Contains(b.String(), "Take care.") {
			t.Errorf("%s: %v %s", form, err, b.String())
		}
	}
}
