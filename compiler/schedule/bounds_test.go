package schedule

import (
	"errors"
	"testing"
	"time"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// cut is hours of every day, cut into n stretches of a quarter of an hour.
func cut(n int) (out []record.Hours) {
	for i := range n {
		from := unit.Clock(5*60 + 15*i)
		out = append(out, record.Hours{Days: []time.Weekday{0, 1, 2, 3, 4, 5, 6}, From: from, To: from + 15})
	}
	return out
}

// Hours cut into slivers are given up at a number of candidates, the same on every machine. Source: package bound.
func TestSearchIsBounded(t *testing.T) {
	in := Input{Start: monday, Sitting: timings(), Hours: cut(75)}
	c := course("walk", record.Walking, 104, 7, 6, 60)
	in.Courses = []Course{c}
	b := newBoard(in)
	b.course(&c)
	if b.tried <= bound.Candidates || b.tried > bound.Candidates+10_000_000 {
		t.Errorf("looked at %d candidates, want the bound of %d and what is counted on the way out", b.tried, bound.Candidates)
	}
	_, _, err := Place(in)
	var over *bound.Over
	if !errors.As(err, &over) || over.Most != bound.Candidates {
		t.Error(err)
	}
}

// Two years of two sessions a day in six stretches a day, more than anybody's, stay far below the bound.
func TestSearchOfTheBusiest(t *testing.T) {
	in := Input{Start: monday, Sitting: timings()}
	for i := range 6 {
		from := unit.Clock(6*60 + 170*i)
		in.Hours = append(in.Hours, record.Hours{Days: []time.Weekday{0, 1, 2, 3, 4, 5, 6}, From: from, To: from + 60})
	}
	c := course("breath", record.SlowBreathing, 104, 7, 2, 600)
	c.Preferred = 20
	in.Courses = []Course{c}
	b := newBoard(in)
	if b.course(&c); b.tried > bound.Candidates/4 {
		t.Errorf("looked at %d candidates, want at most a quarter of %d", b.tried, bound.Candidates)
	}
}
