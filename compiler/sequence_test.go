package compiler

import (
	"os"
	"slices"
	"strings"
	"testing"
)

// stagesOf names the stages that a driver goes through, each run of one name once.
func stagesOf(d driver) (out []string) {
	for _, s := range sequence {
		if s.of&d != 0 {
			out = append(out, s.name)
		}
	}
	return slices.Compact(out)
}

// The order of work in docs/architecture.md is that of the program; reading comes before it, and emitting after it is the caller's.
func TestTheSequenceIsTheDocumentedOne(t *testing.T) {
	b, err := os.ReadFile("../docs/architecture.md")
	if err != nil {
		t.Fatal(err)
	}
	_, block, _ := strings.Cut(string(b), "## The sequence\n\n```\n")
	block, _, found := strings.Cut(block, "```")
	if !found {
		t.Fatal("docs/architecture.md has no block below its heading of the sequence")
	}
	var want []string
	for line := range strings.Lines(block) {
		want = append(want, strings.Fields(line)[0])
	}
	if got := slices.Concat([]string{"load"}, stagesOf(compiling), []string{"emit"}); !slices.Equal(got, want) {
		t.Errorf("compiling goes through %v, documented: %v", got, want)
	}
}

// The other drivers leave stages out, and never change the order of those that they take.
func TestDriversTakeStagesOfTheSequence(t *testing.T) {
	for d, want := range map[driver]string{
		linting: "check", rehearsing: "bounds check schedule dose check", recalling: "check", following: "log check log",
	} {
		if got := strings.Join(stagesOf(d), " "); got != want {
			t.Errorf("driver %d goes through %q, want %q", d, got, want)
		}
	}
}
