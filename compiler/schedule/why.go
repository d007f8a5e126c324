package schedule

import (
	"fmt"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// explain is one entry for every session of the week that picks leaves out: first the later sessions of a training
// day, then the days that are missing. A fix that names a day has been tried: with it one more session is placed.
func (q *query) explain(picks []pick) []record.Unplaced {
	wk := &q.course.Weeks[q.week]
	if !q.board.hoursOn(q.date(0)).has() {
		return q.repeat(wk.Days*wk.PerDay, "the client record has no hours",
			fmt.Sprintf("write hours with at least %d min on %d days of the week", q.minutes(), wk.Days))
	}
	var out []record.Unplaced
	taken := [7]int{}
	for _, f := range q.fixed {
		taken[int(f.Start.Date()-q.date(0))]++
	}
	for _, p := range picks {
		taken[q.places[p.place].day]++
	}
	days := 0
	for d, n := range taken {
		if n == 0 {
			continue
		}
		days++
		switch {
		case q.date(d) < q.board.today(): // what was missed is not made up for
		case n < wk.PerDay && q.course.over(q.date(d)):
			out = append(out, q.ended(wk.PerDay-n)...)
		case n < wk.PerDay:
			out = append(out, q.repeat(wk.PerDay-n, q.daily(d, n), q.second(d))...)
		}
	}
	if missing := wk.Days - days; missing > 0 {
		out = append(out, q.daysMissing(missing, q.kept(picks), days)...)
	}
	return out
}

// ended is n entries of sessions that would have stood behind the last day.
func (q *query) ended(n int) []record.Unplaced {
	fix := q.course.LastFix
	if fix == "" {
		fix = fmt.Sprintf("settle this, then compile again: no session is placed after %s until then", q.course.Last)
	}
	return q.repeat(n, q.course.LastWhy, fix)
}

func (q *query) repeat(n int, reason, fix string) []record.Unplaced {
	out := make([]record.Unplaced, n)
	for i := range out {
		out[i] = record.Unplaced{Week: q.week + 1, Protocol: q.course.Protocol, Reason: reason, Fix: fix}
	}
	return out
}

// daily is why a training day holds n sessions and not all.
func (q *query) daily(day, n int) string {
	stretches := 0
	for i := range q.places {
		if q.places[i].day == day {
			stretches++
		}
	}
	if stretches > n {
		return fmt.Sprintf("the gap of %s h from start to start leaves room for %d of %d sessions on %s",
			hoursOf(q.course.Floor), n, q.course.Weeks[q.week].PerDay, q.name(day))
	}
	return fmt.Sprintf("only %s of hours with room on %s for %d sessions", count(stretches, "stretch", "stretches"), q.name(day),
		q.course.Weeks[q.week].PerDay)
}

func (q *query) second(day int) string {
	fix := fmt.Sprintf("write a further stretch of hours on %s, of at least %d min", q.date(day).Weekday(), q.minutes())
	if q.course.Floor > 0 {
		fix += fmt.Sprintf(", %s h or more from every other start", hoursOf(q.course.Floor))
	}
	return fix
}

// daysMissing is the entries of the training days that the week does not give.
func (q *query) daysMissing(n, placed, days int) []record.Unplaced {
	wk := &q.course.Weeks[q.week]
	reason, opens := q.openDays()
	if opens >= wk.Days {
		reason = fmt.Sprintf("the gap of %s h from start to start leaves %s in this week", hoursOf(q.course.Floor), count(days, "training day", "training days"))
	}
	var out []record.Unplaced
	trial, helps := q.apart(), q.minutes() <= 24*60
	swap := ""
	if opens >= wk.Days { // the days are many enough and stand too close: other days, not more of them
		swap = q.swapDays(placed + n*wk.PerDay)
	}
	for range n {
		fix := swap
		if fix == "" && helps {
			fix, placed = trial.tryDays(placed)
		}
		if fix == "" {
			fix, helps = q.lessFix(days), false
		}
		out = append(out, q.repeat(wk.PerDay, reason, fix)...)
	}
	return out
}

// lessFix is the fix where no further day helps.
func (q *query) lessFix(days int) string {
	switch {
	case q.minutes() > 24*60:
		return fmt.Sprintf("write a shorter session: a sitting of %d min does not fit into a day", q.minutes())
	case days == 0:
		return "begin the course in another week"
	}
	return fmt.Sprintf("write daysPerWeek %d for this week", days)
}

// swapDays looks for one open day whose hours, moved to another day of the week, place all; the shortest move first, and ""
// when there is none.
func (q *query) swapDays(all int) string {
	trial := q.apart()
	for far := 1; far < 7; far++ {
		for from := range 7 {
			for _, to := range []int{from + far, from - far} {
				if to < 0 || to > 6 || q.standing(from) != open || q.date(to) <= q.board.today() {
					continue
				}
				if st := q.standing(to); st == open || st == absent || st == shut {
					continue
				}
				trial.days = q.days
				trial.days[from], trial.days[to] = nil, nil
				for _, s := range q.days[from] {
					trial.days[to] = append(trial.days[to], &spot{stretch: s.stretch, date: q.date(to)})
				}
				if trial.kept(trial.solve()) >= all {
					return fmt.Sprintf("move the hours of %s to %s: that places all", q.name(from), q.name(to))
				}
			}
		}
	}
	return ""
}

// apart is a copy that shares no buffer and is bound by no plan before, for trying what if.
func (q *query) apart() query {
	t := *q
	t.places, t.room, t.path, t.best, t.keep, t.next = nil, nil, nil, nil, nil, 0
	return t
}

// tryDays opens the days of the week one by one, as the client's widest day is open, and keeps the first day with which
// more sessions are placed up to the course's last day. It returns what was opened, "" when nothing helps, and the
// sessions then placed.
func (q *query) tryDays(placed int) (fix string, after int) {
	hours := q.template()
	base := q.days
	var was [7]standing
	for d := range 7 {
		was[d] = q.standing(d) // before solve lists other places
	}
	for d, st := range was {
		if st == open || st == shut || q.date(d) <= q.board.today() {
			continue // opening what is open, or past, adds nothing; what is closed nobody opens
		}
		q.days = base
		q.days[d] = nil
		for _, s := range hours {
			q.days[d] = append(q.days[d], &spot{stretch: s, date: q.date(d)})
		}
		if got := q.kept(q.solve()); got > placed {
			return q.opening(d, st, hours), got
		}
	}
	q.days = base
	return "", placed
}

func (q *query) opening(day int, st standing, hours []stretch) string {
	var spans []string
	for _, s := range hours {
		spans = append(spans, fmt.Sprintf("%s to %s", s.from, s.to))
	}
	when := strings.Join(spans, " and ")
	switch st {
	case absent:
		return fmt.Sprintf("train on %s, now a day away, from %s", q.name(day), when)
	case tight, full, changing:
		return fmt.Sprintf("write longer hours or a further stretch of at least %d min on %s, such as %s", q.minutes(), q.name(day), when)
	}
	return fmt.Sprintf("write hours on %s, such as %s", q.name(day), when)
}

// template is the hours of the weekday with the most stretches long enough for the sitting; where there is none, the
// first stretch written, lengthened to the sitting.
func (q *query) template() []stretch {
	need := unit.Clock(q.minutes())
	var best []stretch
	for d := range 7 {
		var fits []stretch
		for _, s := range q.board.hoursOn(q.date(d)).days[q.date(d).Weekday()] {
			if q.board.grid(s.from)+need <= s.to {
				fits = append(fits, s)
			}
		}
		if len(fits) > len(best) {
			best = fits
		}
	}
	if best == nil {
		from := min(q.board.grid(q.board.hoursOn(q.date(0)).hours[0].From), 24*60-need) / q.board.step * q.board.step
		best = []stretch{{from, from + need}}
	}
	return best
}

// minutes is the length of the sitting alone, in whole minutes.
func (q *query) minutes() int {
	return (q.board.alone(whole(q.course.Weeks[q.week].Work)) + 59) / 60
}

func (q *query) name(day int) string {
	d := q.date(day)
	return d.Weekday().String()[:3] + " " + d.String()
}

// hoursOf writes minutes as hours.
func hoursOf(minutes int) string { return unit.Ratio(int64(minutes), 60).String() }

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
