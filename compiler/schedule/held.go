package schedule

import (
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// today is the first day that is not wholly past; 0 where nothing is past.
func (b *board) today() unit.Date {
	if b.in.Now == 0 {
		return 0
	}
	return b.in.Now.Date()
}

// held is what the plan before has of a protocol in a week: what has begun and lies in it, and what is still to come.
func (b *board) held(c *Course, week int) (fixed, keep []record.Session) {
	for _, s := range b.in.Past {
		if d := s.Start.Date(); s.Protocol == c.Protocol && s.Status != record.Cancelled && d >= b.date(c, week, 0) && d <= b.date(c, week, 6) {
			fixed = append(fixed, s)
		}
	}
	for _, s := range b.in.Held {
		if s.Protocol == c.Protocol && s.Week == week+1 {
			keep = append(keep, s)
		}
	}
	return fixed, keep
}

// firstHeld is the first start of a week in the plan before; 0 = none.
func (b *board) firstHeld(c *Course, week int) unit.Local {
	_, keep := b.held(c, week)
	for _, s := range keep {
		if s.Status != record.Cancelled {
			return s.Start
		}
	}
	return 0
}

// occupy takes the stretches in which something past stood today: nothing is put behind it.
func (b *board) occupy(day int) {
	for _, s := range b.in.Past {
		if s.Status == record.Cancelled || s.Start.Date() != b.today() {
			continue
		}
		end := s.Start.Clock() + unit.Clock((s.Seconds+59)/60)
		sp := &spot{stretch: stretch{s.Start.Clock(), end}, date: b.today(), past: true,
			sit: &sitting{start: s.Start, clock: s.Start.Clock(), seconds: s.Seconds}}
		b.days[day] = append(b.days[day], sp)
	}
	slices.SortStableFunc(b.days[day], func(x, y *spot) int { return int(x.from - y.from) })
}

// recall is what a week that is wholly past hands on: the sessions that stood in it.
func (b *board) recall(q *query) memory {
	m := q.memory
	fixed, _ := b.held(q.course, q.week)
	m.settle(fixed)
	if usual := q.usualOf(fixed); len(usual) > 0 {
		wk := &q.course.Weeks[q.week]
		if complete := len(fixed) == wk.Days*wk.PerDay && !b.off(q.course, q.week); complete || !m.firm {
			m.usual, m.firm = usual, complete
		}
	}
	return m
}

// settle takes sessions that stand into the memory of last starts and clock times.
func (m *memory) settle(fixed []record.Session) {
	day, n := unit.Date(0), 0
	for _, s := range fixed {
		if s.Start.Date() != day {
			day, n = s.Start.Date(), 0
		}
		m.prev, m.started = max(m.prev, s.Start), true
		m.clock[ordinal(n)], m.clocked[ordinal(n)] = s.Start.Clock(), true
		n++
	}
}

func (q *query) usualOf(fixed []record.Session) (usual []habit) {
	for _, s := range fixed {
		usual = append(usual, habit{int(s.Start.Date() - q.date(0)), s.Start.Clock()})
	}
	return usual
}

// stand lets a search begin behind the sessions of the week that stand already.
func (q *query) stand(s *state) {
	for _, f := range q.fixed {
		day := int(f.Start.Date() - q.date(0))
		if day != s.day {
			if s.firstDay < 0 {
				s.firstDay, s.first = day, f.Start
			} else {
				s.cost[uneven] += (day - s.day) * (day - s.day)
			}
			s.used, s.day, s.taken, s.head = s.used+1, day, 0, true
		}
		s.taken++
		s.prev, s.started = max(s.prev, f.Start), true
	}
	if q.date(max(s.day, 0)) < q.board.today() {
		s.taken = 0 // that day is over
	}
}

// stays says whether the plan before has a session at this start.
func (q *query) stays(at unit.Local) bool {
	return slices.ContainsFunc(q.keep, func(s record.Session) bool { return s.Start == at && s.Status != record.Cancelled })
}

// slots gives each pick its number in the week, by which it is known from plan to plan: a session that stays, or stays on its
// day, keeps its own, the others take those that were left in order, those of cancelled sessions last, and then new ones.
func (q *query) slots(picks []pick) []int {
	out := make([]int, len(picks))
	if len(q.board.in.Held)+len(q.board.in.Past) == 0 {
		for i := range out {
			out[i] = i + 1
		}
		return out
	}
	taken := map[int]bool{}
	for _, s := range q.board.in.Past { // a number that is past is spent, cancelled or not
		if s.Protocol == q.course.Protocol && s.Week == q.week+1 {
			taken[s.Slot] = true
		}
	}
	for _, same := range []func(a, b unit.Local) bool{
		func(a, b unit.Local) bool { return a == b }, func(a, b unit.Local) bool { return a.Date() == b.Date() },
	} {
		for i, p := range picks {
			for _, k := range q.keep {
				if out[i] == 0 && same(k.Start, p.start) && k.Status != record.Cancelled && !taken[k.Slot] {
					out[i], taken[k.Slot] = k.Slot, true
				}
			}
		}
	}
	for _, dead := range []bool{false, true} {
		for _, k := range q.keep {
			if (k.Status == record.Cancelled) != dead || taken[k.Slot] {
				continue
			}
			if i := slices.Index(out, 0); i >= 0 {
				out[i], taken[k.Slot] = k.Slot, true
			}
		}
	}
	next := 1
	for i := range out {
		if out[i] != 0 {
			continue
		}
		for taken[next] {
			next++
		}
		out[i], taken[next] = next, true
	}
	return out
}
