package compiler

import (
	"cmp"
	"slices"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Since when each protocol of a programme is trained.

// Begins sets the start of the programme by the courses of the diary: where all of them begin on one day, which is not that of the plan
// before, they are moved, or another course begins.
func (in *Input) Begins() {
	var first, last unit.Date
	for _, c := range in.Courses {
		if first == 0 || c.Start < first {
			first = c.Start
		}
		last = max(last, c.Start)
	}
	switch {
	case first == 0:
	case in.Previous == nil:
		in.Start = first
	case first == last && first != in.Previous.Start && !slices.ContainsFunc(in.Courses, func(c diary.Course) bool { return c.By == nil }):
		in.Start, in.Move = first, true
	}
}

// course is the start of a protocol and the start that its identities stand on: those of the plan before, where it has the protocol.
func (in Input) course(protocol string) record.Course {
	if in.Previous != nil {
		if c, ok := in.Previous.Course(protocol); ok {
			if in.Move {
				c.Start = in.Start
			} else if d := in.entered(protocol); d != nil && d.By != nil {
				c.Start = d.Start
			}
			c.Ended = 0
			return c
		}
	}
	start := cmp.Or(in.Begin, in.Start)
	if d := in.entered(protocol); d != nil {
		start = d.Start
	}
	return record.Course{Protocol: protocol, Start: start, Origin: start}
}

// first is the day on which the programme begins: its start, where a course begins on it, else that of its first course. A diary may give
// every course of a plan another start.
func (in Input) first() (first unit.Date) {
	for _, p := range in.Protocols {
		if c := in.course(p.Record.ID); first == 0 || c.Start == in.Start || first != in.Start && c.Start < first {
			first = c.Start
		}
	}
	if in.Previous == nil {
		return cmp.Or(first, in.Start)
	}
	for _, s := range in.Previous.Sessions { // a course that goes on no more began on it, and is still shown
		goes := slices.ContainsFunc(in.Protocols, func(p *load.Protocol) bool { return p.Record.ID == s.Protocol })
		if c, ok := in.Previous.Course(s.Protocol); ok && !goes && c.Start == in.Start {
			return in.Start
		}
	}
	return cmp.Or(first, in.Start)
}

// entered is the course of a protocol as the diary tells of it; nil where it does not.
func (in Input) entered(protocol string) *diary.Course {
	for i := range in.Courses {
		if in.Courses[i].Protocol == protocol {
			return &in.Courses[i]
		}
	}
	return nil
}
