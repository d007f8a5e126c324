package schedule

import (
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// options is the starts to try in a place after s, in time order, none of which breaks the floor.
func (q *query) options(p *place, s *state, out []option) []option {
	floor, wish := unit.Local(-1<<62), unit.Local(-1<<62)
	if s.started {
		floor = s.prev + unit.Local(q.course.Floor)
		wish = s.prev + unit.Local(q.course.Preferred)
		if sitting := q.board.alone(whole(q.course.Weeks[q.week].Work)); s.prev.Date() == p.spot.date {
			floor = max(floor, s.prev+unit.Local((sitting+59)/60+q.board.calm())) // a reading waits after one's own work too
		}
	}
	if p.spot.sit != nil {
		if p.follow >= floor {
			out = append(out, option{p.follow, p.spot.sit.clock})
		}
		return out
	}
	add := func(c unit.Clock) {
		if c < p.first || unit.At(p.spot.date, c) < floor || slices.ContainsFunc(out, func(o option) bool { return o.clock == c }) {
			return
		}
		at, ok := q.try(p, c)
		if !ok {
			return
		}
		for i := range out { // two clock times that a clock change moves to one start: the earlier was meant
			if out[i].start == at {
				out[i].clock = min(out[i].clock, c)
				return
			}
		}
		out = append(out, option{at, c})
	}
	add(p.first)
	for _, k := range q.keep {
		if k.Start.Date() == p.spot.date && k.Status != record.Cancelled && k.Start.Clock()%q.board.step == 0 {
			add(k.Start.Clock())
		}
	}
	for _, t := range []unit.Local{floor, wish} {
		if t.Date() == p.spot.date {
			add(q.board.grid(t.Clock()))
		}
	}
	for _, h := range s.memory.usual {
		if h.day == p.day && p.spot.from <= h.clock && h.clock < p.spot.to {
			add(h.clock)
			break
		}
	}
	if n := ordinal(s.taken); s.clocked[n] && s.clock[n]%q.board.step == 0 {
		add(s.clock[n])
	}
	slices.SortFunc(out, func(a, b option) int { return int(a.clock - b.clock) })
	return out
}

// try is fit with memory.
func (q *query) try(p *place, c unit.Clock) (unit.Local, bool) {
	for _, t := range p.tried {
		if t.clock == c {
			return t.start, t.ok
		}
	}
	wk := &q.course.Weeks[q.week]
	at, ok := q.board.fit(p.spot, c, q.board.alone(whole(wk.Work)))
	if p.tried == nil {
		p.tried = p.first4[:0]
	}
	p.tried = append(p.tried, trial{c, at, ok})
	return at, ok
}
