// Package schedule gives the sessions of a programme their dates and hours, and says which found no place and why.
//
// A week is seven days from the start date; week 1 begins on it. A stretch is one span of the client's hours on one
// day (spans that overlap count as one, spans that only touch stay two). A sitting is what the client sits down for once: the gate,
// the work of one or more protocols back to back, holds first, then exercises, then a walk, then breathing, and the
// minutes to end; the whole sitting lies inside one stretch. Exercises never share a sitting with holds. A session is one protocol's part of a sitting. A gap is the time from one start to
// the next start of the same protocol, on the wall clock. The floor is the gap that is always kept, the preferred gap
// the one that is kept where it can be. A day is open when a sitting fits into it.
//
// Protocols are placed one after the other, in the order of a sitting, each week by week. Within a week the choice is exact: of all
// sets of days and starts that keep the floor, across the week's border too, the best is taken by this list, an
// earlier line before every later one:
//
//  1. most sessions placed;
//  2. fewest sessions off the dates and times of the plan before, where there is one; the next week's first session counts
//     where the gap to it would not be kept;
//  3. of several sessions a day the first in the day's first stretch, the last in its last;
//  4. fewest days with a second sitting where one sitting would have done;
//  5. fewest gaps under the preferred one;
//  6. the gap to the first session's weekday a week later not under the preferred one (or the floor), so that the
//     week can be repeated;
//  7. fewest sessions off the usual days and times, which are those of the latest week before that was complete and
//     without days away;
//  8. fewest changes of clock time from one session to the next;
//  9. days as even as possible: the least sum of squares of the gaps in days, the week closed to a ring;
//
// 10. earliest.
//
// The starts that are tried in a stretch are its first grid time, the usual time, the time of the session before, and
// the earliest times that keep the floor and the preferred gap. A sitting that would touch a wall time that a clock change
// skips or repeats is moved later on the grid, inside the stretch. A gate's reading is never due sooner after another
// sitting than the wait that a reading asks for.
//
// What is past is never placed again. A week that is partly past keeps its past sessions and places the rest of its
// sessions in what is left of it; missed sessions are never made up for.
package schedule

import (
	"slices"
	"sort"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Input is all that the dates depend on.
type Input struct {
	Start unit.Date
	// Clean is false for a wall time that a clock change skips or repeats; nil when there is none.
	Clean   func(unit.Local) bool
	Hours   []record.Hours
	Later   []Later // hours in place of these from a later day on, by day
	Away    []record.Span
	Sitting record.Sitting
	Courses []Course // in the programme's order
	// Now ends the past: what begins before it is not placed. 0 = nothing is past.
	Now unit.Local
	// Past are the sessions of the plan before that have begun, sorted by start: they stand as they are, and take their place in the
	// week in which they lie. Held are its others, which stay where they can.
	Past, Held []record.Session
	// Trained is the last start of each modality before Now, whatever protocol it was of: gaps are kept to it as well.
	Trained map[record.Modality]unit.Local
}

// Later is the hours from a day on.
type Later struct {
	From  unit.Date
	Hours []record.Hours
}

// Course is one protocol of the programme.
type Course struct {
	Protocol string
	Modality record.Modality
	Start    unit.Date // of its first week; 0 = that of the programme
	Weeks    []Week    // the first is week 1; nothing is placed after the last
	// Planner, where there is one, gives each week when those before it are placed, in place of Weeks.
	Planner   Planner
	Shut      []record.Span // days closed to this course, which nobody can choose to open
	Floor     int           // minutes from start to start that are always kept; 0 = none
	Preferred int           // minutes from start to start that are kept where possible; 0 = none
	// Last is the last day of a session, 0 = none, and LastWhy the reason. What would have stood on a later day is listed
	// with it and not moved up: an end is no reason to train closer together. LastFix is what would lift the end; without
	// one the fix says to settle the reason.
	Last             unit.Date
	LastWhy, LastFix string
}

// Place is the sessions sorted by start, without UID, sequence and status, and what found no place, sorted by week and then by the programme's
// order. Every session that the weeks ask for stands in exactly one of the two lists, neither of which is nil. The
// same input gives the same output. The error is a *bound.Over: the search would take too long.
func Place(in Input) ([]record.Session, []record.Unplaced, error) {
	in.Courses = slices.Clone(in.Courses) // a planner's weeks are written into them
	b := newBoard(in)
	var order []int
	for i := range in.Courses {
		order = append(order, i)
	}
	slices.SortStableFunc(order, func(x, y int) int { return in.Courses[x].Modality.Rank() - in.Courses[y].Modality.Rank() })
	lost := make([][]record.Unplaced, len(in.Courses))
	for _, i := range order {
		if lost[i] = b.course(&in.Courses[i]); b.tried > bound.Candidates {
			return nil, nil, &bound.Over{What: "finding days and hours looks at", Has: bound.Candidates, AtLeast: true, Of: "candidates", Most: bound.Candidates,
				Then: "write fewer and longer stretches under hours, or train on fewer days and weeks"}
		}
	}
	unplaced := []record.Unplaced{}
	for _, l := range lost {
		unplaced = append(unplaced, l...)
	}
	sort.SliceStable(unplaced, func(i, j int) bool { return unplaced[i].Week < unplaced[j].Week })
	return b.sessions(), unplaced, nil
}

// course places one protocol, week by week, and returns what found no place.
func (b *board) course(c *Course) []record.Unplaced {
	var lost []record.Unplaced
	m := memory{}
	m.prev, m.started = b.in.Trained[c.Modality]
	scratch := query{} // its buffers serve every week
	for w := 0; ; w++ {
		if c.Planner != nil && len(c.Weeks) == w {
			wk, ok := c.Planner.Week(w)
			if !ok {
				break
			}
			c.Weeks = append(c.Weeks, wk)
		}
		if w >= len(c.Weeks) {
			break
		}
		b.reach(c, w)
		q := query{board: b, course: c, week: w, last: c.Weeks[w].Final || c.Planner == nil && w == len(c.Weeks)-1, memory: m,
			places: scratch.places, room: scratch.room, path: scratch.path, best: scratch.best}
		var days []unit.Date
		m = b.weekOf(&q, &lost, &days)
		scratch = q
		if c.Planner != nil && b.date(c, w, 6) >= b.today() {
			c.Planner.Placed(w, days)
		}
	}
	return lost
}

// weekOf places one week.
func (b *board) weekOf(q *query, lost *[]record.Unplaced, days *[]unit.Date) memory {
	c, w := q.course, q.week
	wk := &c.Weeks[w]
	if b.date(c, w, 6) < b.today() {
		return b.recall(q)
	}
	if wk.Days <= 0 || wk.PerDay <= 0 {
		return q.memory
	}
	ended := func(n int) {
		*lost = append(*lost, q.ended(n)...)
		for range n { // what is listed was asked for, and is not asked for again
			*days = append(*days, b.date(c, w, 0))
		}
	}
	q.fixed, q.keep = b.held(c, w)
	if c.over(b.date(c, w, 0)) {
		ended(wk.most(len(q.fixed)))
		return q.memory
	}
	q.days = b.week(c, w)
	for d := range q.days {
		if c.shut(b.date(c, w, d)) {
			q.days[d] = nil
		}
	}
	q.next = b.firstHeld(c, w+1)
	picks := q.solve()
	if c.Planner != nil && len(picks) > 0 {
		again, changed, end := c.Planner.Reached(picks[0].start.Date())
		switch {
		case end != nil && (c.Last == 0 || c.Last > b.date(c, w, 0)-1):
			c.Last, c.LastWhy, c.LastFix = picks[0].start.Date()-1, end.Why, end.Fix
		case changed:
			c.Weeks[w] = again
			picks = q.solve()
		}
	}
	picks = picks[:min(len(picks), wk.most(len(q.fixed)))]
	if missing := wk.most(len(q.fixed)) - len(picks); missing > 0 && !q.owed() {
		*lost = append(*lost, q.explain(picks)...)
	}
	kept := q.kept(picks)
	for _, p := range picks[:kept] {
		*days = append(*days, p.start.Date())
	}
	ended(len(picks) - kept)
	return b.commit(q, picks[:kept]) // what falls away never sat anywhere: other protocols find the stretch free
}

// owed says whether what finds no place in a week moves behind the course: a day of it is closed.
func (q *query) owed() bool {
	return q.course.Planner != nil && q.board.off(q.course, q.week)
}

// shut says whether nobody may train on a day by this course.
func (c *Course) shut(d unit.Date) bool {
	return slices.ContainsFunc(c.Shut, func(s record.Span) bool { return s.Has(d) })
}

// over says whether a day lies behind the last one.
func (c *Course) over(d unit.Date) bool { return c.Last != 0 && d > c.Last }

// kept is how many of the picks, which stand in time order, lie on or before the last day.
func (q *query) kept(picks []pick) (n int) {
	for n < len(picks) && !q.course.over(picks[n].start.Date()) {
		n++
	}
	return n
}

// memory is what a week inherits from the weeks before it.
type memory struct {
	prev    unit.Local // the last start of this protocol
	started bool
	clock   [ordinals]unit.Clock // the last clock time, by the session's number in its day
	clocked [ordinals]bool
	usual   []habit
	firm    bool // usual comes from a complete week without days away
}

// habit is a usual day of the week, counted from the start date's, and the clock time at which its sitting begins.
type habit struct {
	day   int
	clock unit.Clock
}

// ordinals is how many sessions of one day have a remembered clock time of their own; any further share the last.
const ordinals = 4

func ordinal(n int) int { return min(n, ordinals-1) }

// commit writes the picks into the board and returns what the next week inherits.
func (b *board) commit(q *query, picks []pick) memory {
	m, wk := q.memory, &q.course.Weeks[q.week]
	m.settle(q.fixed)
	usual := append(make([]habit, 0, len(q.fixed)+len(picks)), q.usualOf(q.fixed)...)
	day, n := -1, 0
	slots := q.slots(picks)
	for i, p := range picks {
		pl := &q.places[p.place]
		if pl.day != day {
			day, n = pl.day, 0
		}
		b.add(pl.spot, q.course, p.option, part{
			course: q.course, week: q.week + 1, slot: slots[i], kind: wk.kind(i), work: whole(wk.work(i)),
		})
		usual = append(usual, habit{pl.day, p.clock})
		m.prev, m.started = p.start, true
		m.clock[ordinal(n)], m.clocked[ordinal(n)] = p.clock, true
		n++
	}
	complete := len(q.fixed)+len(picks) == wk.Days*wk.PerDay && !b.off(q.course, q.week)
	if complete || !m.firm && len(usual) > 0 {
		m.usual, m.firm = usual, complete
	}
	return m
}

func whole(t unit.Tenths) int { return int((t + 9) / 10) }
