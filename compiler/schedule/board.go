package schedule

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// board is the course's days with their stretches, and the sittings placed so far.
type board struct {
	in     Input
	step   unit.Clock
	weekly []weekly  // by the day from which it counts
	first  unit.Date // the earliest start of a course
	days   [][]*spot // by day from there
	tried  int       // candidates that all searches looked at
}

type stretch struct{ from, to unit.Clock }

// weekly is the stretches of each weekday from a day on, in time order, overlaps joined.
type weekly struct {
	from  unit.Date
	days  [7][]stretch
	hours []record.Hours // as they were written
}

// spot is a stretch on a date. It holds one sitting at most, so that no gate is asked twice in one stretch.
type spot struct {
	stretch
	date unit.Date
	sit  *sitting
	past bool // something of the plan before that stands
}

type sitting struct {
	start unit.Local
	clock unit.Clock // where it would have begun without a clock change
	parts []part
	// seconds is the length of a sitting that is past; that of the others follows from their parts.
	seconds int
}

type part struct {
	course     *Course
	week, slot int
	kind       string
	work       int // seconds
}

func newBoard(in Input) *board {
	b := &board{in: in, step: unit.Clock(max(in.Sitting.StartMinutes, 1))}
	if b.in.Clean == nil {
		b.in.Clean = func(unit.Local) bool { return true }
	}
	for _, l := range append([]Later{{Hours: in.Hours}}, in.Later...) {
		w := weekly{from: l.From, hours: l.Hours}
		for d := range w.days {
			w.days[d] = join(l.Hours, time.Weekday(d))
		}
		b.weekly = append(b.weekly, w)
	}
	b.first = in.Start
	for i := range in.Courses {
		if s := in.Courses[i].Start; s != 0 && s < b.first {
			b.first = s
		}
	}
	return b
}

// reach lists the days up to the end of a week.
func (b *board) reach(c *Course, week int) {
	for d := len(b.days); d < int(b.date(c, week, 6)-b.first)+1; d++ {
		date := b.first + unit.Date(d)
		b.days = append(b.days, nil)
		if b.isAway(date) || date < b.today() {
			continue
		}
		ss := b.hoursOn(date).days[date.Weekday()]
		if date == b.today() {
			ss = later(ss, b.in.Now.Clock())
		}
		block := make([]spot, len(ss))
		b.days[d] = make([]*spot, len(ss))
		for i, s := range ss {
			block[i] = spot{stretch: s, date: date}
			b.days[d][i] = &block[i]
		}
		if date == b.today() {
			b.occupy(d)
		}
	}
}

// later is the part of the stretches from a clock time on.
func later(all []stretch, now unit.Clock) (out []stretch) {
	for _, s := range all {
		if s.from = max(s.from, now); s.from < s.to {
			out = append(out, s)
		}
	}
	return out
}

// join is the stretches of a weekday in time order. Overlapping spans become one, or a sitting could stand twice in
// the same minute; spans that only touch are two, as they were written.
func join(hours []record.Hours, d time.Weekday) []stretch {
	var all []stretch
	for _, h := range hours {
		if h.On(d) && 0 <= h.From && h.From < h.To && h.To <= 24*60 {
			all = append(all, stretch{h.From, h.To})
		}
	}
	slices.SortFunc(all, func(a, b stretch) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	var out []stretch
	for _, s := range all {
		if n := len(out); n > 0 && s.from < out[n-1].to {
			out[n-1].to = max(out[n-1].to, s.to)
		} else {
			out = append(out, s)
		}
	}
	return out
}

// hoursOn is the hours that hold on a day.
func (b *board) hoursOn(d unit.Date) weekly {
	i := len(b.weekly) - 1
	for i > 0 && d < b.weekly[i].from {
		i--
	}
	return b.weekly[i]
}

// has says whether there is any stretch.
func (w weekly) has() bool {
	return slices.ContainsFunc(w.days[:], func(s []stretch) bool { return len(s) > 0 })
}

func (b *board) isAway(d unit.Date) bool {
	return slices.ContainsFunc(b.in.Away, func(s record.Span) bool { return s.Has(d) })
}

// date is a day of a week of a course, both from 0.
func (b *board) date(c *Course, week, day int) unit.Date {
	return cmp.Or(c.Start, b.in.Start) + unit.Date(week*7+day)
}

// date is a day of the week at hand.
func (q *query) date(day int) unit.Date { return q.board.date(q.course, q.week, day) }

// off says whether a week has days on which a course is closed.
func (b *board) off(c *Course, week int) bool {
	for d := range 7 {
		if day := b.date(c, week, d); b.isAway(day) || c.shut(day) {
			return true
		}
	}
	return false
}

func (b *board) week(c *Course, w int) (out [7][]*spot) {
	from := b.date(c, w, 0) - b.first
	copy(out[:], b.days[from:from+7])
	return out
}

// grid is the first start time at or after c.
func (b *board) grid(c unit.Clock) unit.Clock { return (c + b.step - 1) / b.step * b.step }

// alone is the length in seconds of a sitting with one part.
func (b *board) alone(work int) int {
	return b.in.Sitting.GateSeconds() + work + b.in.Sitting.EndSeconds
}

// offsets is the start of each part in minutes from the sitting's own, and the sitting's length in seconds. The first
// part begins with the gate. A start is a whole minute, so a part that ends within a minute is followed by less than
// a minute of sitting.
func (b *board) offsets(parts []part) (at []int, total int) {
	at, total = make([]int, len(parts)), b.in.Sitting.GateSeconds()
	for i, p := range parts {
		if i > 0 {
			at[i] = (total + 59) / 60
			total = at[i] * 60
		}
		total += p.work
	}
	return at, total + b.in.Sitting.EndSeconds
}

// clean says whether no clock change touches the minutes from start on. Clocks change by a quarter hour or more, so
// every fifth minute and both ends are enough.
func (b *board) clean(start unit.Local, seconds int) bool {
	end := start + unit.Local((seconds+59)/60)
	for t := start; t < end; t += 5 {
		if !b.in.Clean(t) {
			return false
		}
	}
	return b.in.Clean(end)
}

// fit is the first start at or after c, on the grid, from which seconds lie inside the stretch, outside a clock change
// and far enough from readings. c must stand on the grid.
func (b *board) fit(s *spot, c unit.Clock, seconds int) (unit.Local, bool) {
	for ; int(c)*60+seconds <= int(s.to)*60; c += b.step {
		if at := unit.At(s.date, c); b.clean(at, seconds) && b.apart(s, at, seconds) {
			return at, true
		}
	}
	return 0, false
}

// follow is the start of work put behind the sitting of a stretch.
func (b *board) follow(s *spot, c *Course, work int) (unit.Local, bool) {
	if s.past {
		return 0, false
	}
	if c.Modality == record.Strength && slices.ContainsFunc(s.sit.parts, func(p part) bool { return p.course.Modality.Hold() }) {
		return 0, false // exercises straight after squeezes or squats were tried by nobody
	}
	parts := append(slices.Clip(s.sit.parts), part{work: work})
	at, total := b.offsets(parts)
	if int(s.sit.start.Clock())*60+total > int(s.to)*60 || !b.clean(s.sit.start, total) || !b.apart(s, s.sit.start, total) {
		return 0, false
	}
	return s.sit.start + unit.Local(at[len(at)-1]), true
}

// add writes a part into a stretch, behind the sitting there or as a new one.
func (b *board) add(s *spot, c *Course, o option, p part) {
	if s.sit == nil {
		s.sit = &sitting{start: o.start, clock: o.clock}
	}
	s.sit.parts = append(s.sit.parts, p)
}

// sessions reads the board: every part of every sitting, sorted by start. Days and stretches stand in time order, and
// so do the parts of a sitting, so no sorting is left to do.
func (b *board) sessions() []record.Session {
	out := []record.Session{}
	for _, day := range b.days {
		for _, s := range day {
			if s.sit == nil || s.past {
				continue
			}
			at, _ := b.offsets(s.sit.parts)
			moved := ""
			if c := s.sit.start.Clock(); c != s.sit.clock {
				moved = fmt.Sprintf("the clocks change on %s: the sitting begins at %s instead of %s", s.date, c, s.sit.clock)
			}
			for i, p := range s.sit.parts {
				x := record.Session{
					Protocol: p.course.Protocol, Kind: p.kind, Week: p.week, Slot: p.slot,
					Start: s.sit.start + unit.Local(at[i]), Seconds: p.work,
					Gate: i == 0, End: i == len(s.sit.parts)-1, Moved: moved,
				}
				if x.Gate {
					x.Seconds += b.in.Sitting.GateSeconds()
				}
				if x.End {
					x.Seconds += b.in.Sitting.EndSeconds
				}
				out = append(out, x)
			}
		}
	}
	return out
}
