package course

import (
	"fmt"
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

var monday, _ = unit.ParseDate("2027-01-04")

// table is that of schema/base/gaps.cue for the modalities that are tested here.
var table = Table{
	{Modality: record.Handgrip, From: 7, Step: Same, Without: Half, WithoutWeeks: 1},
	{Modality: record.Handgrip, From: 14, Measure: true, Step: Same, Own: true, Without: Half, WithoutWeeks: 1},
	{Modality: record.Handgrip, From: 28, FeverFrom: 14, Measure: true, Step: First, Own: true, Without: Half, WithoutWeeks: 1},
	{Modality: record.Inspiratory, From: 7, Step: Back, Without: Lower, WithoutWeeks: 1},
	{Modality: record.Inspiratory, From: 14, Measure: true, Step: First, Own: true, Without: Lower, WithoutWeeks: 2},
	{Modality: record.WallSquat, From: 7, Step: Lower, Without: Lower, WithoutWeeks: 1},
	{Modality: record.Strength, From: 14, Step: Back2, Own: true},
}

// protocol has a ramp of some weeks, by load in percent, and a main course.
func protocol(m record.Modality, main int, ramp ...int) *record.Protocol {
	p := &record.Protocol{ID: "p", Modality: m, Weeks: 8}
	week := 1
	for i, load := range append(ramp, main) {
		s := record.Stage{Index: i, Ramp: i < len(ramp), FromWeek: week, Weeks: 2, Load: unit.Ratio(int64(load), 100), Rounds: 4, DaysPerWeek: 3, PerDay: 1}
		if !s.Ramp {
			s.Weeks = p.Weeks - week + 1
		}
		week += s.Weeks
		p.Stages = append(p.Stages, s)
	}
	return p
}

// client is who trains: days of the week from the start, days closed, and the day of a measurement.
type client struct {
	weekdays []int
	closed   []record.Span
	ill      bool
	measured unit.Date
}

// walk dates a course as a schedule without trouble would: every wanted day that is open, and says loads in percent by day.
func walk(p *record.Protocol, start unit.Date, x client) (out []string) {
	open := func(d unit.Date) bool {
		for _, s := range x.closed {
			if s.Has(d) {
				return false
			}
		}
		return true
	}
	c := New(Input{Protocol: p, Start: start, Table: table, MaxWeeks: 60, Open: open, Level: func(unit.Date) int { return 0 },
		Ill: func(a, b unit.Date) bool { return x.ill },
		Measured: func(d unit.Date) unit.Date {
			if x.measured <= d {
				return x.measured
			}
			return start - 1
		}})
	for w := 0; ; w++ {
		wk, ok := c.Week(w)
		if !ok {
			return out
		}
		var days []unit.Date
		for _, d := range x.weekdays {
			if day := start + unit.Date(7*w+d); open(day) && len(days) < len(wk.Works) {
				days = append(days, day)
			}
		}
		if len(days) > 0 {
			again, changed, wait := c.Reached(days[0])
			if changed {
				wk = again
			}
			if wait != nil {
				return out
			}
		}
		for i, day := range days {
			s := wk.Works[i]
			text := s.Stage.Load.Mul(unit.Int(100)).String()
			if s.Eased {
				text += fmt.Sprintf(" x%d-%d", s.Stage.Rounds, s.Down)
			}
			out = append(out, fmt.Sprintf("%d:%s", int(day-start), text))
		}
		c.Placed(w, days)
	}
}

func loads(all []string) string {
	var out []string
	n := 0
	for i, s := range all {
		_, load, _ := strings.Cut(s, ":")
		n++
		if i+1 == len(all) || !strings.HasSuffix(all[i+1], ":"+load) {
			out = append(out, fmt.Sprintf("%s*%d", load, n))
			n = 0
		}
	}
	return strings.Join(out, " ")
}

// What a course trains after days that were closed. Source: the table of schema/base/gaps.cue; the weeks of a ramp count in sessions.
func TestAfterAGap(t *testing.T) {
	mwf := []int{0, 2, 4}
	days := func(from, to int) []record.Span {
		return []record.Span{{From: monday + unit.Date(from), To: monday + unit.Date(to)}}
	}
	for _, x := range []struct {
		why  string
		p    *record.Protocol
		c    client
		want string
	}{
		{"nothing closed", protocol(record.Handgrip, 30, 20), client{weekdays: mwf}, "20*6 30*18"},
		{"six days between change nothing but the end", protocol(record.Handgrip, 30, 20), client{weekdays: mwf, closed: days(16, 20)}, "20*6 30*18"},
		{"a week: the last step of the ramp for a week, and no session more", protocol(record.Handgrip, 30, 20), client{weekdays: mwf, closed: days(21, 27)}, "20*6 30*3 20*3 30*12"},
		{"a week in the ramp: the step last trained again, never the next", protocol(record.Handgrip, 30, 20, 25), client{weekdays: mwf, closed: days(3, 11)}, "20*9 25*6 30*9"},
		{"a week without a ramp: half the squeezes", protocol(record.Handgrip, 30), client{weekdays: mwf, closed: days(21, 27)}, "30*9 30 x2-0*3 30*12"},
		{"two weeks, measured: the step for its own weeks", protocol(record.Handgrip, 30, 20, 25), client{weekdays: mwf, closed: days(35, 48), measured: monday + 49}, "20*6 25*6 30*3 25*6 30*3"},
		{"two weeks with a fever: the whole ramp", protocol(record.Handgrip, 30, 20, 25), client{weekdays: mwf, closed: days(35, 48), ill: true, measured: monday + 49}, "20*6 25*6 30*3 20*6 25*3"},
		{"two weeks, not measured: nothing more", protocol(record.Handgrip, 30, 20), client{weekdays: mwf, closed: days(21, 34)}, "20*6 30*3"},
		{"breathing against a load: the step before", protocol(record.Inspiratory, 75, 55, 65), client{weekdays: mwf, closed: days(21, 27)}, "55*6 65*3 55*3 65*3 75*9"},
		{"the same without a ramp: a setting lower", protocol(record.Inspiratory, 75), client{weekdays: mwf, closed: days(21, 27)}, "75*9 75 x4-1*3 75*12"},
		{"a squat: a stage straighter, ramp or not", protocol(record.WallSquat, 95, 80), client{weekdays: mwf, closed: days(28, 34)}, "80*6 95*6 95 x4-1*3 95*9"},
		{"exercises: two stages back", protocol(record.Strength, 3, 1, 2), client{weekdays: mwf, closed: days(35, 48)}, "1*6 2*6 3*3 1*6 2*3"},
		{"once a week, thirteen days apart as planned, is no gap", func() *record.Protocol {
			p := protocol(record.Handgrip, 30)
			p.Stages[0].DaysPerWeek = 1
			return p
		}(), client{weekdays: []int{0}}, "30*8"},
		{"every session missed has its place behind", protocol(record.Handgrip, 30, 20), client{weekdays: mwf, closed: days(0, 3)}, "20*6 30*18"},
	} {
		got := walk(x.p, monday, x.c)
		if loads(got) != x.want {
			t.Errorf("%s: %s, want %s", x.why, loads(got), x.want)
		}
	}
}

// The same history shifted by days, with the weekdays of the hours shifted too, trains the same loads on the days shifted: B7, in
// which a start on a Tuesday lost a week of the ramp. Source: the shift law.
func TestShifted(t *testing.T) {
	p := protocol(record.Handgrip, 30, 20, 25)
	for by := range unit.Date(15) {
		x := client{weekdays: []int{0, 2, 4}, closed: []record.Span{{From: monday + 42, To: monday + 55}}, ill: true, measured: monday + 56}
		want := walk(p, monday, x)
		x.closed[0].From, x.closed[0].To, x.measured = x.closed[0].From+by, x.closed[0].To+by, x.measured+by
		if got := walk(p, monday+by, x); fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("shifted by %d days: %v, want %v", by, got, want)
		}
	}
}

// What has begun is gone through as it was planned: whenever a course is looked at again, what is left is what was left. Source: the
// package comment.
func TestGoneThroughAgain(t *testing.T) {
	p := protocol(record.Handgrip, 30, 20, 25)
	x := client{weekdays: []int{0, 2, 4}, closed: []record.Span{{From: monday + 17, To: monday + 28}, {From: monday + 40, To: monday + 41}}, measured: monday - 1}
	all := walk(p, monday, x)
	open := func(d unit.Date) bool { return !x.closed[0].Has(d) && !x.closed[1].Has(d) }
	for at := range len(all) {
		in := Input{Protocol: p, Start: monday, Table: table, MaxWeeks: 60, Open: open, Level: func(unit.Date) int { return 0 },
			Ill: func(a, b unit.Date) bool { return false }, Measured: func(unit.Date) unit.Date { return monday - 1 }}
		for _, s := range all[:at] {
			var day, load int
			fmt.Sscanf(s, "%d:%d", &day, &load)
			stage := map[int]int{20: 0, 25: 1, 30: 2}[load]
			in.Done = append(in.Done, Done{Date: monday + unit.Date(day), Trained: true, Stage: stage})
			in.Today = monday + unit.Date(day) + 1
		}
		c := New(in)
		var got []string
		for w := 0; ; w++ {
			wk, ok := c.Week(w)
			if !ok {
				break
			}
			if c.first(w)+6 < in.Today {
				continue
			}
			var days []unit.Date
			for _, d := range x.weekdays {
				if day := c.first(w) + unit.Date(d); open(day) && day >= in.Today && len(days) < len(wk.Works) {
					days = append(days, day)
				}
			}
			if len(days) > 0 {
				if again, changed, _ := c.Reached(days[0]); changed {
					wk = again
				}
			}
			for i, day := range days {
				got = append(got, fmt.Sprintf("%d:%s", int(day-monday), wk.Works[i].Stage.Load.Mul(unit.Int(100))))
			}
			c.Placed(w, days)
		}
		if fmt.Sprint(got) != fmt.Sprint(all[at:]) {
			t.Fatalf("after %d sessions: %v, want %v", at, got, all[at:])
		}
	}
}

// Weeks that went by untrained move no ramp on: the first session trained begins it. Source: the package comment; common practice.
func TestNobodyIsTrainedByMissing(t *testing.T) {
	p := protocol(record.Handgrip, 30, 20, 25)
	in := Input{Protocol: p, Start: monday, Table: table, MaxWeeks: 60, Today: monday + 28, Open: func(unit.Date) bool { return true },
		Ill: func(a, b unit.Date) bool { return false }, Measured: func(unit.Date) unit.Date { return monday - 1 }}
	for w := range 4 { // four weeks of sessions, none of which was begun
		in.Done = append(in.Done, Done{Date: monday + unit.Date(7*w)}, Done{Date: monday + unit.Date(7*w+2)}, Done{Date: monday + unit.Date(7*w+4)})
	}
	c := New(in)
	for w := 0; w < 4; w++ {
		c.Week(w)
	}
	wk, _ := c.Week(4)
	if again, changed, _ := c.Reached(monday + 28); changed {
		wk = again
	}
	if wk.Works[0].Stage.Index != 0 || len(c.queue) != 12 {
		t.Errorf("the first session is of stage %d, and %d are left", wk.Works[0].Stage.Index, len(c.queue))
	}
}

// A start that was moved, earlier or later, with sessions begun: what was trained before it stands outside its weeks. Source: B3.
func TestAStartThatMoves(t *testing.T) {
	p := protocol(record.Handgrip, 30, 20)
	for by := -10; by <= 20; by++ {
		in := Input{Protocol: p, Start: monday + unit.Date(by), Table: table, MaxWeeks: 60, Today: monday + 8, Open: func(unit.Date) bool { return true },
			Ill: func(a, b unit.Date) bool { return false }, Measured: func(unit.Date) unit.Date { return monday - 1 },
			Done: []Done{{Date: monday, Trained: true}, {Date: monday + 2, Trained: true}, {Date: monday + 7, Trained: true}}}
		c := New(in)
		n := 0
		for w := 0; ; w++ {
			wk, ok := c.Week(w)
			if !ok {
				break
			}
			var days []unit.Date
			for _, d := range []int{0, 2, 4} {
				if day := c.first(w) + unit.Date(d); day >= in.Today && len(days) < len(wk.Works) {
					days = append(days, day)
				}
			}
			n += len(days)
			c.Placed(w, days)
		}
		if n == 0 || n > 24 {
			t.Errorf("moved by %d: %d sessions", by, n)
		}
	}
}
