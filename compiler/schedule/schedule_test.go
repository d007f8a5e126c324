package schedule

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

const (
	practice = "common practice"
	design   = "docs/architecture.md: a week is seven days from the start; one clock time all through"
)

// monday is a week's begin; the clock changes of the tests are made up where Clean says so.
var monday = must("2027-02-01")

func must(s string) unit.Date {
	d, err := unit.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func hours(days, from, to string) record.Hours {
	h := record.Hours{}
	for _, d := range strings.Fields(days) {
		for w := time.Sunday; w <= time.Saturday; w++ {
			if strings.EqualFold(w.String()[:3], d) {
				h.Days = append(h.Days, w)
			}
		}
	}
	var err, err2 error
	h.From, err = unit.ParseClock(from)
	h.To, err2 = unit.ParseClock(to)
	if err != nil || err2 != nil {
		panic(from + to)
	}
	return h
}

const daily = "mon tue wed thu fri sat sun"

func timings() record.Sitting {
	return record.Sitting{SitSeconds: 300, Readings: 2, ReadingSeconds: 60, EndSeconds: 120, ChangeHandSeconds: 10, StartMinutes: 5}
}

func course(id string, m record.Modality, weeks, days, perDay, work int) Course {
	c := Course{Protocol: id, Modality: m}
	for range weeks {
		c.Weeks = append(c.Weeks, Week{Kind: id + "/0", Work: unit.Seconds(work), Days: days, PerDay: perDay})
	}
	return c
}

func grip(weeks, days int) Course {
	c := course("grip", record.Handgrip, weeks, days, 1, 1200)
	c.Preferred = 48 * 60
	return c
}

func breath(weeks, days, perDay int) Course {
	return course("breath", record.SlowBreathing, weeks, days, perDay, 300)
}

// show prints sessions as "protocol Mon 07:00+29ge" with g for gate, e for end and the length in minutes.
func show(ss []record.Session) string {
	var out []string
	for _, s := range ss {
		flags := ""
		if s.Gate {
			flags += "g"
		}
		if s.End {
			flags += "e"
		}
		out = append(out, s.Protocol+" "+s.Start.Date().Weekday().String()[:3]+" "+s.Start.Clock().String()+"+"+unit.Ratio(int64(s.Seconds), 60).Text(1)+flags)
	}
	return strings.Join(out, ", ")
}

// placing is a programme from monday on and what becomes of it; unplaced is how each reason and fix begins, in order.
type placing struct {
	why, source string
	in          Input
	want        string
	unplaced    []string
}

func (c *placing) check(t *testing.T) {
	t.Helper()
	if c.source == "" {
		t.Errorf("%s: no source", c.why)
	}
	c.in.Start, c.in.Sitting = monday, timings()
	got, un, _ := Place(c.in)
	if s := show(got); s != c.want {
		t.Errorf("%s (%s):\n got %s\nwant %s", c.why, c.source, s, c.want)
	}
	var lines []string
	for _, u := range un {
		lines = append(lines, u.Reason+": "+u.Fix)
	}
	ok := len(lines) == len(c.unplaced)
	for i := 0; ok && i < len(lines); i++ {
		ok = strings.HasPrefix(lines[i], c.unplaced[i])
	}
	if !ok {
		t.Errorf("%s (%s): unplaced\n got %q\nwant %q", c.why, c.source, lines, c.unplaced)
	}
}

func TestPlace(t *testing.T) {
	twice := grip(1, 3)
	twice.Floor = 48 * 60
	for _, c := range []placing{
		{"seven open days, three sessions: even and early", practice,
			Input{Hours: []record.Hours{hours(daily, "07:00", "08:00")}, Courses: []Course{grip(1, 3)}},
			"grip Mon 07:00+29ge, grip Wed 07:00+29ge, grip Fri 07:00+29ge", nil},
		{"the client's own days; of two even choices the earlier", practice,
			Input{Hours: []record.Hours{hours("mon wed fri sat", "07:00", "08:00")}, Courses: []Course{grip(1, 3)}},
			"grip Mon 07:00+29ge, grip Wed 07:00+29ge, grip Fri 07:00+29ge", nil},
		{"two protocols share one gate, the hold first though it is written second", practice,
			Input{Hours: []record.Hours{hours("mon", "07:00", "08:00")}, Courses: []Course{breath(1, 1, 1), grip(1, 1)}},
			"grip Mon 07:00+27g, breath Mon 07:27+7e", nil},
		{"too short a stretch to share: a second sitting in another one", practice,
			Input{Hours: []record.Hours{hours("mon", "07:00", "07:30"), hours("mon", "18:00", "18:20")}, Courses: []Course{grip(1, 1), breath(1, 1, 1)}},
			"grip Mon 07:00+29ge, breath Mon 18:00+14ge", nil},
		{"no other stretch: not placed", practice,
			Input{Hours: []record.Hours{hours("mon", "07:00", "07:30")}, Courses: []Course{grip(1, 1), breath(1, 1, 1)}},
			"grip Mon 07:00+29ge", []string{"no training day is open in this week (6 without hours, 1 full with another protocol)"}},
		{"twice a day: first stretch and last stretch", practice,
			Input{Hours: []record.Hours{hours("mon", "07:00", "08:00"), hours("mon", "12:00", "13:00"), hours("mon", "18:00", "19:00")}, Courses: []Course{breath(1, 1, 2)}},
			"breath Mon 07:00+14ge, breath Mon 18:00+14ge", nil},
		{"twice a day with one stretch: the second has no place", practice,
			Input{Hours: []record.Hours{hours("mon", "07:00", "08:00")}, Courses: []Course{breath(1, 1, 2)}},
			"breath Mon 07:00+14ge", []string{"only 1 stretch of hours with room on Mon 2027-02-01 for 2 sessions: write a further stretch of hours on Monday, of at least 14 min"}},
		{"the floor moves a start later inside its stretch", practice,
			Input{Hours: []record.Hours{hours("mon", "07:00", "08:00"), hours("wed", "06:00", "08:00")}, Courses: []Course{func() Course {
				c := twice
				c.Weeks = []Week{{Kind: "grip/0", Work: 12000, Days: 2, PerDay: 1}}
				return c
			}()}},
			"grip Mon 07:00+29ge, grip Wed 07:00+29ge", nil},
		{"two days away leave two training days", practice,
			Input{Hours: []record.Hours{hours("mon wed fri", "07:00", "08:00")}, Away: []record.Span{{From: monday, To: monday + 1}}, Courses: []Course{grip(1, 3)}},
			"grip Wed 07:00+29ge, grip Fri 07:00+29ge", []string{"only 2 training days are open in this week (2 away, 3 without hours): train on Mon 2027-02-01, now a day away, from 07:00 to 08:00"}},
		{"days away: the week's sessions go to the other open days", practice,
			Input{Hours: []record.Hours{hours(daily, "07:00", "08:00")}, Away: []record.Span{{From: monday, To: monday + 1}}, Courses: []Course{grip(1, 3)}},
			"grip Wed 07:00+29ge, grip Fri 07:00+29ge, grip Sun 07:00+29ge", nil},
		{"the floor leaves two of three", practice,
			Input{Hours: []record.Hours{hours("mon tue wed", "07:00", "08:00")}, Courses: []Course{twice}},
			"grip Mon 07:00+29ge, grip Wed 07:00+29ge", []string{"the gap of 48 h from start to start leaves 2 training days in this week: move the hours of Tue 2027-02-02 to Fri 2027-02-05"}},
		{"no hours: one fix", practice, Input{Courses: []Course{grip(1, 2)}}, "",
			[]string{"the client record has no hours: write hours with at least 29 min on 2 days", "the client record has no hours: write hours with at least 29 min on 2 days"}},
		{"a sitting does not fit: said with its length", practice,
			Input{Hours: []record.Hours{hours("mon", "07:00", "07:20")}, Courses: []Course{grip(1, 1)}}, "",
			[]string{"no training day is open in this week (6 without hours, 1 with too short a stretch of hours, the sitting takes 29 min): write longer hours"}},
		{"a skipped hour moves the sitting later, to the grid", design,
			Input{Hours: []record.Hours{hours("mon", "01:50", "04:00")}, Courses: []Course{grip(1, 1)},
				Clean: func(l unit.Local) bool { return l < unit.At(monday, 120) || l >= unit.At(monday, 180) }},
			"grip Mon 03:00+29ge", nil},
		{"a skipped hour fills the stretch: another day is named", design,
			Input{Hours: []record.Hours{hours("mon", "02:00", "03:00")}, Courses: []Course{breath(1, 1, 1)},
				Clean: func(l unit.Local) bool { return l < unit.At(monday, 120) || l >= unit.At(monday, 180) }},
			"", []string{"no training day is open in this week (6 without hours, 1 with a clock change in the hours): write hours on Tue 2027-02-02"}},
		{"stretches that overlap are one", practice,
			Input{Hours: []record.Hours{hours("mon", "07:00", "07:20"), hours("mon", "07:10", "07:30")}, Courses: []Course{grip(1, 1)}},
			"grip Mon 07:00+29ge", nil},
		{"starts stand on the grid", practice,
			Input{Hours: []record.Hours{hours("mon", "07:01", "07:40")}, Courses: []Course{grip(1, 1)}}, "grip Mon 07:05+29ge", nil},
	} {
		c.check(t)
	}
}

func TestOdile(t *testing.T) {
	c := grip(8, 3)
	for i := range c.Weeks {
		c.Weeks[i].Work = unit.Seconds(660)
	}
	got, un, _ := Place(Input{Start: monday, Sitting: timings(), Hours: []record.Hours{hours("mon wed fri", "09:00", "10:00")}, Courses: []Course{c}})
	if len(got) != 24 || len(un) != 0 {
		t.Fatalf("%d sessions, %v unplaced, want 24 and none", len(got), un)
	}
	if last := got[23]; last.Start.String() != "2027-03-26T09:00" || last.Seconds != 1200 || last.Week != 8 || last.Slot != 3 {
		t.Errorf("last session %+v, want Fri 26 Mar, 20 min", last)
	}
	firm := 0
	for _, s := range got {
		if s.Start.Date() <= must("2027-02-26") {
			firm++
		}
	}
	if firm != 12 {
		t.Errorf("%d sessions to 26 Feb, want 12", firm)
	}
}

// A stay away moves one week's days; the weeks after it go back to the usual ones.
func TestUsualDaysReturn(t *testing.T) {
	got, un, _ := Place(Input{Start: monday, Sitting: timings(), Hours: []record.Hours{hours("mon tue wed thu fri sat", "07:00", "08:00")},
		Away: []record.Span{{From: monday + 7, To: monday + 8}}, Courses: []Course{grip(3, 3)}})
	want := "grip Mon 07:00+29ge, grip Wed 07:00+29ge, grip Fri 07:00+29ge"
	if len(un) != 0 || len(got) != 9 || show(got[6:]) != want || show(got[:3]) != want {
		t.Errorf("got %s, unplaced %v", show(got), un)
	}
}

func TestMovedSaysWhy(t *testing.T) {
	in := Input{Start: monday, Sitting: timings(), Hours: []record.Hours{hours(daily, "02:00", "04:00")}, Courses: []Course{grip(2, 3), breath(2, 7, 1)},
		Clean: func(l unit.Local) bool { return l < unit.At(monday+7, 120) || l >= unit.At(monday+7, 180) }}
	got, un, _ := Place(in)
	if len(un) != 0 || len(got) != 20 {
		t.Fatalf("got %s, unplaced %v", show(got), un)
	}
	for _, s := range got {
		if (s.Moved != "") != (s.Start.Date() == monday+7) {
			t.Errorf("%s moved %q", s.Start, s.Moved)
		}
	}
	again, _, _ := Place(in)
	if !reflect.DeepEqual(got, again) {
		t.Error("two runs differ")
	}
}

func BenchmarkPlaceEightWeeksTwoProtocols(b *testing.B) {
	in := Input{Start: monday, Sitting: timings(), Courses: []Course{grip(8, 3), breath(8, 7, 2)},
		Hours: []record.Hours{hours(daily, "07:00", "08:00"), hours(daily, "18:00", "19:00")}}
	b.ReportAllocs()
	for b.Loop() {
		if s, u, _ := Place(in); len(s) != 136 || len(u) != 0 {
			b.Fatal(len(s), len(u))
		}
	}
}

func BenchmarkPlaceAway(b *testing.B) {
	in := Input{Start: monday, Sitting: timings(), Courses: []Course{grip(8, 3), breath(8, 7, 2)},
		Away:  []record.Span{{From: monday + 14, To: monday + 27}},
		Hours: []record.Hours{hours(daily, "07:00", "08:00"), hours(daily, "18:00", "19:00")}}
	b.ReportAllocs()
	for b.Loop() {
		Place(in)
	}
}
