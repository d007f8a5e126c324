package record

import (
	"fmt"
	"testing"
	"time"

	"isocue.example/compiler/unit"
)

func TestOrder(t *testing.T) {
	for _, c := range []struct {
		why, source string
		s           Stage
		want        string
		left, right int
	}{
		{"alternating, dominant hand first", "common practice", Stage{Rounds: 4, Hands: Alternate}, "[right left right left]", 2, 2},
		{"an odd count favours the first", "common practice", Stage{Rounds: 3, Hands: Alternate, StartHand: Left}, "[left right left]", 2, 1},
		{"together counts once each a round", "common practice", Stage{Rounds: 2, Hands: Together}, "[both both]", 2, 2},
		{"the other hand", "common practice", Stage{Rounds: 2, Hands: NonDominant}, "[left left]", 2, 0},
	} {
		n := c.s.Squeezes(Right)
		if got := fmt.Sprint(c.s.Order(Right)); got != c.want || n[Left] != c.left || n[Right] != c.right || c.source == "" {
			t.Errorf("%s (%q): %s, %v", c.why, c.source, got, n)
		}
	}
}

func TestStageAt(t *testing.T) {
	p := Protocol{Stages: []Stage{{Index: 0, FromWeek: 1, Weeks: 2}, {Index: 1, FromWeek: 3, Weeks: 6}}}
	for _, c := range []struct {
		why, source string
		week, want  int
	}{
		{"first week", "worked story of Odile", 1, 0}, {"last ramp week", "worked story of Odile", 2, 0},
		{"first main week", "worked story of Odile", 3, 1}, {"past the course", "design, section 2", 20, 1},
	} {
		if got := p.StageAt(c.week).Index; got != c.want || c.source == "" {
			t.Errorf("%s (%q): stage %d, want %d", c.why, c.source, got, c.want)
		}
	}
}

func TestScore(t *testing.T) {
	x := GripTest{Trials: []unit.Dec{unit.MustDec("10.6"), unit.MustDec("11.2"), unit.MustDec("10.9")}}
	if got := x.Score().String(); got != "11.2" {
		t.Errorf("best is %s, want 11.2 (worked story of Odile)", got)
	}
	x.Mean = true
	if got := x.Score().String(); got != "10.9" {
		t.Errorf("mean is %s, want 10.9", got)
	}
	if got := (GripTest{Mean: true}).Score(); got.Sign() != 0 {
		t.Errorf("no trials score %s", got)
	}
}

func TestHoursAndSpans(t *testing.T) {
	h := Hours{Days: []time.Weekday{time.Monday}}
	if !h.On(time.Monday) || h.On(time.Sunday) {
		t.Error("hours stand on the wrong days")
	}
	s := Span{From: 10, To: 12}
	if s.Has(9) || !s.Has(10) || !s.Has(12) || s.Has(13) {
		t.Error("both ends of a span belong to it")
	}
}
