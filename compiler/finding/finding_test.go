package finding

import (
	"math/rand/v2"
	"testing"
)

// Law: whatever the order of birth, the order of print is one, and exact repeats go.
func TestSort(t *testing.T) {
	at := func(file string, line, col int) Pos { return Pos{file, line, col} }
	want := []Finding{
		{Rule: "z", Verdict: Caution, Pos: at("a", 1, 1)},
		{Rule: "z", Verdict: Unsafe, Pos: at("a", 1, 2)},
		{Rule: "a", Verdict: Caution, Pos: at("a", 1, 2)},
		{Rule: "b", Verdict: Caution, Pos: at("a", 1, 2), Path: "x"},
		{Rule: "b", Verdict: Caution, Pos: at("a", 1, 2), Path: "x", Message: "m"},
		{Rule: "a", Verdict: Malformed, Pos: at("a", 2, 1)},
		{Rule: "a", Verdict: Malformed, Pos: at("b", 1, 1)},
	}
	for seed := range uint64(50) {
		fs := append(append([]Finding(nil), want...), want[:3]...)
		rand.New(rand.NewPCG(seed, 1)).Shuffle(len(fs), func(i, j int) { fs[i], fs[j] = fs[j], fs[i] })
		got := Sort(fs)
		if len(got) != len(want) {
			t.Fatalf("%d findings, want %d", len(got), len(want))
		}
		for i := range want {
			if got[i].Rule != want[i].Rule || got[i].Pos != want[i].Pos || got[i].Message != want[i].Message || got[i].Verdict != want[i].Verdict {
				t.Fatalf("seed %d: place %d holds %+v, want %+v", seed, i, got[i], want[i])
			}
		}
	}
}

// What refuses. Source: docs/words.md, verdict and waiver.
func TestRejects(t *testing.T) {
	for _, c := range []struct {
		v      Verdict
		waiver string
		want   bool
	}{{Malformed, "", true}, {Unsafe, "", true}, {OutOfEvidence, "", true}, {Caution, "", false}, {OutOfEvidence, "B. Reviewer", false}} {
		f := Finding{Verdict: c.v, Waiver: Waiver{By: c.waiver}}
		if f.Rejects() != c.want || Rejected([]Finding{{Verdict: Caution}, f}) != c.want {
			t.Errorf("%s, waived by %q: not %v", c.v, c.waiver, c.want)
		}
	}
	if Rejected(nil) {
		t.Error("no finding refuses")
	}
}

func TestTally(t *testing.T) {
	got := Tally([]Finding{{Verdict: Malformed}, {Verdict: Unsafe}, {Verdict: Unsafe}, {Verdict: OutOfEvidence}, {Verdict: OutOfEvidence, Waiver: Waiver{By: "x"}}, {Verdict: Caution}})
	if want := (Count{1, 2, 1, 1, 1}); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
}

func TestPos(t *testing.T) {
	for p, want := range map[Pos]string{{"a.cue", 2, 8}: "a.cue:2:8", {"a.cue", 0, 0}: "a.cue", {}: ""} {
		if p.String() != want {
			t.Errorf("%q, want %q", p.String(), want)
		}
	}
	if (Pos{File: "a"}).IsValid() || !(Pos{Line: 1}).IsValid() {
		t.Error("a place is a line")
	}
	if r := Verdicts[0].Rank(); r != 0 || Caution.Rank() != 3 {
		t.Error("ranks")
	}
}
