package schedule

import (
	"slices"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// query asks for the best days and starts of one protocol in one week.
type query struct {
	board  *board
	course *Course
	week   int // from 0
	last   bool
	memory memory
	days   [7][]*spot
	fixed  []record.Session // of the plan before: already past, they stand
	keep   []record.Session // of the plan before: still to come, cancelled ones too
	next   unit.Local       // the first start of the next week in the plan before; 0 = none

	places []place
	room   []int // sessions that fit from a place to the end of the week, the floor set aside
	shared [7]bool
	path   []pick
	best   []pick
	cost   score
	found  bool
	nodes  int
}

// place is a stretch that is open to this protocol.
type place struct {
	day    int
	spot   *spot
	first  unit.Clock // the first grid time in it
	follow unit.Local // where the work stands behind the sitting that is there
	index  int        // the how-manieth open stretch of its day
	ends   bool       // the last open stretch of its day
	tried  []trial
	first4 [4]trial // room for what is mostly tried
}

// trial remembers a clock time that was tried in a place, for the search meets it many times.
type trial struct {
	clock unit.Clock
	start unit.Local
	ok    bool
}

// option is one start: clock is where the sitting would begin without a clock change.
type option struct {
	start unit.Local
	clock unit.Clock
}

type pick struct {
	place int
	option
}

// score is the package's list, lines 1 to 9; less is better, the first line that differs decides. The tenth, earliest, is the
// order of the search.
type score [9]int

const (
	missing = iota
	moved
	ends
	split
	short
	ring
	unusual
	clocks
	uneven
)

func (a *score) worse(b *score) int { return slices.Compare(a[:], b[:]) }

// maxNodes bounds the search, against hours cut into dozens of slivers. Seven days of two stretches need a few hundred;
// past the bound the best found so far stands.
const maxNodes = 1 << 18

// solve is the best picks, in time order.
func (q *query) solve() []pick {
	q.open()
	q.path, q.best, q.found, q.nodes = q.path[:0], q.best[:0], false, 0
	s := state{memory: &q.memory, prev: q.memory.prev, started: q.memory.started,
		clock: q.memory.clock, clocked: q.memory.clocked, day: -1, firstDay: -1}
	q.stand(&s)
	q.descend(0, s)
	return q.best
}

// open lists the places of the week.
func (q *query) open() {
	wk := &q.course.Weeks[q.week]
	work := whole(wk.Work)
	q.places, q.shared = q.places[:0], [7]bool{}
	for d, spots := range q.days {
		from := len(q.places)
		for _, s := range spots {
			q.places = append(q.places, place{day: d, spot: s, first: q.board.grid(s.from), index: len(q.places) - from})
			p, ok := &q.places[len(q.places)-1], false
			if s.sit != nil {
				p.follow, ok = q.board.follow(s, q.course, work)
				q.shared[d] = q.shared[d] || ok
			} else {
				_, ok = q.try(p, p.first)
			}
			if !ok {
				q.places = q.places[:len(q.places)-1]
			}
		}
		if n := len(q.places); n > from {
			q.places[n-1].ends = true
		}
	}
	q.room = append(q.room[:0], make([]int, len(q.places)+1)...)
	for i, n := len(q.places)-1, 0; i >= 0; i-- {
		if q.places[i].ends {
			n = 0
		}
		n++
		q.room[i] = q.room[i+1]
		if n <= wk.PerDay {
			q.room[i]++
		}
	}
}

// state is a branch of the search, copied on the way down.
type state struct {
	memory   *memory
	prev     unit.Local
	started  bool
	clock    [ordinals]unit.Clock
	clocked  [ordinals]bool
	cost     score
	used     int  // training days
	day      int  // the day of the last pick, -1 before the first
	taken    int  // sessions on it
	head     bool // the first of them stands in the day's first open stretch
	tail     bool // the last of them stands in the day's last one
	follows  bool // one of them shares a sitting
	firstDay int
	first    unit.Local
}

// descend tries every choice from place i on, earlier starts first and leaving the place empty last, and drops a
// branch as soon as it cannot be better than the best found.
func (q *query) descend(i int, s state) {
	wk := &q.course.Weeks[q.week]
	q.nodes++
	if q.board.tried++; q.nodes > maxNodes && q.found || q.board.tried > bound.Candidates {
		return
	}
	if s.day >= 0 && s.taken > 0 && (i == len(q.places) || q.places[i].day != s.day) {
		q.closeDay(&s)
	}
	todays := 0
	if s.taken > 0 {
		todays = wk.PerDay - s.taken
	}
	bound := s.cost
	bound[missing] = wk.Days*wk.PerDay - len(q.fixed) - len(q.path) - min(q.room[i], todays+(wk.Days-s.used)*wk.PerDay)
	if i == len(q.places) {
		q.closeWeek(&s, &bound)
	}
	if q.found && bound.worse(&q.cost) >= 0 {
		return
	}
	if i == len(q.places) {
		q.best, q.cost, q.found = append(q.best[:0], q.path...), bound, true
		return
	}
	if s.taken > 0 && todays > 0 || s.taken == 0 && s.used < wk.Days {
		var buf [8]option
		for _, o := range q.options(&q.places[i], &s, buf[:0]) {
			q.path = append(q.path, pick{i, o})
			q.descend(i+1, q.take(i, o, s))
			q.path = q.path[:len(q.path)-1]
		}
	}
	q.descend(i+1, s)
}

// take is the branch in which place i holds a session at o.
func (q *query) take(i int, o option, s state) state {
	p := &q.places[i]
	if s.started && o.start-s.prev < unit.Local(q.course.Preferred) {
		s.cost[short]++
	}
	if len(q.keep) > 0 && !q.stays(o.start) {
		s.cost[moved]++
	}
	if len(s.memory.usual) > 0 && !slices.Contains(s.memory.usual, habit{p.day, o.clock}) {
		s.cost[unusual]++
	}
	if s.taken == 0 {
		if s.firstDay < 0 {
			s.firstDay, s.first = p.day, o.start
		} else {
			s.cost[uneven] += (p.day - s.day) * (p.day - s.day)
		}
		s.used, s.day, s.head, s.follows = s.used+1, p.day, p.index == 0, false
	}
	n := ordinal(s.taken)
	if s.clocked[n] && s.clock[n] != o.clock {
		s.cost[clocks]++
	}
	s.clock[n], s.clocked[n] = o.clock, true
	s.taken, s.tail = s.taken+1, p.ends
	s.follows = s.follows || p.spot.sit != nil
	s.prev, s.started = o.start, true
	return s
}

func (q *query) closeDay(s *state) {
	if s.taken > 1 && !s.head {
		s.cost[ends]++
	}
	if s.taken > 1 && !s.tail {
		s.cost[ends]++
	}
	if q.shared[s.day] && !s.follows {
		s.cost[split]++
	}
	s.taken = 0
}

// closeWeek adds what only the whole week shows.
func (q *query) closeWeek(s *state, c *score) {
	if s.firstDay < 0 {
		return
	}
	if len(q.keep) > 0 && q.next != 0 && q.next-s.prev < unit.Local(q.course.Floor) {
		c[moved]++ // the next week's first session would have to go
	}
	want := unit.Local(max(q.course.Preferred, q.course.Floor))
	if !q.last && s.first+7*1440-s.prev < want {
		c[ring]++
	}
	gap := s.firstDay + 7 - s.day
	c[uneven] += gap * gap
}
