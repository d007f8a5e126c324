package handout

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

// weekRow is a run of weeks that are alike, a line a session.
type weekRow struct {
	Weeks, Dates string
	Lines        []weekLine
}

// weekLine is one session of a week: what, on which days at what time, how long, set to what.
type weekLine struct{ What, When, Long, Set string }

// calendarWeek is what stands in seven days of the sheet: by line, the weekdays of each time, and which weeks of its own course the line
// is of.
type calendarWeek struct {
	week  int
	lines []weekLine
	of    []courseWeeks
}

// courseWeeks is a run of weeks of one course.
type courseWeeks struct{ first, last int }

// weekTable groups the coming sessions by the days that they lie on, seven from the first course's start on, and weeks in a row that are
// alike into one. Courses that begin on different days each have weeks of their own: a row is then known by its dates, and a line says
// which weeks of its course it is of.
func weekTable(p *record.Plan, l *say.Language, sessions []*record.Session) (out []weekRow) {
	first, one := began(p, sessions)
	var weeks []calendarWeek
	for i := 0; i < len(sessions); {
		week, j := weekFrom(first, sessions[i]), i
		for j < len(sessions) && weekFrom(first, sessions[j]) == week {
			j++
		}
		lines, of := weekLines(p, l, sessions[i:j])
		weeks = append(weeks, calendarWeek{week, lines, of})
		i = j
	}
	for i := 0; i < len(weeks); {
		j := i + 1
		for j < len(weeks) && weeks[j].week == weeks[j-1].week+1 && slices.Equal(weeks[j].lines, weeks[i].lines) {
			j++
		}
		from, to := weeks[i].week, weeks[j-1].week
		row := weekRow{Dates: l.Dates(first+unit.Date(7*(from-1)), first+unit.Date(7*to-1)), Lines: weeks[i].lines}
		if one {
			row.Weeks = l.Weeks(from, to)
		} else {
			for k := range row.Lines {
				row.Lines[k].What += ", " + l.InWeeks(weeks[i].of[k].first, weeks[j-1].of[k].last)
			}
		}
		out = append(out, row)
		i = j
	}
	return out
}

// began is the first day of the first course that some sessions are of, and whether it is that of all.
func began(p *record.Plan, sessions []*record.Session) (first unit.Date, one bool) {
	one = true
	for i, s := range sessions {
		start := p.Start
		if c, ok := p.Course(s.Protocol); ok {
			start = c.Start
		}
		if i == 0 {
			first = start
		}
		one, first = one && start == first, min(first, start)
	}
	return first, one
}

// weekFrom is the week in which a session lies, from a day on; 1 is the first.
func weekFrom(first unit.Date, s *record.Session) int { return int(s.Start.Date()-first)/7 + 1 }

// weekLines are the lines of one week, in the order in which its sessions first come, and the weeks of its course that each is of.
func weekLines(p *record.Plan, l *say.Language, sessions []*record.Session) (out []weekLine, of []courseWeeks) {
	type slot struct {
		at   unit.Clock
		days []time.Weekday
	}
	type key struct {
		weekLine
		protocol string
	}
	slots := map[key][]slot{}
	var keys []key
	for _, s := range sessions {
		k := p.Kinds[s.Kind]
		line := key{weekLine{What: k.Title, Long: l.Minutes(s.Seconds - around(p, s)), Set: setting(l, &k, s.Status)}, s.Protocol}
		if _, ok := slots[line]; !ok {
			keys, of = append(keys, line), append(of, courseWeeks{s.Week, s.Week})
		}
		at := slices.Index(keys, line)
		of[at].last = s.Week
		i := slices.IndexFunc(slots[line], func(x slot) bool { return x.at == s.Start.Clock() })
		if i < 0 {
			slots[line] = append(slots[line], slot{at: s.Start.Clock()})
			i = len(slots[line]) - 1
		}
		slots[line][i].days = append(slots[line][i].days, s.Start.Date().Weekday())
	}
	for _, k := range keys {
		var parts []string
		for _, x := range slots[k] {
			parts = append(parts, weekdays(l, x.days)+" "+x.at.String())
		}
		line := k.weekLine
		line.When = strings.Join(parts, "; ")
		out = append(out, line)
	}
	return out, of
}

// around is what the gate before and the minutes after the work take of a session.
func around(p *record.Plan, s *record.Session) (seconds int) {
	if s.Gate {
		seconds += p.Sitting.GateSeconds()
	}
	if s.End {
		seconds += p.Sitting.EndSeconds
	}
	return seconds
}

func weekdays(l *say.Language, days []time.Weekday) string {
	if len(days) == 7 {
		return l.Sheet.Every
	}
	var names []string
	for _, d := range days {
		names = append(names, l.Weekday(d))
	}
	return strings.Join(names, ", ")
}

// setting is what a session is set to, in a few words.
func setting(l *say.Language, k *record.Kind, status record.Status) string {
	t := l.Sheet
	provisional := status == record.Provisional
	switch {
	case provisional && (k.NoNumber || len(k.Loads) == 0 && k.Modality.Effort()):
		return t.NoLoad
	case len(k.Loads) == 0:
		return t.Nothing
	}
	s := l.Load(k)
	if provisional {
		return fmt.Sprintf(t.LastLoad, s)
	}
	return s
}

// also is an all-day entry, or a run of them on days in a row.
type also struct {
	When, What string
	Lines      []string
}

// alsoList lists the sessions with the coach and the all-day entries that still stand, by their first day.
func alsoList(p *record.Plan, l *say.Language, now unit.Local, sessions []*record.Session) []also {
	type days struct {
		what        record.OtherKind
		about       string
		first, last unit.Date
	}
	var runs []days
	for _, o := range p.Others {
		if o.Date < now.Date() || o.Status == record.Cancelled {
			continue
		}
		i := slices.IndexFunc(runs, func(r days) bool { return r.what == o.What && r.about == o.About && r.last+1 == o.Date })
		if i < 0 {
			runs = append(runs, days{o.What, o.About, o.Date, o.Date})
		} else {
			runs[i].last = o.Date
		}
	}
	slices.SortStableFunc(runs, func(a, b days) int { return int(a.first - b.first) })
	var out []also
	for _, s := range sessions {
		if s.Supervised {
			out = append(out, also{When: l.Day(s.Start.Date()), What: l.Session.Supervised})
		}
	}
	// entries that say the same are one, with all their days
	for _, r := range runs {
		a := also{When: l.DaySpan(r.first, r.last), What: l.Entry.Titles[r.what] + ".", Lines: l.EntryLines(p, r.what, r.about)}
		if i := slices.IndexFunc(out, func(x also) bool { return x.What == a.What && slices.Equal(x.Lines, a.Lines) }); i >= 0 {
			out[i].When += "; " + a.When
			continue
		}
		out = append(out, a)
	}
	return out
}
