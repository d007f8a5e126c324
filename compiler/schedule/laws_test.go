package schedule

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// random is a programme drawn from two seeds: up to three protocols, four weeks, overlapping hours, days away, a
// clock change and odd lengths.
func random(a, b uint64) Input {
	r := rand.New(rand.NewPCG(a, b))
	in := Input{Start: monday + unit.Date(r.IntN(7)), Sitting: timings()}
	in.Sitting.StartMinutes = 1 + r.IntN(20)
	for range r.IntN(5) {
		h := record.Hours{From: unit.Clock(r.IntN(1440)), To: unit.Clock(r.IntN(1441))}
		for w := time.Sunday; w <= time.Saturday; w++ {
			if r.IntN(2) == 0 {
				h.Days = append(h.Days, w)
			}
		}
		in.Hours = append(in.Hours, h)
	}
	for range r.IntN(3) {
		d := in.Start + unit.Date(r.IntN(28))
		in.Away = append(in.Away, record.Span{From: d, To: d + unit.Date(r.IntN(5))})
	}
	gap := unit.At(in.Start+unit.Date(r.IntN(20)), unit.Clock(r.IntN(1380)))
	in.Clean = func(l unit.Local) bool { return l < gap || l >= gap+60 }
	for i := range 1 + r.IntN(3) {
		m := []record.Modality{record.Handgrip, record.WallSquat, record.SlowBreathing}[r.IntN(3)]
		c := course(string(rune('a'+i)), m, 1+r.IntN(4), 0, 1+r.IntN(3), 0)
		c.Floor, c.Preferred = 60*r.IntN(3)*r.IntN(30), 60*r.IntN(60)
		if r.IntN(3) == 0 {
			c.Last, c.LastWhy = in.Start+unit.Date(r.IntN(30)-1), "the clearance ends"
		}
		for w := range c.Weeks {
			c.Weeks[w].Days, c.Weeks[w].Work = r.IntN(8), unit.Tenths(1+r.IntN(20000))
		}
		in.Courses = append(in.Courses, c)
	}
	return in
}

// laws holds for every input; source: the package comment.
func laws(t *testing.T, in Input) {
	t.Helper()
	got, un, err := Place(in)
	if err != nil {
		if got != nil || un != nil {
			t.Errorf("a search that was given up placed something: %v", got)
		}
		return
	}
	if again, un2, _ := Place(in); !reflect.DeepEqual(got, again) || !reflect.DeepEqual(un, un2) {
		t.Fatal("two runs differ")
	}
	after := in
	after.Held = confirmed(got)
	if again, un2, _ := Place(after); !reflect.DeepEqual(got, again) || !reflect.DeepEqual(un, un2) {
		t.Fatalf("a plan after its own plan differs: %s\n%v\n%v\n%s\n%s", firstDiff(got, again), un, un2, show(got), show(again))
	}
	if len(got) > 0 { // half of it is past: that half is not placed again, the other half stays
		after.begun(got[len(got)/2].Start)
		again, _, _ := Place(after)
		for _, s := range again {
			if s.Start < after.Now {
				t.Fatalf("%s is past and placed again", s.Start)
			}
		}
	}
	for i := range in.Courses {
		c := &in.Courses[i]
		var prev *record.Session
		for w, wk := range c.Weeks {
			days, slots := map[unit.Date]int{}, 0
			for k := range got {
				s := &got[k]
				if s.Protocol != c.Protocol || s.Week != w+1 {
					continue
				}
				slots++
				day := s.Start.Date()
				if c.over(day) {
					t.Fatalf("%s lies behind the last day %s", s.Start, c.Last)
				}
				days[day]++
				if s.Slot != slots || s.Kind != wk.Kind {
					t.Fatalf("%s: slot %d, kind %s; want %d, %s", s.Start, s.Slot, s.Kind, slots, wk.Kind)
				}
				if day < in.Start+unit.Date(w*7) || day >= in.Start+unit.Date(w*7+7) {
					t.Fatalf("%s lies outside week %d", s.Start, w+1)
				}
				if prev != nil && s.Start-prev.Start < unit.Local(c.Floor) {
					t.Fatalf("%s to %s is under the floor of %d min", prev.Start, s.Start, c.Floor)
				}
				prev = s
				want := whole(wk.Work)
				if s.Gate {
					want += in.Sitting.GateSeconds()
				}
				if s.End {
					want += in.Sitting.EndSeconds
				}
				if s.Seconds != want {
					t.Fatalf("%s lasts %d s, want %d", s.Start, s.Seconds, want)
				}
			}
			lost := 0
			for _, u := range un {
				if u.Protocol == c.Protocol && u.Week == w+1 {
					lost++
					if u.Reason == "" || u.Fix == "" {
						t.Fatalf("%+v lacks a reason or a fix", u)
					}
				}
			}
			if slots+lost != wk.Days*wk.PerDay || len(days) > wk.Days {
				t.Fatalf("week %d of %s: %d placed on %d days, %d listed; want %d on %d", w+1, c.Protocol, slots, len(days), lost, wk.Days*wk.PerDay, wk.Days)
			}
			for d, n := range days {
				if n > wk.PerDay {
					t.Fatalf("%d sessions on %s", n, d)
				}
			}
		}
	}
	sittings(t, in, got)
	endings(t, in, got, un)
}

// endings holds for the protocol that is placed first, because no other one is in its way: an end takes what lies behind it
// and moves nothing else, and every session that it takes is listed with its reason.
func endings(t *testing.T, in Input, got []record.Session, un []record.Unplaced) {
	t.Helper()
	first := 0
	for i := range in.Courses {
		if in.Courses[i].Modality.Hold() {
			first = i
			break
		}
	}
	c := in.Courses[first]
	if c.Last == 0 {
		return
	}
	open := in
	open.Courses = []Course{c}
	open.Courses[0].Last = 0
	all, _, _ := Place(open)
	before, lost, listed := 0, 0, 0
	var starts []unit.Local
	for _, s := range got {
		if s.Protocol == c.Protocol {
			starts = append(starts, s.Start)
		}
	}
	for _, s := range all {
		if s.Start.Date() > c.Last {
			lost++
		} else if before++; before > len(starts) || starts[before-1] != s.Start {
			t.Fatalf("the end on %s moved %s", c.Last, s.Start)
		}
	}
	for _, u := range un {
		if u.Protocol == c.Protocol && u.Reason == c.LastWhy {
			listed++
		}
	}
	if before != len(starts) || listed < lost {
		t.Fatalf("%d before the end and %d placed, %d after it and %d listed", before, len(starts), lost, listed)
	}
}

// sittings checks what lies between one head and the next: order, one gate, one end, hours, days away, clean times.
func sittings(t *testing.T, in Input, got []record.Session) {
	t.Helper()
	hold := map[string]bool{}
	for _, c := range in.Courses {
		hold[c.Protocol] = c.Modality.Hold()
	}
	for i := 0; i < len(got); {
		j := i
		for {
			s := got[j]
			if j > i {
				gap := int64(s.Start-got[j-1].Start)*60 - int64(got[j-1].Seconds)
				if gap < 0 || gap > 59 || s.Gate || hold[s.Protocol] && !hold[got[j-1].Protocol] {
					t.Fatalf("%+v does not stand behind %+v", s, got[j-1])
				}
			}
			if !in.Clean(s.Start) {
				t.Fatalf("%s is no clean time", s.Start)
			}
			j++
			if s.End {
				break
			}
			if j == len(got) {
				t.Fatal("the last sitting has no end")
			}
		}
		head, tail := got[i], got[j-1]
		if !head.Gate {
			t.Fatalf("%s: a sitting without a gate", head.Start)
		}
		end := int64(tail.Start)*60 + int64(tail.Seconds)
		if j < len(got) && int64(got[j].Start)*60 < end {
			t.Fatalf("%s begins before the sitting of %s ends", got[j].Start, head.Start)
		}
		if int(head.Start.Clock())%in.Sitting.StartMinutes != 0 {
			t.Fatalf("%s is off the grid", head.Start)
		}
		// Overlapping spans are one stretch, so every minute must lie in some span of that day.
		day := head.Start.Date()
		for m := int64(head.Start); m*60 < end; m++ {
			ok := false
			for _, h := range in.Hours {
				c := unit.Clock(m - int64(day)*1440)
				ok = ok || h.On(day.Weekday()) && h.From <= c && c < h.To
			}
			if !ok {
				t.Fatalf("%s: minute %s lies outside the hours", head.Start, unit.Local(m))
			}
		}
		for _, a := range in.Away {
			if a.Has(day) {
				t.Fatalf("%s is a day away", day)
			}
		}
		i = j
	}
}

func TestLaws(t *testing.T) {
	for i := range uint64(2000) {
		laws(t, random(i, 7))
	}
}

func FuzzLaws(f *testing.F) {
	f.Add(uint64(1), uint64(2))
	f.Fuzz(func(t *testing.T, a, b uint64) { laws(t, random(a, b)) })
}

func firstDiff(a, b []record.Session) string {
	for i := range a {
		if i >= len(b) || a[i] != b[i] {
			return fmt.Sprintf("%+v\n%+v", a[i], b[i])
		}
	}
	return ""
}
