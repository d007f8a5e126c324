package schedule

import (
	"math/rand/v2"
	"testing"
	"time"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// brute says, by trying every set of days and every grid time of every stretch, how many sessions one protocol of one
// session a day can have in one week, and with how few short gaps: lines 1 and 4 of the package's list, written
// down a second time in the plainest way. The lines between them cannot differ for one session a day and one protocol.
func brute(in Input) (placed, short int) {
	c := &in.Courses[0]
	need := (in.Sitting.GateSeconds()+in.Sitting.EndSeconds)/60 + int(c.Weeks[0].Work)/600
	placed, short = -1, 0
	var try func(day, n, s int, prev unit.Local)
	try = func(day, n, s int, prev unit.Local) {
		if day == 7 {
			if n > placed || n == placed && s < short {
				placed, short = n, s
			}
			return
		}
		try(day+1, n, s, prev)
		d := in.Start + unit.Date(day)
		for _, h := range in.Hours {
			if n == c.Weeks[0].Days || !h.On(d.Weekday()) || in.Away != nil && in.Away[0].Has(d) {
				continue
			}
			for t := int(h.From); t+need <= int(h.To); t++ {
				at := unit.At(d, unit.Clock(t))
				if t%in.Sitting.StartMinutes != 0 || n > 0 && at-prev < unit.Local(c.Floor) {
					continue
				}
				s2 := s
				if n > 0 && at-prev < unit.Local(c.Preferred) {
					s2++
				}
				try(day+1, n+1, s2, at)
			}
		}
	}
	try(0, 0, 0, 0)
	return placed, short
}

// Source: the definition in the package comment. Small weeks, so that trying everything ends.
func TestAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for i := range 3000 {
		in := Input{Start: monday + unit.Date(r.IntN(7)), Sitting: timings()}
		in.Sitting.StartMinutes = 30
		for range 1 + r.IntN(4) {
			from := unit.Clock(r.IntN(40) * 30)
			h := record.Hours{From: from, To: min(from+unit.Clock(30+r.IntN(3)*30), 1440)}
			for w := time.Sunday; w <= time.Saturday; w++ {
				if r.IntN(3) == 0 {
					h.Days = append(h.Days, w)
				}
			}
			in.Hours = append(in.Hours, h)
		}
		if overlap(in.Hours) {
			continue
		}
		if r.IntN(3) == 0 {
			d := in.Start + unit.Date(r.IntN(7))
			in.Away = []record.Span{{From: d, To: d + unit.Date(r.IntN(3))}}
		}
		c := grip(1, 1+r.IntN(5))
		c.Floor, c.Preferred = r.IntN(4)*18*60, r.IntN(4)*20*60
		in.Courses = []Course{c}
		got, un, _ := Place(in)
		placed, short := brute(in)
		n := 0
		for k := 1; k < len(got); k++ {
			if got[k].Start-got[k-1].Start < unit.Local(c.Preferred) {
				n++
			}
		}
		if len(got) != placed || n != short || len(got)+len(un) != c.Weeks[0].Days {
			t.Fatalf("case %d: %d placed, %d short gaps, %d unplaced; by brute force %d and %d\n%+v\n%s", i, len(got), n, len(un), placed, short, in, show(got))
		}
	}
}

func overlap(hs []record.Hours) bool {
	for i, a := range hs {
		for _, b := range hs[:i] {
			if a.From < b.To && b.From < a.To {
				return true
			}
		}
	}
	return false
}
