package compiler

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/history"
	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// reread is a plan as it comes back from a file.
func reread(t testing.TB, p *record.Plan) *record.Plan {
	t.Helper()
	var b bytes.Buffer
	if err := plans.JSON(&b, p); err != nil {
		t.Fatal(err)
	}
	q, err := load.ReadPlan(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// What holds for every plan that follows another, whatever happens between: what has begun stands, identities are kept, a
// sequence counts up where and only where something changed, nothing is lost, nothing stands twice, and compiling once more
// changes nothing, to the byte. Source: RFC 5545, 3.8.7.4; docs/architecture.md, the calendar.
func TestFollowing(t *testing.T) {
	c := engine(t)
	r := rand.New(rand.NewPCG(3, 4))
	start := testkit.Date(t, "2027-01-04")
	rounds := 10
	if full {
		rounds = 60
	}
	for round := range rounds {
		in := demo(t, c, "handgrip-alternating", "slow-breathing-short-pause")
		client := *in.Client.Record
		rec := *in.Client
		rec.Record = &client
		in.Client = &rec
		prev := reread(t, plan(t, c, in))
		at := now
		for step := range 1 + r.IntN(3) {
			at = at.Add(time.Duration(r.IntN(14*24)) * time.Hour)
			next := in
			next.Now, next.Previous, next.Pauses = at, prev, prev.Pauses
			switch r.IntN(4) {
			case 0:
				d := start + unit.Date(r.IntN(50))
				client.Away = append(client.Away, record.Span{From: d, To: d + unit.Date(r.IntN(5))})
			case 1:
				next.Protocols = next.Protocols[r.IntN(2):]
			case 2:
				d := start + unit.Date(r.IntN(50))
				next.Closed = []record.Span{{From: d, To: d}}
			}
			res, err := c.Compile(next)
			if err != nil {
				t.Fatal(err)
			}
			if res.Plan == nil {
				break // refused: the plan before stands
			}
			follows(t, fmt.Sprintf("round %d, step %d", round, step), prev, res, history.Wall(prev.Zone, at))
			same := next
			same.Previous = reread(t, res.Plan)
			again, err := c.Compile(same)
			if err != nil || again.Plan == nil || len(again.Changes) != 0 {
				t.Fatalf("round %d: once more: %v, %v", round, err, again.Changes)
			}
			a, b := calendarOf(t, res.Plan), calendarOf(t, again.Plan)
			if !bytes.Equal(a, b) || encoded(t, res.Plan) != encoded(t, again.Plan) {
				t.Fatalf("round %d: once more gives other bytes", round)
			}
			prev = same.Previous
		}
	}
}

func encoded(t testing.TB, p *record.Plan) string {
	t.Helper()
	j, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	return string(j)
}

func calendarOf(t testing.TB, p *record.Plan) []byte {
	t.Helper()
	b, err := calendar.Encode(nil, p, calendar.Options{Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func follows(t *testing.T, where string, prev *record.Plan, res Result, now unit.Local) {
	t.Helper()
	was, is := map[string]record.Session{}, map[string]record.Session{}
	for _, s := range prev.Sessions {
		was[s.UID] = s
	}
	changed := 0
	for _, s := range res.Plan.Sessions {
		if _, twice := is[s.UID]; twice {
			t.Fatalf("%s: %s stands twice", where, s.UID)
		}
		is[s.UID] = s
		old, known := was[s.UID]
		switch {
		case !known && (s.Sequence != 0 || s.Sheet != res.Plan.Sheet || s.Start < now):
			t.Fatalf("%s: new session %+v", where, s)
		case known && old.Start < now && (s.Start != old.Start || s.Status != old.Status || s.Sequence != old.Sequence || s.Seconds != old.Seconds):
			t.Fatalf("%s: the past was changed: %+v to %+v", where, old, s)
		case known && s.Sequence == old.Sequence && (s.Start != old.Start || s.Seconds != old.Seconds || s.Status != old.Status || s.Sheet != old.Sheet):
			t.Fatalf("%s: changed without counting up: %+v to %+v", where, old, s)
		case known && s.Sequence != old.Sequence && (s.Sequence != old.Sequence+1 || s.Sheet != res.Plan.Sheet || s.Modified != ""):
			t.Fatalf("%s: counted up wrongly: %+v to %+v", where, old, s)
		}
		if !known || s.Sequence != old.Sequence {
			changed++
		}
		if _, ok := res.Plan.Kinds[s.Kind]; !ok {
			t.Fatalf("%s: no kind %s", where, s.Kind)
		}
	}
	for uid, s := range was {
		if _, ok := is[uid]; !ok {
			t.Fatalf("%s: %+v is lost", where, s)
		}
	}
	told := 0
	for _, x := range res.Changes {
		if x.Entry == "" {
			told++
		}
	}
	if told != changed {
		t.Fatalf("%s: %d sessions changed, %d changes are told", where, changed, told)
	}
	if want := prev.Sheet; len(res.Changes) > 0 && res.Plan.Sheet != want+1 || len(res.Changes) == 0 && res.Plan.Sheet != want {
		t.Fatalf("%s: sheet %d after %d with %d changes", where, res.Plan.Sheet, prev.Sheet, len(res.Changes))
	}
}

// Wall times stay over the clock change of 28 March 2027 in Lisbon (zone data; the clocks go from 1:00 to 2:00 that Sunday).
func TestLisbonKeepsItsWallTimes(t *testing.T) {
	c := engine(t)
	in := demo(t, c, "handgrip-alternating", "slow-breathing-short-pause")
	rec, client := *in.Client, *in.Client.Record
	client.Zone = "Europe/Lisbon"
	rec.Record, in.Client = &client, &rec
	in.Start, in.Now = testkit.Date(t, "2027-03-15"), time.Date(2027, 3, 14, 9, 0, 0, 0, time.UTC)
	for i := range client.Grip {
		client.Grip[i].Date = testkit.Date(t, "2027-03-13")
	}
	times, err := c.programme(in).place(nil)
	if err != nil {
		t.Fatal(err)
	}
	clock := map[string]map[unit.Clock]int{}
	for _, s := range times.sessions {
		if s.Start.Date().Weekday() == time.Sunday {
			continue // has hours of its own
		}
		side := "before"
		if s.Start.Date() > testkit.Date(t, "2027-03-28") {
			side = "after"
		}
		if clock[side] == nil {
			clock[side] = map[unit.Clock]int{}
		}
		clock[side][s.Start.Clock()]++
	}
	if len(clock["before"]) == 0 || fmt.Sprint(keysOf(clock["before"])) != fmt.Sprint(keysOf(clock["after"])) {
		t.Errorf("wall times before %v and after %v the change", clock["before"], clock["after"])
	}
}

func keysOf(m map[unit.Clock]int) map[unit.Clock]bool {
	out := map[unit.Clock]bool{}
	for k := range m {
		out[k] = true
	}
	return out
}
