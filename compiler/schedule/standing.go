package schedule

import (
	"fmt"
	"strings"

	"isocue.example/compiler/unit"
)

// standing is how a day of a week stands to a protocol.
type standing int

const (
	open   standing = iota
	gone            // past
	absent          // a day away
	shut            // closed to training, by more than the client's choice
	bare            // no hours
	tight           // every stretch is shorter than the sitting
	full            // another protocol sits there and there is no room behind it
	changing
)

var standings = map[standing]string{
	gone: "past", absent: "away", shut: "closed to training", bare: "without hours", tight: "with too short a stretch of hours",
	full: "full with another protocol", changing: "with a clock change in the hours",
}

// standing is how a day stands, the floor set aside.
func (q *query) standing(day int) standing {
	date := q.date(day)
	switch {
	case date < q.board.today():
		return gone
	case q.course.shut(date):
		return shut
	case len(q.days[day]) == 0 && q.board.isAway(date):
		return absent
	case len(q.days[day]) == 0:
		return bare
	}
	for i := range q.places {
		if q.places[i].day == day {
			return open
		}
	}
	long, taken := false, false
	for _, s := range q.days[day] {
		if q.board.grid(s.from)+unit.Clock(q.minutes()) <= s.to {
			long, taken = true, taken || s.sit != nil
		}
	}
	switch {
	case taken:
		return full
	case long:
		return changing
	}
	return tight
}

// openDays counts the open days and names what closes the others.
func (q *query) openDays() (reason string, opens int) {
	n := map[standing]int{}
	for d := range 7 {
		n[q.standing(d)]++
	}
	reason = "only " + count(n[open], "training day is", "training days are") + " open in this week"
	if n[open] == 0 {
		reason = "no training day is open in this week"
	}
	var why []string
	for st := gone; st <= changing; st++ {
		if n[st] > 0 {
			why = append(why, fmt.Sprintf("%d %s", n[st], standings[st]))
		}
	}
	if n[tight] > 0 {
		why = append(why, fmt.Sprintf("the sitting takes %d min", q.minutes()))
	}
	if len(why) > 0 {
		reason += " (" + strings.Join(why, ", ") + ")"
	}
	return reason, n[open]
}
