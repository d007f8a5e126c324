package compiler

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

var (
	manyHistories = flag.Int("histories", 0, "how many random histories; 0 for the usual")
	firstHistory  = flag.Uint64("first", 1, "the number of the first random history")
)

// life is what befalls an invented client, as its author knows it: the record is written from it, and laws ask it.
type life struct {
	r           *rand.Rand
	start       unit.Date
	protocols   []string
	zone        string
	away        []record.Span
	pauses      []record.Span
	closed      []record.Span
	conditions  []woe
	grip        []maximum
	mip, squat  []maximum
	walk        []maximum
	asked       unit.Date
	hours       int
	gather      bool
	remind      int
	reviews     bool
	logs        bool
	rows        []record.SessionRow
	heard       map[string]bool // sessions that the log has
	gauge, next int
	kept        *kept // what is entered into a diary; nil where the record is edited
}

type woe struct {
	code, side   string
	since, until unit.Date // until 0: it goes on
	wait         int
}

type maximum struct {
	day  unit.Date
	hand record.Hand
	with string
	best int
}

// courses are what a client may begin with: all six modalities, alone and beside each other.
var courses = [][]string{
	{"handgrip-alternating"}, {"handgrip-start"}, {"handgrip-guideline", "slow-breathing-even"}, {"inspiratory-strength"}, {"inspiratory-light-paced"},
	{"wall-squat-home"}, {"walking-start"}, {"strength-home"}, {"slow-breathing-short-pause"}, {"handgrip-start", "walking-start"},
	{"strength-home", "slow-breathing-even"}, {"inspiratory-strength", "walking-start"}, {"handgrip-maintenance", "walking-start"},
}

var zones = []string{"Europe/Lisbon", "Asia/Kolkata", "America/Halifax"}

func newLife(r *rand.Rand, start unit.Date) *life {
	l := &life{r: r, start: start, protocols: courses[r.IntN(len(courses))], zone: zones[r.IntN(len(zones))], hours: r.IntN(3), reviews: true, heard: map[string]bool{}}
	l.gather, l.remind, l.logs = r.IntN(4) == 0, 15*r.IntN(3), r.IntN(3) == 0
	l.measure(start - 2)
	l.asked = start - 1
	if r.IntN(2) == 0 {
		l.kept = &kept{first: start - 2, zone: l.zone, hours: l.hours}
	}
	return l
}

func (l *life) gaugeID() string { return fmt.Sprintf("gauge-%d", l.gauge) }

// measure measures everything on a day.
func (l *life) measure(d unit.Date) {
	if n := len(l.grip); n > 0 && l.grip[n-1].day == d {
		l.grip, l.mip, l.squat, l.walk = l.grip[:n-2], l.mip[:len(l.mip)-1], l.squat[:len(l.squat)-1], l.walk[:len(l.walk)-1]
	}
	some := func() int { return l.r.IntN(9) }
	l.grip = append(l.grip, maximum{d, record.Right, l.gaugeID(), 38 + some()}, maximum{d, record.Left, l.gaugeID(), 36 + some()})
	l.mip = append(l.mip, maximum{day: d, best: 78 + 4*some()})
	l.squat = append(l.squat, maximum{day: d, best: 108 + some()})
	l.walk = append(l.walk, maximum{day: d, best: 20 + 10*some()})
}

// event is one thing that befalls the client today.
func (l *life) event(today unit.Date) {
	ahead := func(most int) unit.Date { return today + unit.Date(l.r.IntN(most)) }
	switch l.r.IntN(12) {
	case 0:
		d := ahead(30)
		l.away = append(l.away, record.Span{From: d, To: d + unit.Date(l.r.IntN(16))})
	case 1:
		d := ahead(9) - 2
		l.pauses = append(l.pauses, record.Span{From: d, To: d + unit.Date(l.r.IntN(24))})
	case 2:
		d := ahead(30)
		l.closed = append(l.closed, record.Span{From: d, To: d + unit.Date(l.r.IntN(3))})
	case 3, 4:
		for i := range l.conditions { // what goes on ends first
			if l.conditions[i].until == 0 {
				l.conditions[i].until = max(today-unit.Date(l.r.IntN(2)), l.conditions[i].since)
				return
			}
		}
		all := []woe{{code: "ill-now", wait: 1}, {code: "ear-or-sinus", wait: 7}, {code: "hand-hurt", side: "left"}}
		w := all[l.r.IntN(len(all))]
		if slices.ContainsFunc(l.conditions, func(x woe) bool { return x.code == w.code }) {
			return
		}
		w.since = today - unit.Date(l.r.IntN(2))
		l.conditions = append(l.conditions, w)
	case 5, 6, 7:
		l.measure(today)
	case 8:
		l.gauge++
		l.enter(today, "device", fmt.Sprintf("{grip: {id: gauge-%d, unit: kgf, step: 0.5, checked: 2026-11-20}}", l.gauge))
		l.measure(today)
	case 9:
		l.hours = l.r.IntN(3)
		l.enter(today, "hours", hoursLine(l.hours))
	case 10:
		l.zone = zones[l.r.IntN(len(zones))]
		l.enter(today, "moved", fmt.Sprintf(`{zone: %s, emergency: "911"}`, l.zone))
	case 11:
		l.gather, l.remind, l.reviews = l.r.IntN(2) == 0, 15*l.r.IntN(3), l.r.IntN(2) == 0
	}
}

// log tells of sessions that have begun, some of them on paper.
func (l *life) log(p *record.Plan, now time.Time) {
	if p == nil || !l.logs {
		return
	}
	for _, s := range p.Sessions {
		if s.Status == record.Cancelled || l.heard[s.UID] || !moment(p, s).Before(now) {
			continue
		}
		l.heard[s.UID] = true
		row := record.SessionRow{At: s.Start + unit.Local(l.r.IntN(20)), UID: s.UID, Outcome: record.Completed}
		if l.r.IntN(6) == 0 {
			row.Outcome = record.NotStarted
		}
		if l.r.IntN(3) == 0 {
			row.UID = ""
		}
		l.rows = append(l.rows, row)
	}
}

// moment is when a session of a plan begins, worked out from the system's own rules of the zone.
func moment(p *record.Plan, s record.Session) time.Time {
	name := p.Zone
	if s.Zone != "" {
		name = s.Zone
	}
	loc := placeOf(name)
	d, c := s.Start.Date().Time(), int(s.Start.Clock())
	return time.Date(d.Year(), d.Month(), d.Day(), c/60, c%60, 0, 0, loc)
}

var places = map[string]*time.Location{}

func placeOf(name string) *time.Location {
	if places[name] == nil {
		loc, err := time.LoadLocation(name)
		if err != nil {
			panic(err)
		}
		places[name] = loc
	}
	return places[name]
}

// closedOn says what closes a modality on a day; "" for nothing.
func (l *life) closedOn(m record.Modality, d unit.Date) string {
	in := func(all []record.Span) bool {
		return slices.ContainsFunc(all, func(s record.Span) bool { return s.From <= d && d <= s.To })
	}
	switch {
	case in(l.away):
		return "away"
	case in(l.pauses):
		return "paused"
	case in(l.closed):
		return "closed"
	}
	for _, w := range l.conditions {
		if w.wait > 0 && w.since <= d && (w.until == 0 || d < w.until+unit.Date(w.wait)) && (w.code == "ill-now" || m == record.Inspiratory) {
			return w.code
		}
	}
	return ""
}

func (l *life) input(c *Compiler, t testing.TB, prev *record.Plan, now time.Time, today unit.Date) Input {
	t.Helper()
	f := c.Reader.Bytes("c.yaml", []byte(l.record(today)))
	if f.Client == nil {
		t.Fatal(f.Findings, l.record(today))
	}
	in := Input{Client: f.Client, Start: l.start, Now: now, Previous: prev, Pauses: l.pauses, Closed: l.closed, Gather: l.gather, Remind: l.remind, NoReviews: !l.reviews, Sessions: l.rows}
	for _, id := range l.protocols {
		in.Protocols = append(in.Protocols, standardOf(c, id))
	}
	if l.kept != nil {
		d := c.Reader.Bytes("c.diary.yaml", []byte(l.diary(today)))
		if len(d.Findings) > 0 {
			t.Fatal(d.Findings, l.diary(today))
		}
		in.Diary = diary.Of(d.Diary.Of())
	}
	return in
}

// invented is an engine, and the text that invented clients are written from.
func invented(t testing.TB) *Compiler {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	demoText = string(src)
	c := engine(t)
	var no []string
	for _, q := range c.Check.Base.Questions() {
		if q.Symptom {
			no = append(no, q.ID+`: "no"`)
		}
	}
	allNo = strings.Join(no, ", ")
	return c
}

var known = map[string]*load.Protocol{}

func standardOf(c *Compiler, id string) *load.Protocol {
	if known[id] == nil {
		known[id] = &c.Standard(id).Protocols[0]
	}
	return known[id]
}

// Random histories of two to six months, of all six modalities, re-compiled at random moments with random options: no session on a day
// ill, away, paused, closed or barred; none nearer than the rules allow; no load over the weekly step; every load traceable; and what
// the calendar shows from one file to the next. Source: docs/architecture.md, a plan after a plan.
func TestHistories(t *testing.T) {
	c := invented(t)
	many := 100
	if *manyHistories > 0 {
		many = *manyHistories
	}
	seen := tally{}
	for n := range many {
		lived(t, c, *firstHistory+uint64(n), seen)
		if t.Failed() {
			t.Fatalf("history %d; go test ./compiler -run TestHistories -first %d -histories 1", n, *firstHistory+uint64(n))
		}
	}
	t.Log(seen)
	for _, what := range []string{"plans", "refused", "held", "moved", "cancelled", "gaps", "loads", "diaries"} {
		if seen[what] < many/50 {
			t.Errorf("only %d %s in %d histories: the laws look at too little", seen[what], what, many)
		}
	}
}

type tally map[string]int
