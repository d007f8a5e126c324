package judged

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"isocue.example/compiler/finding"
)

// Workflow commands, byte for byte. Source: GitHub Docs, "Workflow commands for GitHub Actions"; the escapes are those of
// actions/runner, src/Runner.Common/ActionCommand.cs.
func TestGitHub(t *testing.T) {
	f := finding.Finding{Rule: "grip-load-ceiling", Verdict: finding.Unsafe, Pos: finding.Pos{File: "a,b:c%.cue", Line: 2, Column: 3}, Message: "load is 90%\n::error::x", Remedy: "write 0.30", Rationale: "Why.", Sources: []string{"s-1"}}
	mild := f
	mild.Verdict, mild.Message = finding.Caution, "mild"
	waived := f
	waived.Verdict, waived.Message, waived.Waiver = finding.OutOfEvidence, "old", finding.Waiver{By: "B. Reviewer", Until: "2027-07-01", Reason: "agreed"}
	j := judged(t, f, mild, waived)
	j.Files, j.Summary = []string{"a,b:c%.cue"}, []string{"1 file judged; policy ##[error]\n::error::p.cue"}
	j.Source = func(string) []byte { return []byte("x\n  load\n") }
	want := "::error file=a%2Cb%3Ac%25.cue,line=2,col=3,title=grip-load-ceiling (unsafe)::load is 90%25 ::error::x%0Afix: write 0.30%0Awhy: Why. (s-1)\n" +
		"::warning file=a%2Cb%3Ac%25.cue,line=2,col=3,title=grip-load-ceiling (caution)::mild%0Afix: write 0.30%0Awhy: Why. (s-1)\n" +
		"::notice file=a%2Cb%3Ac%25.cue,line=2,col=3,title=grip-load-ceiling (out-of-evidence)::old%0Afix: write 0.30%0Awhy: Why. (s-1)%0Awaived by B. Reviewer until 2027-07-01\n" +
		"1 file judged; policy ## [error] ::error::p.cue\n"
	if d := cmp.Diff(want, string(write(t, j, "github"))); d != "" {
		t.Error(d)
	}
	j.Strict = true
	j.Findings = j.Findings[1:2]
	if got := string(write(t, j, "github")); got[:8] != "::error " {
		t.Errorf("a caution that refuses is told as %q", got)
	}
}
