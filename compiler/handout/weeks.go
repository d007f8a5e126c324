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

// calendarWeek is what stands in one week: by line, the weekdays of each time.
type calendarWeek struct {
	week  int
	lines []weekLine
}

// weekTable groups the coming sessions by week, and weeks in a row that are alike into one.
func weekTable(p *record.Plan, l *say.Language, sessions []*record.Session) (out []weekRow) {
	var weeks []calendarWeek
	for i := 0; i < len(sessions); {
		j := i
		for j < len(sessions) && sessions[j].Week == sessions[i].Week {
			j++
		}
		weeks = append(weeks, calendarWeek{sessions[i].Week, weekLines(p, l, sessions[i:j])})
		i = j
	}
	for i := 0; i < len(weeks); {
		j := i + 1
		for j < len(weeks) && weeks[j].week == weeks[j-1].week+1 && slices.Equal(weeks[j].lines, weeks[i].lines) {
			j++
		}
		first, last := weeks[i].week, weeks[j-1].week
		out = append(out, weekRow{l.Weeks(first, last), l.Dates(monday(p, first), monday(p, last)+6), weeks[i].lines})
		i = j
	}
	return out
}

// monday is the first day of a week of the course, whatever weekday that is.
func monday(p *record.Plan, week int) unit.Date { return p.Start + unit.Date(7*(week-1)) }

// weekLines are the lines of one week, in the order in which its sessions first come.
func weekLines(p *record.Plan, l *say.Language, sessions []*record.Session) (out []weekLine) {
	type slot struct {
		at   unit.Clock
		days []time.Weekday
	}
	slots := map[weekLine][]slot{}
	for _, s := range sessions {
		k := p.Kinds[s.Kind]
		line := weekLine{What: k.Title, Long: l.Minutes(s.Seconds - around(p, s)), Set: setting(l, &k, s.Status)}
		if _, ok := slots[line]; !ok {
			out = append(out, line)
		}
		i := slices.IndexFunc(slots[line], func(x slot) bool { return x.at == s.Start.Clock() })
		if i < 0 {
			slots[line] = append(slots[line], slot{at: s.Start.Clock()})
			i = len(slots[line]) - 1
		}
		slots[line][i].days = append(slots[line][i].days, s.Start.Date().Weekday())
	}
	for i := range out {
		var parts []string
		for _, x := range slots[out[i]] {
			parts = append(parts, weekdays(l, x.days)+" "+x.at.String())
		}
		out[i].When = strings.Join(parts, "; ")
	}
	return out
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
	type run struct {
		what        record.OtherKind
		about       string
		first, last unit.Date
	}
	var runs []run
	for _, o := range p.Others {
		if o.Date < now.Date() || o.Status == record.Cancelled {
			continue
		}
		i := slices.IndexFunc(runs, func(r run) bool { return r.what == o.What && r.about == o.About && r.last+1 == o.Date })
		if i < 0 {
			runs = append(runs, run{o.What, o.About, o.Date, o.Date})
		} else {
			runs[i].last = o.Date
		}
	}
	slices.SortStableFunc(runs, func(a, b run) int { return int(a.first - b.first) })
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
