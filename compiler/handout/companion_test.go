package handout

import (
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Walks and sets that grow from week to week take a line for some weeks, and how an exercise is done is said once; there is no
// drawing of them, as nobody works by its clock.
func TestSheetSaysCompanionsInShort(t *testing.T) {
	in := sample(t)
	p := in.Plan
	kind := func(name string, k record.Kind, steps ...record.Step) {
		k.Steps, k.Loads, k.WorkSeconds = steps, nil, 0
		for _, s := range steps {
			k.WorkSeconds += s.Seconds
		}
		p.Kinds[name] = k
	}
	effort := unit.Int(4)
	set := func(name string, n int) record.Step {
		return record.Step{Kind: record.Exercise, Name: name, Count: n, Seconds: 400, Target: &effort, Unit: "effort"}
	}
	rest := record.Step{Kind: record.Rest, Seconds: 900}
	a := p.Kinds["a"]
	a.Title, a.Modality = "Strength", record.Strength
	kind("a", a, set("bridge", 8), rest, set("heel-raise", 8))
	kind("more", a, set("bridge", 10), rest, set("heel-raise", 10))
	s := p.Sessions[0]
	s.UID, s.Kind, s.Week, s.Start = s.UID+"-more", "more", s.Week+1, s.Start+7*24*60
	p.Sessions = append(p.Sessions, s)
	got := sheetOf(t, in)
	for what, n := range map[string]int{"Lie on your back": 1, "Hold on to the back of a chair": 1, "Each exercise: 8 repetitions; relax 1 minute 30 seconds after each set.": 1,
		"Each exercise: 10 repetitions; relax 1 minute 30 seconds after each set.": 1, "an effort of about 4 out of 10": 1, "Strength, ": 0} {
		if c := strings.Count(got, what); c != n {
			t.Errorf("the sheet says %q %d times, want %d", what, c, n)
		}
	}
}
