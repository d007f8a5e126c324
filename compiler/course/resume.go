package course

import (
	"slices"

	"isocue.example/compiler/unit"
)

// gap is the row of the table for going on at a day; nil where no gap ends there.
func (c *Course) gap(day unit.Date) *Row {
	if c.last == 0 {
		return c.untrained()
	}
	row := c.in.Table.After(c.in.Protocol.Modality, int(day-c.last)-1, c.in.Ill(c.last, day))
	missed := c.missed
	for d := c.last + 1; row != nil && d < day && !missed; d++ {
		missed = !c.in.Open(d)
	}
	if !missed {
		return nil
	}
	return row
}

// untrained is the whole ramp, where sessions were missed before any was trained: weeks that went by train nobody.
func (c *Course) untrained() *Row {
	if !c.missed {
		return nil
	}
	return &Row{Modality: c.in.Protocol.Modality, Step: First, Own: true}
}

// waiting is what keeps a course from going on at a day: the maximum was not measured since the gap.
func (c *Course) waiting(day unit.Date) *Wait {
	if row := c.gap(day); row != nil && row.Measure && c.in.Measured(day) <= c.last {
		return &Wait{After: c.last, Before: day}
	}
	return nil
}

// resume goes on at a day with what the table asks for, where a gap ends there.
func (c *Course) resume(day unit.Date, begun bool) (changed bool) {
	row := c.gap(day)
	if eased := c.ease(day); row == nil {
		row = eased
	}
	if row == nil || len(c.queue) == 0 {
		return false
	}
	if !begun && day == c.resumed {
		return false // the week was asked for anew already
	}
	c.resumed = day
	again := c.lighter(row, day)
	if len(again) == 0 {
		return false
	}
	n := len(c.queue)
	c.queue = append(again, c.queue...)[:n]
	return true
}

// easingDays is for how long a step down is waited for: it holds for a week.
const easingDays = 7

// ease is the step down that begins at a day; nil where none does. Each is taken once, by the first session from its day on.
func (c *Course) ease(day unit.Date) (row *Row) {
	for _, d := range c.in.Easings {
		if d > c.eased && d <= day {
			if c.eased = d; day < d+easingDays {
				row = c.in.Easing
			}
		}
	}
	return row
}

// steady keeps the next n sessions at the stage last trained, where they would rise on a day on which no load does. The number of
// sessions stays.
func (c *Course) steady(day unit.Date, n int) bool {
	if c.at < 0 || c.in.Steady == nil || !c.in.Steady(day) {
		return false
	}
	n = min(n, len(c.queue))
	i := slices.IndexFunc(c.queue[:n], func(w Work) bool { return w.Stage.Index > c.at })
	if i < 0 {
		return false
	}
	all := len(c.queue)
	c.queue = slices.Insert(slices.Clone(c.queue), i, slices.Repeat([]Work{{Stage: &c.in.Protocol.Stages[c.at]}}, n-i)...)[:all]
	return true
}

// lighter is the works that come before what is left of a course. The number of sessions stays.
func (c *Course) lighter(row *Row, day unit.Date) (out []Work) {
	stages := c.in.Protocol.Stages
	main := len(stages) - 1
	step, weeks := row.Step, 1
	if main == 0 && step.ofRamp() {
		step, weeks = row.Without, row.WithoutWeeks
	}
	at := min(max(c.at, 0), main)
	k := at
	switch step {
	case AsItWas:
		return nil
	case Lower:
		return repeat(Work{Stage: &stages[at], Down: 1, Eased: true}, weeks)
	case Half:
		s := stages[at]
		if s.Rounds = max(1, s.Rounds/2); s.Rounds == stages[at].Rounds {
			return nil
		}
		return repeat(Work{Stage: &s, Eased: true}, weeks)
	case Same:
		k = min(at, main-1)
	case Back:
		k = at - 1
	case Back2:
		k = at - 2
	case First:
		k = 0
	case Level:
		k = min(at, c.in.Level(day))
	}
	k = max(k, 0)
	if !row.Own {
		return repeat(Work{Stage: &stages[k]}, weeks)
	}
	for i := k; i < main; i++ {
		out = append(out, repeat(Work{Stage: &stages[i]}, stages[i].Weeks)...)
	}
	for len(out) < len(c.queue) {
		out = append(out, Work{Stage: &stages[main]})
	}
	return out[:len(c.queue)]
}
