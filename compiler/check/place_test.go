package check

import (
	"testing"

	"isocue.example/compiler/finding"
)

// A mistake that several stages share is told once, and whatever any of those findings stands in for is kept behind it: a waiver
// uncovers it.
func TestOnePerPlace(t *testing.T) {
	at := func(rule, found string, covers ...finding.Finding) finding.Finding {
		return finding.Finding{Rule: rule, Path: "rounds", Found: found, Covers: covers}
	}
	fs := onePerPlace([]finding.Finding{at("ceiling", "21", at("first", "7")), at("ceiling", "16"), at("ceiling", "21", at("first", "7"), at("second", "9"))})
	if len(fs) != 2 || fs[0].Found != "21" || fs[1].Found != "16" {
		t.Fatalf("%v", fs)
	}
	if c := fs[0].Covers; len(c) != 2 || c[0].Rule != "first" || c[1].Rule != "second" {
		t.Errorf("behind it stand %v", c)
	}
}
