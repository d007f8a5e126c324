// Package course says what is trained in each session of a course, in their order. A course has a number of sessions, which it
// keeps: a day that is closed moves them behind it, and a session that was missed, or that found no hour, is not made up for. The
// weeks of a ramp are counted in sessions. After a gap a course goes on with lighter work, by a table.
//
// A gap is the whole days between two trained sessions with a due one missed between. A week is seven days from the start of the
// course; a start that was moved moves the weeks, and what was trained before it counts for gaps and loads, and for no week.
package course

import (
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Work is what one session is asked for.
type Work struct {
	Stage *record.Stage // its Index is that of the author's stage, also where the work was made lighter
	Down  int           // steps of the device, or of the test, below what the stage asks for
	Eased bool          // made lighter after a gap: floors do not judge it
}

// Key tells works of a protocol apart.
func (w Work) Key() string {
	key := []byte{byte('0' + w.Stage.Index/10), byte('0' + w.Stage.Index%10), byte('0' + w.Down), byte('0' + w.Stage.Rounds%10)}
	if w.Eased {
		key = append(key, 'e')
	}
	return string(key)
}

// Input is what a course depends on.
type Input struct {
	Protocol *record.Protocol
	Start    unit.Date
	Table    Table
	Done     []Done // sessions of the plan before that have begun, by start, cancelled ones too
	Today    unit.Date
	Open     func(unit.Date) bool // whether a day is open to training
	// Ill says whether an illness lies between two days; Measured, on or before a day, when what the loads stand on was last
	// measured; Level which stage asks for no more than the client does at that day.
	Ill      func(after, before unit.Date) bool
	Measured func(unit.Date) unit.Date
	Level    func(unit.Date) int
	MaxWeeks int // a client who is always away has no course
	// Easings are the days on which the coach took a step down, Easing what it is. Steady says whether no load rises on a day, since a
	// medicine changed; nil where none did.
	Easings []unit.Date
	Easing  *Row
	Steady  func(unit.Date) bool
}

// Done is a session that has begun.
type Done struct {
	Date    unit.Date
	Trained bool
	Off     bool // it was cancelled, or its day was closed: it is owed
	// Cancelled sessions have no place in their week.
	Cancelled bool
	Stage     int
}

// Course walks through the weeks. Week, Reached and Placed are called in turn, week by week.
type Course struct {
	in    Input
	queue []Work // what is still to be trained
	last  unit.Date
	at    int // stage last trained
	// missed says that a due session was missed since the last one trained.
	missed bool
	done   int // of in.Done, what was looked at
	// due and stand are the new sessions of the week at hand and those of it that stand; resumed is the day of the newest end of a gap.
	due, stand int
	resumed    unit.Date
	eased      unit.Date // the newest easing that was taken
}

// Wait is what keeps a course from going on: a measurement after a gap.
type Wait struct{ After, Before unit.Date } // the session before the gap, and the first that waits

// New is a course at its beginning.
func New(in Input) *Course {
	c := &Course{in: in, at: -1}
	left := in.MaxWeeks // no week behind it is asked for, however long a course says that it is
	for i := range in.Protocol.Stages {
		s := &in.Protocol.Stages[i]
		weeks := min(max(s.Weeks, 0), left) // a ramp may be longer than its course, which a rule refuses
		c.queue = append(c.queue, repeat(Work{Stage: s}, weeks)...)
		left -= weeks
	}
	for c.done < len(in.Done) && in.Done[c.done].Date < in.Start { // before a start that was moved
		c.take(in.Done[c.done], false)
		c.done++
	}
	return c
}

// repeat is the sessions of some weeks of one work.
func repeat(w Work, weeks int) []Work {
	return slices.Repeat([]Work{w}, weeks*w.Stage.DaysPerWeek*w.Stage.PerDay)
}

// take takes over a session that has begun; counts says that it is one of the course's number.
func (c *Course) take(d Done, counts bool) {
	if d.Trained {
		if counts {
			if c.resume(d.Date, true); d.Stage <= c.at {
				c.steady(d.Date, 1)
			}
		}
		c.last, c.at, c.missed = d.Date, d.Stage, false
	} else {
		c.missed = true
	}
	if counts && !d.Off && len(c.queue) > 0 {
		c.queue = c.queue[1:]
	}
}

// Week is what a week asks for: on how many days, those of sessions that stand counted in, and the works of those that are new.
type Week struct {
	Days, PerDay int
	Works        []Work
	Final        bool // nothing comes after it
}

// Week is the week w, from 0; ok is false behind the last one.
func (c *Course) Week(w int) (out Week, ok bool) {
	if w >= c.in.MaxWeeks || len(c.queue) == 0 && c.done == len(c.in.Done) {
		return out, false
	}
	stages := c.in.Protocol.Stages
	head := &stages[len(stages)-1]
	if len(c.queue) > 0 {
		head = c.queue[0].Stage
	}
	first, spent, stand := c.first(w), 0, 0
	c.due = head.DaysPerWeek * head.PerDay
	for ; c.done < len(c.in.Done) && c.in.Done[c.done].Date < first+7; c.done++ {
		d := c.in.Done[c.done]
		c.take(d, true)
		if spent++; !d.Cancelled {
			stand++
		}
	}
	c.due = max(c.due-spent, 0)
	if first+6 < c.in.Today {
		c.lose(first, c.due)
		return out, true
	}
	c.due = min(c.due, len(c.queue))
	return c.week(head, stand), true
}

func (c *Course) week(head *record.Stage, stand int) Week {
	c.stand = stand
	return Week{Days: (stand + c.due + head.PerDay - 1) / head.PerDay, PerDay: head.PerDay, Works: slices.Clone(c.queue[:c.due]), Final: c.due == len(c.queue)}
}

func (c *Course) first(w int) unit.Date { return c.in.Start + unit.Date(7*w) }

// Reached is told the first day on which a week's new sessions found a place. Where a gap ends there, the week is asked for anew; a
// wait is what keeps the course from going on at all.
func (c *Course) Reached(day unit.Date) (again Week, changed bool, wait *Wait) {
	if w := c.waiting(day); w != nil {
		return again, false, w
	}
	changed = c.resume(day, false)
	if held := c.steady(day, c.due); !changed && !held {
		return again, false, nil
	}
	head := c.queue[0].Stage
	c.due = min(c.due, len(c.queue))
	return c.week(head, c.stand), true, nil
}

// Placed is told on which days the new sessions of a week stand.
func (c *Course) Placed(w int, days []unit.Date) {
	for _, d := range days {
		c.last, c.at, c.missed = d, c.queue[0].Stage.Index, false
		c.queue = c.queue[1:]
	}
	c.lose(c.first(w), c.due-len(days))
}

// lose ends a week in which n sessions found no place: they are owed where a day of it was closed, and lost where not.
func (c *Course) lose(first unit.Date, n int) {
	if n <= 0 {
		return
	}
	c.missed = true
	for d := first; d < first+7; d++ {
		if !c.in.Open(d) || c.waiting(d) != nil {
			return
		}
	}
	c.queue = c.queue[min(n, len(c.queue)):]
}
