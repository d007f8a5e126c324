package schedule

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// confirmed is the sessions of a plan as a plan before would hold them.
func confirmed(ss []record.Session) []record.Session {
	out := append([]record.Session{}, ss...)
	for i := range out {
		out[i].Status = record.Confirmed
	}
	return out
}

// begun parts the sessions of a plan before at now.
func (in *Input) begun(now unit.Local) {
	in.Now = now
	all := append(slices.Clone(in.Past), in.Held...)
	in.Past, in.Held = nil, nil
	for _, s := range all {
		if s.Start < now {
			in.Past = append(in.Past, s)
		} else {
			in.Held = append(in.Held, s)
		}
	}
}

// Source: the definition in the package comment, lines 1 and 2, and what it says of the past.
func TestHeld(t *testing.T) {
	base := Input{Start: monday, Sitting: timings(), Hours: []record.Hours{hours(daily, "07:00", "08:00")}, Courses: []Course{grip(4, 3), breath(4, 7, 1)}}
	first, _, _ := Place(base)

	again := base
	again.Held = confirmed(first)
	if got, _, _ := Place(again); !reflect.DeepEqual(got, first) {
		t.Errorf("the same input moves something:\n%s\n%s", show(first), show(got))
	}

	again.begun(unit.At(monday+8, 12*60)) // Tuesday noon of week 2
	got, un, _ := Place(again)
	var want []record.Session
	for _, s := range first {
		if s.Start >= again.Now {
			want = append(want, s)
		}
	}
	if len(un) > 0 || !reflect.DeepEqual(got, want) {
		t.Errorf("the past is placed again, or the future moves: %v\n%s\n%s", un, show(want), show(got))
	}

	again.Away = []record.Span{{From: monday + 14, To: monday + 16}} // three days of week 3
	got, _, _ = Place(again)
	was := map[string]unit.Local{}
	for _, s := range first {
		was[s.Protocol+string(rune(s.Week))+string(rune(s.Slot))] = s.Start
	}
	moved := 0
	for _, s := range got {
		if s.Start != was[s.Protocol+string(rune(s.Week))+string(rune(s.Slot))] {
			moved++
			if s.Week != 3 {
				t.Errorf("%s of week %d moved, only week 3 had to", s.Protocol, s.Week)
			}
		}
		if again.Away[0].Has(s.Start.Date()) {
			t.Errorf("%s lies on a day away", s.Start)
		}
	}
	if moved == 0 {
		t.Error("nothing moved")
	}

	missed := base // a plan before that had lost a session of week 1 makes up for nothing
	missed.Held = confirmed(first)[2:]
	missed.begun(unit.At(monday+7, 0))
	if got, un, _ := Place(missed); len(un) != 0 || len(got) == 0 || got[0].Week != 2 {
		t.Errorf("a missed session came back: %v %s", un, show(got[:2]))
	}
}

// Source: docs/architecture.md, sitting; the wait before a reading is that of schema/base/sitting.cue.
func TestReadingsWait(t *testing.T) {
	in := Input{Start: monday, Sitting: timings(), Courses: []Course{grip(1, 3), breath(1, 3, 1)},
		Hours: []record.Hours{hours("mon wed fri", "07:00", "07:30"), hours("mon wed fri", "07:30", "09:00")}}
	in.Sitting.ReadingWaitMinutes = 30
	got, _, _ := Place(in)
	for i := 1; i < len(got); i++ {
		a, b := got[i-1], got[i]
		end := a.Start + unit.Local((a.Seconds+59)/60)
		if a.Start.Date() == b.Start.Date() && b.Gate && b.Start+unit.Local(in.Sitting.SitSeconds/60)-end < 30 {
			t.Errorf("the reading at %s comes %d min after a sitting", b.Start, b.Start-end)
		}
	}
	if len(got) != 6 {
		t.Errorf("%d sessions, want 6: %s", len(got), show(got))
	}
}

// Source: arithmetic; Monday, Wednesday and Thursday with 48 h between leave two, Monday, Wednesday and Friday three.
func TestMovedHoursPlaceAll(t *testing.T) {
	c := course("squat", record.WallSquat, 1, 3, 1, 0)
	c.Floor = 48 * 60
	_, un, _ := Place(Input{Start: monday, Sitting: timings(), Hours: []record.Hours{hours("mon wed thu", "07:00", "08:00")}, Courses: []Course{c}})
	if len(un) != 1 || !strings.HasSuffix(un[0].Fix, "move the hours of Thu 2027-02-04 to Fri 2027-02-05: that places all") {
		t.Errorf("%+v", un)
	}
}
