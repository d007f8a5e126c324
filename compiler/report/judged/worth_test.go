package judged

import (
	"bytes"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
)

// That no rule refused something is never said beside a hold. Source: docs/architecture.md, a plan after a plan.
func TestNothingRefusedIsNotSaidBesideAHold(t *testing.T) {
	held := finding.Finding{Rule: "diary-closes", Verdict: finding.Unsafe, Pos: finding.Pos{File: "a.diary.yaml", Line: 1, Column: 1}, Message: "ill", Remedy: "wait", Rationale: "ill", Held: "grip", Private: true}
	plain := held
	plain.Held, plain.Verdict = "", finding.Caution
	for _, x := range []struct {
		fs   []finding.Finding
		held bool
	}{{[]finding.Finding{held, plain}, true}, {[]finding.Finding{plain}, false}} {
		if s := Summary(1, x.fs, "no clinic policy"); strings.Contains(s, NotClearance) == x.held || strings.Contains(s, OnHold) != x.held {
			t.Error(s)
		}
		for _, format := range []string{"json"} {
			var b bytes.Buffer
			if err := Formats.Write(&b, format, Judgement{Findings: x.fs, Source: func(string) []byte { return nil }}); err != nil {
				t.Fatal(err)
			}
			if x.held && strings.Contains(b.String(), NotClearance) {
				t.Errorf("%s says beside a hold that no rule refused this", format)
			}
		}
	}
}
