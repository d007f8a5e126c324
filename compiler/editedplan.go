package compiler

import (
	"fmt"
	"slices"
	"strconv"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// sessions holds the sessions to their identities, and those to come to their kinds, their weeks and their sittings.
func (e *edited) sessions() {
	p := e.p
	if len(p.Courses) > 0 && !slices.ContainsFunc(p.Courses, func(c record.Course) bool { return c.Start == p.Start }) {
		e.bad("start", "the plan begins on %s, and none of its courses does", p.Start)
	}
	strangers := 0
	for i, s := range p.Sessions {
		at := fmt.Sprintf("sessions[%d]", i)
		if s.Status == record.Cancelled {
			continue // it says nothing but that it was called back
		}
		course, _ := p.Course(s.Protocol)
		if s.UID != record.Identity(p.Client, s.Protocol, course.Origin.String(), strconv.Itoa(s.Week), strconv.Itoa(s.Slot)) {
			if strangers++; strangers == 1 {
				e.bad(at, "the session of %s is not the one that its uid names: client, protocol, start, week or number in the week was changed", s.Start)
			}
		}
		if s.Sequence >= max(p.Sheet, 1) || s.Sheet > max(p.Sheet, 1) || s.Sheet < 0 {
			e.bad(at, "the session of %s was changed %d times and stands on sheet %d, in a plan that is sheet %d", s.Start, s.Sequence, s.Sheet, p.Sheet)
		}
		if p.Stopped != 0 && s.Start.Date() >= p.Stopped && !e.begun(s) { // what had begun when the stop was made stands
			e.bad(at, "the session of %s stands behind the stop on %s", s.Start, p.Stopped)
		}
	}
	reached := map[string]int{} // the latest stage before a start that was moved: after a gap the course goes on there
	for _, s := range p.Sessions {
		if c, _ := p.Course(s.Protocol); s.Status != record.Cancelled && e.begun(s) && s.Start.Date() < c.Start {
			reached[s.Protocol] = max(reached[s.Protocol], p.Kinds[s.Kind].Stage)
		}
	}
	placed := map[string]int{} // a ramp is counted in sessions: those of weeks that a moved start gave twice count both times
	for _, s := range p.Sessions {
		if s.Status == record.Cancelled {
			continue
		}
		week := s.Week
		if x := e.byID[s.Protocol]; x != nil {
			inWeek, _ := atMost(x.Record)
			week = max(week, placed[s.Protocol]/max(inWeek, 1)+1)
		}
		if placed[s.Protocol]++; !e.begun(s) {
			e.session(s, reached[s.Protocol], week)
		}
	}
	e.sittings()
	e.counts()
}

// atMost is how many sessions a protocol asks for at most, in a week and on a day.
func atMost(p *record.Protocol) (inWeek, inDay int) {
	for _, st := range p.Stages {
		inWeek, inDay = max(inWeek, st.DaysPerWeek*st.PerDay), max(inDay, st.PerDay)
	}
	return inWeek, inDay
}

// session holds one session to come to its kind and its week; reached is a stage at which its course may begin, week the one that it is
// in by the sessions before it.
func (e *edited) session(s record.Session, reached, week int) {
	k := e.p.Kinds[s.Kind]
	wrong := func(format string, args ...any) {
		e.bad("sessions", "the session of %s %s", s.Start, fmt.Sprintf(format, args...))
	}
	x := e.byID[s.Protocol]
	if x == nil || k.Protocol != s.Protocol {
		wrong("is of the kind %s, which is none of its protocol", s.Kind)
		return
	}
	course, _ := e.p.Course(s.Protocol)
	if first := course.Start + unit.Date(7*(s.Week-1)); s.Start.Date() < first || s.Start.Date() > first+6 {
		wrong("does not lie in week %d of a course from %s on", s.Week, course.Start)
	}
	later := true
	for _, v := range variants(x) {
		stages := v.protocol.Record.Stages
		passed := stages[min(reached, len(stages)-1)].FromWeek - 1
		later = later && v.protocol.Record.StageAt(week+passed).Index < k.Stage
	}
	if later {
		wrong("is of a stage that its protocol reaches after week %d", s.Week)
	}
	if !e.same {
		return
	}
	sitting, seconds := e.c.Check.Base.Sitting, int(k.WorkSeconds+9)/10
	if s.Gate {
		seconds += sitting.GateSeconds()
	}
	if s.End {
		seconds += sitting.EndSeconds
	}
	if s.Seconds != seconds {
		wrong("lasts %d s, and its work with what stands around it %d s", s.Seconds, seconds)
	}
	for _, d := range k.Loads {
		d.Modality = k.Modality
		limit, ok := e.c.byItself().Check.MaxAge(d, k.NoNumber)
		if age := int(s.Start.Date() - d.Measured); ok && age > limit && s.Status == record.Confirmed {
			wrong("is confirmed, and its measurement is %d days old by then, allowed: %d", age, limit)
		}
	}
}

// sittings wants the pressure gate before every sitting: a session without one follows at once on another that does not end its sitting.
func (e *edited) sittings() {
	coming := map[string]bool{}
	for _, s := range e.coming {
		coming[s.UID] = true
	}
	var before *record.Session
	for i := range e.p.Sessions {
		s := &e.p.Sessions[i]
		if s.Status == record.Cancelled {
			continue
		}
		goesOn := before != nil && !before.End && s.Start == before.Until()
		switch {
		case !coming[s.UID]:
		case !s.Gate && !goesOn:
			e.bad("sessions", "the session of %s has no pressure gate before it", s.Start)
		case s.Gate && before != nil && coming[before.UID] && !before.End:
			e.bad("sessions", "the sitting of %s does not end", before.Start)
		case before != nil && s.Start < before.Until():
			e.bad("sessions", "the session of %s begins before the one above it ends", s.Start)
		}
		before = s
	}
	if before != nil && coming[before.UID] && !before.End {
		e.bad("sessions", "the sitting of %s does not end", before.Start)
	}
}

// counts holds the sessions to come to what their protocols ask for: so many a week, so many a day, so far apart.
func (e *edited) counts() {
	type week struct {
		protocol string
		week     int
	}
	type day struct {
		protocol string
		day      unit.Date
	}
	weeks, days, last := map[week]int{}, map[day]int{}, map[string]unit.Local{}
	numbers := map[week]int{} // given in a week: a start that was moved has a week twice, and what has begun keeps its number
	for _, s := range e.p.Sessions {
		numbers[week{s.Protocol, s.Week}]++
	}
	for _, s := range e.coming {
		x := e.byID[s.Protocol]
		if x == nil {
			continue // told already
		}
		inWeek, inDay := atMost(x.Record)
		w, d := week{s.Protocol, s.Week}, day{s.Protocol, s.Start.Date()}
		weeks[w]++
		days[d]++
		if weeks[w] > inWeek || days[d] > inDay || s.Slot > max(inWeek, numbers[w]) {
			e.bad("sessions", "the session of %s is one more than %s asks for, allowed: %d a week and %d a day", s.Start, s.Protocol, inWeek, inDay)
		}
		floor, _ := e.c.byItself().Check.Gaps(x.Record.Modality)
		if before, ok := last[s.Protocol]; ok && s.Start-before < unit.Local(floor) {
			e.bad("sessions", "the session of %s begins %d minutes after the one before it, allowed: %d minutes or more", s.Start, s.Start-before, floor)
		}
		last[s.Protocol] = s.Start
	}
}
