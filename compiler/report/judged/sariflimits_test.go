//go:build full

package judged

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"isocue.example/compiler/finding"
)

// More findings than a run may hold go into more runs, each told apart; more than a file may hold is an error.
func TestSARIFLimits(t *testing.T) {
	var fs []finding.Finding
	for i := range maxResults + 1 {
		fs = append(fs, finding.Finding{Rule: "grip-load-ceiling", Verdict: finding.Unsafe, Pos: finding.Pos{File: fmt.Sprintf("%05d.cue", i), Line: 1, Column: 1}})
	}
	var log sarifLog
	if err := json.Unmarshal(write(t, judged(t, fs...), "sarif"), &log); err != nil {
		t.Fatal(err)
	}
	if len(log.Runs) != 2 || len(log.Runs[0].Results) != maxResults || len(log.Runs[1].Results) != 1 || log.Runs[0].Automation.ID == log.Runs[1].Automation.ID {
		t.Errorf("%d runs", len(log.Runs))
	}
	if n := len(log.Runs[1].Artifacts); n != 1 {
		t.Errorf("the second run names %d files, want its own", n)
	}
	j := judged(t)
	j.Findings = slices.Repeat(fs[:1], maxRuns*maxResults+1)
	if err := Formats.Write(&bytes.Buffer{}, "sarif", j); err == nil {
		t.Error("more than a file may hold was written")
	}
}
