package diary

import (
	"fmt"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Course is a protocol that is trained from its start on. A protocol is the id of a standard one or a path from the clinic's folder.
type Course struct {
	Protocol   string
	Start, End unit.Date     // End is the last day, 0 where none is known
	Stopped    bool          // it was a stop that ended it
	By         *record.Entry // that began it; nil for one of the plan
}

// Courses are the courses of a client by today: those that run, those that have ended, and those that are announced. before are the
// courses of the plan, which count where the diary only adds to them or replaces them. strange are entries that would begin a course
// beside one that runs and say neither that they add to it nor that they replace it: they begin nothing. id is that of a protocol as an
// entry calls it; over is the last day of a plan whose course is over, 0 where it goes on.
func (d *Diary) Courses(before []Course, over unit.Date, id func(string) string) (out []Course, strange []*record.Entry) {
	var all, stops []*record.Entry
	for _, e := range d.Live() {
		switch {
		case e.Course != nil:
			c := *e.Course
			c.Protocols = slices.Clone(c.Protocols)
			for i := range c.Protocols {
				c.Protocols[i] = id(c.Protocols[i])
			}
			e.Course = &c
			all = append(all, &e)
		case e.What == record.Stop:
			stops = append(stops, &e)
		}
	}
	said := map[*record.Entry]string{}
	for _, e := range all {
		said[e] = fmt.Sprint(*e.Course)
	}
	all = slices.DeleteFunc(slices.Clone(all), func(e *record.Entry) bool { // of two that say different things, and nobody knows which is later, neither counts
		return slices.ContainsFunc(all, func(o *record.Entry) bool {
			return o.Date == e.Date && !Later(o, e) && !Later(e, o) && !e.Course.Add && !o.Course.Add && said[o] != said[e]
		})
	})
	slices.SortStableFunc(all, func(a, b *record.Entry) int {
		switch {
		case Later(a, b):
			return 1
		case Later(b, a):
			return -1
		}
		return 0
	})
	if len(all) == 0 && len(stops) == 0 {
		return before, nil
	}
	if len(all) == 0 || all[0].Course.Add || all[0].Course.Replaces {
		out = slices.DeleteFunc(slices.Clone(before), func(c Course) bool {
			return slices.ContainsFunc(all, func(e *record.Entry) bool {
				return e.Course.Start == c.Start && slices.Contains(e.Course.Protocols, c.Protocol)
			})
		})
	}
	for _, e := range all {
		start := e.Course.Start
		for _, s := range stops {
			if Later(e, s) {
				stopped(out, s)
			}
		}
		runs := func(c Course) bool { return c.End == 0 || c.End >= start }
		mine := func(c Course) bool { return slices.Contains(e.Course.Protocols, c.Protocol) }
		moves := slices.ContainsFunc(out, func(c Course) bool { return runs(c) && mine(c) })
		switch {
		case e.Course.Replaces:
			ended(out, start-1, func(c Course) bool { return runs(c) && !mine(c) })
		case e.Course.Add, moves && !slices.ContainsFunc(out, func(c Course) bool { return runs(c) && !mine(c) }):
		case planned(before, e) && !slices.ContainsFunc(out, func(c Course) bool { return runs(c) && inPlan(before, c) }):
			ended(out, start-1, runs) // what was trained before it was over when the plan took it up
		case slices.ContainsFunc(out, runs):
			strange = append(strange, e)
			continue
		}
		for _, p := range e.Course.Protocols {
			if i := slices.IndexFunc(out, func(c Course) bool { return c.Protocol == p && runs(c) }); i >= 0 {
				out[i].Start, out[i].By = start, e
				continue
			}
			if i := slices.IndexFunc(out, func(c Course) bool { return c.Protocol == p && c.End == start-1 && !c.Stopped }); i >= 0 {
				out[i].End, out[i].By = 0, e // it goes on beside what takes the place of the others
				continue
			}
			out = slices.DeleteFunc(out, func(c Course) bool { return c.Protocol == p })
			c := Course{Protocol: p, Start: start, By: e}
			if start <= over {
				c.End = over
			}
			out = append(out, c)
		}
	}
	for _, s := range stops {
		stopped(out, s)
	}
	return out, strange
}

// planned says whether the plan has what an entry begins.
func planned(before []Course, e *record.Entry) bool {
	return slices.ContainsFunc(e.Course.Protocols, func(p string) bool { return inPlan(before, Course{Protocol: p, Start: e.Course.Start}) })
}

func inPlan(before []Course, c Course) bool {
	return slices.ContainsFunc(before, func(b Course) bool { return b.Protocol == c.Protocol && b.Start == c.Start })
}

// stopped ends every course that is not known to be later than a stop.
func stopped(all []Course, s *record.Entry) {
	for i := range all {
		if c := &all[i]; (c.By == nil || !Later(c.By, s)) && (c.End == 0 || c.End >= s.Date) {
			c.End, c.Stopped = s.Date-1, true
		}
	}
}

// ended writes the last day of some courses, where none is nearer.
func ended(all []Course, last unit.Date, which func(Course) bool) {
	for i := range all {
		if c := &all[i]; which(*c) && (c.End == 0 || c.End > last) {
			c.End = last
		}
	}
}
