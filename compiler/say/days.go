package say

import (
	"fmt"
	"time"

	"isocue.example/compiler/unit"
)

// Days are the names and forms of days.
type Days struct {
	Weekday, Short [7]string // Sunday first
	Month          [12]string
	Date           string // day, month: 4 January
	Year           string // date, year
	Named          string // weekday, date
	Range          string // two days
	SameMonth      string // first day's number, last date: 4 to 10 January
}

// Date is a day without its year: 4 January.
func (l *Language) Date(d unit.Date) string {
	_, m, day := d.Time().Date()
	return fmt.Sprintf(l.Days.Date, day, l.Days.Month[m-1])
}

// Day is a day with its weekday: Monday 4 January.
func (l *Language) Day(d unit.Date) string {
	return fmt.Sprintf(l.Days.Named, l.Days.Weekday[d.Weekday()], l.Date(d))
}

// FullDay is a day with its weekday and year.
func (l *Language) FullDay(d unit.Date) string {
	return fmt.Sprintf(l.Days.Year, l.Day(d), d.Time().Year())
}

// Span of days: 4 to 10 January, 29 January to 4 February; of one day, that day.
func (l *Language) Dates(from, to unit.Date) string {
	a, b := from.Time(), to.Time()
	switch {
	case from == to:
		return l.Date(from)
	case a.Year() == b.Year() && a.Month() == b.Month():
		return fmt.Sprintf(l.Days.SameMonth, a.Day(), l.Date(to))
	}
	return fmt.Sprintf(l.Days.Range, l.Date(from), l.Date(to))
}

// Weekday is the short name of a day of the week.
func (l *Language) Weekday(d time.Weekday) string { return l.Days.Short[d] }

// DaySpan is one day, or a first and a last one, with their weekdays.
func (l *Language) DaySpan(from, to unit.Date) string {
	if from == to {
		return l.Day(from)
	}
	return fmt.Sprintf(l.Days.Range, l.Day(from), l.Day(to))
}
