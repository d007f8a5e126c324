package compiler

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// lived is one life and its plans.
func lived(t *testing.T, c *Compiler, number uint64, seen tally) {
	t.Helper()
	r := rand.New(rand.NewPCG(number, 19))
	start, _ := unit.ParseDate("2027-01-04")
	start += unit.Date(r.IntN(60))
	l := newLife(r, start)
	var prev *record.Plan
	var shown []entry
	end := start + unit.Date(60+r.IntN(140))
	for today := start - 1; today < end; today += unit.Date(1 + r.IntN(45)) {
		now := today.Time().Add(time.Duration(5+r.IntN(16)) * time.Hour)
		if prev != nil && r.IntN(3) == 0 { // a sitting is going on
			for _, s := range prev.Sessions {
				if s.Start.Date() == today && s.Status != record.Cancelled {
					now = moment(prev, s).Add(time.Duration(r.IntN(40)) * time.Minute)
					break
				}
			}
		}
		if prev != nil {
			for range 1 + r.IntN(2) {
				l.event(today)
			}
			if l.asked = today; r.IntN(8) == 0 {
				l.start += unit.Date(r.IntN(15) - 5)
			}
			l.log(prev, now)
		}
		in := l.input(c, t, prev, now, today)
		in.Move = prev != nil && l.start != prev.Start
		res, err := c.Compile(in)
		if err != nil {
			t.Errorf("on %s: %v", now, err)
			return
		}
		if res.Plan == nil {
			seen["refused"]++
			if prev != nil {
				l.start = prev.Start
			}
			continue
		}
		seen["plans"]++
		if res.New {
			prev, shown = nil, nil
		}
		ics := theirs(t, res.Plan)
		entries := readEntries(t, ics)
		l.laws(t, prev, res.Plan, now, seen)
		unedited(t, c, "compiled", res.Plan, now)
		calendars(t, shown, entries, prev, now)
		again := in
		again.Previous = res.Plan
		if r.IntN(4) == 0 { // mostly as it is in memory: reading it takes as long as making it
			again.Previous = reread(t, res.Plan)
		}
		again.Move = in.Move && finding.Rejected(res.Findings) // a move that was refused is asked for once more
		if in.Diary != nil {                                   // another order of lines, and two writers' common part, are the same diary
			seen["diaries"]++
			es := slices.Concat(in.Diary.Entries, in.Diary.Entries[:len(in.Diary.Entries)/2])
			slices.Reverse(es)
			again.Diary = diary.Of(es)
		}
		if r.IntN(4) == 0 {
			twice, err := c.Compile(again)
			if err == nil && twice.Plan == nil && finding.Rejected(res.Findings) {
				twice.Plan = res.Plan // refused: its closed days are followed already
			}
			if err != nil || twice.Plan == nil || !bytes.Equal(theirs(t, twice.Plan), ics) || len(twice.Changes) > 0 {
				t.Errorf("on %s: compiled again, something changes: %v %v", now, err, twice.Changes)
				return
			}
		}
		prev, shown = again.Previous, entries
		prev.Sitting = res.Plan.Sitting
		if t.Failed() {
			t.Logf("%s, %v, %+v", now, l.protocols, *l)
			return
		}
	}
}

// theirs is the calendar of a plan, as its own options make it.
func theirs(t *testing.T, p *record.Plan) []byte {
	t.Helper()
	b, err := calendar.Encode(nil, p, calendar.Options{Version: "test", Remind: p.Remind})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// laws are about what is to come in one plan, by what its author knows.
func (l *life) laws(t *testing.T, prev, p *record.Plan, now time.Time, seen tally) {
	t.Helper()
	if len(p.Holds) > 0 {
		seen["held"]++
	}
	floor := map[record.Modality]unit.Local{record.Handgrip: 24 * 60, record.WallSquat: 24 * 60, record.Strength: 48 * 60}
	last := map[string]record.Session{}
	type trained struct {
		day  unit.Date
		load unit.Dec
	}
	breath := map[string][]trained{}
	for _, s := range p.Sessions {
		k := p.Kinds[s.Kind]
		if s.Status == record.Cancelled {
			seen["cancelled"]++
			continue
		}
		coming := !moment(p, s).Before(now)
		day := s.Start.Date()
		if why := l.closedOn(k.Modality, day); coming && why != "" {
			t.Errorf("%s on %s, a day that is closed: %s", s.Protocol, s.Start, why)
		}
		if before, ok := last[s.Protocol]; ok && coming && s.Start-before.Start < floor[k.Modality] && before.Zone == s.Zone {
			t.Errorf("%s at %s and %s are nearer than allowed", s.Protocol, before.Start, s.Start)
		} else if ok && day-before.Start.Date() > 7 {
			seen["gaps"]++
		}
		last[s.Protocol] = s
		for _, h := range p.Holds {
			if coming && h.Protocol == s.Protocol {
				t.Errorf("%s at %s is held", s.Protocol, s.Start)
			}
		}
		number := !(s.Status == record.Provisional && k.NoNumber)
		for _, d := range k.Loads {
			if coming {
				l.traceable(t, k.Modality, d, s)
				seen["loads"]++
			}
			if k.Modality != record.Inspiratory || !number || !coming && !l.done(p, s) {
				continue
			}
			past := breath[s.Protocol]
			if coming && len(past) > 0 {
				least := past[len(past)-1].load
				c, _ := p.Course(s.Protocol)
				for i := len(past) - 1; i >= 0; i-- {
					if week := func(x unit.Date) int { return (int(x-c.Start) + 7000) / 7 }; week(past[i].day) < week(day) {
						if past[i].load.Less(least) {
							least = past[i].load
						}
						break
					}
				}
				if least.Mul(unit.MustDec("1.35")).Less(d.Set) {
					t.Errorf("%s at %s is set to %s after %s", s.Protocol, s.Start, d.Set, least)
				}
			}
			breath[s.Protocol] = append(past, trained{day, d.Set})
		}
	}
	if prev != nil && prev.Start != p.Start {
		seen["moved"]++
	}
}

// done says whether a session that has begun was trained, by what its author knows.
func (l *life) done(p *record.Plan, s record.Session) bool {
	if l.closedOn(p.Kinds[s.Kind].Modality, s.Start.Date()) != "" {
		said := slices.ContainsFunc(l.rows, func(x record.SessionRow) bool { return x.UID == s.UID && x.Outcome == record.Completed })
		return said
	}
	for _, x := range l.rows {
		if x.UID == s.UID || x.UID == "" && x.At.Date() == s.Start.Date() && x.At-s.Start < 4*60 && s.Start-x.At < 4*60 {
			return x.Outcome == record.Completed
		}
	}
	return len(l.rows) == 0 || s.Start.Date() < l.rows[0].At.Date() || s.Start.Date() > l.rows[len(l.rows)-1].At.Date()
}

// traceable wants of a load a measurement of that day, hand and device, and no more than its share of it.
func (l *life) traceable(t *testing.T, m record.Modality, d record.Dose, s record.Session) {
	t.Helper()
	all := map[record.Modality][]maximum{record.Handgrip: l.grip, record.Inspiratory: l.mip, record.WallSquat: l.squat}[m]
	if d.Measured == 0 && m == record.WallSquat {
		return
	}
	for _, x := range all {
		if x.day == d.Measured && (m != record.Handgrip || x.hand == d.Hand && x.with == d.Gauge && unit.Int(int64(x.best)).Cmp(d.Maximum) == 0 && !d.Wanted.Less(d.Set)) && x.day <= s.Start.Date() {
			return
		}
	}
	t.Errorf("%s at %s: the load %+v stands on no measurement", s.Protocol, s.Start, d)
}

// calendars are the laws of two calendars after each other, read by a reader that knows nothing of ours: each UID once, none lost, what has
// begun as it was, and a SEQUENCE that moves exactly where bytes do.
func calendars(t *testing.T, before, after []entry, prev *record.Plan, now time.Time) {
	t.Helper()
	is := map[string]entry{}
	for _, e := range after {
		if _, twice := is[e.uid]; twice {
			t.Errorf("UID %s stands twice", e.uid)
		}
		is[e.uid] = e
	}
	for _, e := range before {
		x, ok := is[e.uid]
		switch {
		case !ok && !e.allDay:
			t.Errorf("%s at %s is lost", e.uid, e.start)
		case !ok, e.today(now):
		case e.begun(now):
			if x.start != e.start || x.status != e.status || x.sequence != e.sequence {
				t.Errorf("%s has begun at %s and was rewritten: %+v", e.uid, e.start, x)
			}
		case (x.text != e.text) != (x.sequence > e.sequence):
			t.Errorf("%s: SEQUENCE %d to %d, and the text changed: %t\n%s\n%s", e.uid, e.sequence, x.sequence, x.text != e.text, e.text, x.text)
		}
	}
}

// The same history shifted by whole weeks gives the same sessions shifted. Source: docs/architecture.md, a plan after a plan.
func TestShiftedHistories(t *testing.T) {
	c := invented(t)
	many := 12
	if full {
		many = 300
	}
	for number := range many {
		var want string
		for i, by := range []unit.Date{0, 7, 70} {
			got := shifted(t, c, uint64(number), by)
			if i == 0 {
				want = got
			} else if got != want {
				t.Fatalf("history %d shifted by %d days:\n%s\nwant\n%s", number, by, got, want)
			}
		}
	}
}

func shifted(t *testing.T, c *Compiler, number uint64, by unit.Date) string {
	t.Helper()
	r := rand.New(rand.NewPCG(number, 23))
	start, _ := unit.ParseDate("2027-01-04")
	start += by
	l := newLife(r, start)
	stays := func() { // where the clock never changes
		if l.zone = "Asia/Kolkata"; l.kept != nil {
			l.kept.zone = l.zone
			maps.DeleteFunc(l.kept.entries, func(name, _ string) bool { return strings.HasSuffix(name, " moved") })
		}
	}
	stays()
	var prev *record.Plan
	out := ""
	for today := start - 1; today < start+80; today += unit.Date(3 + r.IntN(25)) {
		now := today.Time().Add(9 * time.Hour)
		if prev != nil {
			l.event(today)
			stays()
			l.asked = today
		}
		res, err := c.Compile(l.input(c, t, prev, now, today))
		if err != nil {
			t.Fatal(err)
		}
		if res.Plan == nil {
			continue
		}
		var lines []string // of one moment the one that was cancelled and the one in its place stand in the order of their names
		for _, s := range res.Plan.Sessions {
			j, _ := json.Marshal(setOf(res.Plan.Kinds[s.Kind]))
			lines = append(lines, fmt.Sprintln(s.Protocol, s.Week, s.Slot, s.Status, s.Start-unit.Local(by)*1440, s.Sequence, string(j)))
		}
		slices.Sort(lines)
		out += strings.Join(lines, "")
		prev = reread(t, res.Plan)
	}
	return out
}

func setOf(k record.Kind) (out []string) {
	for _, d := range k.Loads {
		out = append(out, string(d.Hand)+d.Set.String())
	}
	return out
}
