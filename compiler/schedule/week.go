package schedule

import "isocue.example/compiler/unit"

// Week is what one week of a course asks for.
type Week struct {
	Kind   string      // key of the kind, as session.Key writes it
	Work   unit.Tenths // the kind's WorkSeconds; a broken second counts whole
	Days   int         // days with training
	PerDay int         // sessions on each of them
	// Kinds are those of the new sessions in their order, where they are not all of one; no more are placed than they are.
	Kinds []string
	// Works are their lengths; Work is then that of the longest, by which they are placed.
	Works []unit.Tenths
	Final bool // nothing comes after it
}

// kind is that of a week's n-th new session.
func (w *Week) kind(n int) string {
	if n < len(w.Kinds) {
		return w.Kinds[n]
	}
	return w.Kind
}

// work is the length of a week's n-th new session.
func (w *Week) work(n int) unit.Tenths {
	if n < len(w.Works) {
		return w.Works[n]
	}
	return w.Work
}

// Planner says what is trained in a week when it is known what stands in the weeks before it.
type Planner interface {
	// Week is what a week asks for, from 0; ok is false behind the last.
	Week(w int) (wk Week, ok bool)
	// Reached is told the first day of a week's new sessions. Where changed is true, the week is placed anew as the one returned; end
	// ends the course before that day.
	Reached(day unit.Date) (wk Week, changed bool, end *End)
	// Placed is told on which days the new sessions of the week stand.
	Placed(w int, days []unit.Date)
}

// End is why a course goes no further, and what would lift that.
type End struct{ Why, Fix string }

// most is how many new sessions a week may have.
func (w *Week) most(stand int) int {
	n := w.Days*w.PerDay - stand
	if w.Kinds != nil {
		n = min(n, len(w.Kinds))
	}
	return max(n, 0)
}
