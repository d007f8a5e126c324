package clinic

import (
	"testing"

	"isocue.example/compiler/ledger"
)

// What a ledger says was let through: a file of which everything that was found at one moment was accepted or waived.
func TestAcceptances(t *testing.T) {
	line := func(at, verdict, rule string) ledger.Line {
		return ledger.Line{Time: at, Digest: "d", Verdict: verdict, Rule: rule, Path: "weeks"}
	}
	for _, row := range []struct {
		why   string
		lines []ledger.Line
		want  int
	}{
		{"accepted", []ledger.Line{line("1", "accepted", "")}, 1},
		{"refused", []ledger.Line{line("1", "unsafe", "a")}, 0},
		{"waived and nothing else", []ledger.Line{line("1", "waived", "a")}, 1},
		{"refused, then waived", []ledger.Line{line("1", "out-of-evidence", "a"), line("2", "waived", "a")}, 1},
		{"two refusals, and then one of them waived and the other gone", []ledger.Line{line("1", "out-of-evidence", "a"), line("1", "unsafe", "b"), line("2", "waived", "a")}, 1},
		{"waived beside a refusal of the same moment", []ledger.Line{line("1", "waived", "a"), line("1", "unsafe", "b")}, 0},
		{"two waived at once", []ledger.Line{line("1", "waived", "a"), line("1", "waived", "b")}, 2},
		{"refused under one base, accepted under the next", []ledger.Line{line("1", "unsafe", "a"), line("2", "accepted", "")}, 1},
	} {
		if got := len(acceptances(row.lines)); got != row.want {
			t.Errorf("%s: %d, want %d", row.why, got, row.want)
		}
	}
}
