package schedule

import (
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

func until(c Course, last unit.Date, fix string) Course {
	c.Last, c.LastWhy, c.LastFix = last, "the clearance ends on "+last.String(), fix
	return c
}

func TestLast(t *testing.T) {
	for _, c := range []placing{
		{"the end of a clearance: what would have stood later is listed, nothing moves up", "docs/architecture.md, refusal 3",
			Input{Hours: []record.Hours{hours(daily, "07:00", "08:00")}, Courses: []Course{until(grip(2, 3), monday+3, "")}},
			"grip Mon 07:00+29ge, grip Wed 07:00+29ge", []string{
				"the clearance ends on 2027-02-04: settle this, then compile again: no session is placed after 2027-02-04 until then",
				"the clearance ends", "the clearance ends", "the clearance ends"}},
		{"the session on the last day stands; the fix is the caller's", "docs/architecture.md, refusal 3",
			Input{Hours: []record.Hours{hours(daily, "07:00", "08:00")}, Courses: []Course{until(grip(1, 3), monday+2, "ask for a newer one")}},
			"grip Mon 07:00+29ge, grip Wed 07:00+29ge", []string{"the clearance ends on 2027-02-03: ask for a newer one"}},
		{"the hold has ended: breathing sits alone, with a gate of its own", "docs/architecture.md, refusal 3",
			Input{Hours: []record.Hours{hours("mon thu", "07:00", "08:00")}, Courses: []Course{until(grip(1, 2), monday+2, ""), breath(1, 2, 1)}},
			"grip Mon 07:00+27g, breath Mon 07:27+7e, breath Thu 07:00+14ge", []string{"the clearance ends"}},
		{"the second of a sitting has ended: the first keeps the end", "docs/architecture.md, refusal 3",
			Input{Hours: []record.Hours{hours("mon thu", "07:00", "08:00")}, Courses: []Course{grip(1, 2), until(breath(1, 2, 1), monday+2, "")}},
			"grip Mon 07:00+27g, breath Mon 07:27+7e, grip Thu 07:00+29ge", []string{"the clearance ends"}},
		{"ended before it began: all are listed", "docs/architecture.md, refusal 3",
			Input{Hours: []record.Hours{hours(daily, "07:00", "08:00")}, Courses: []Course{until(grip(1, 2), monday-1, "")}}, "", []string{"the clearance ends", "the clearance ends"}},
		{"a day behind the last one lacks nothing but the end", "docs/architecture.md, refusal 3",
			Input{Hours: []record.Hours{hours("mon thu", "07:00", "08:00"), hours("mon", "18:00", "19:00")}, Courses: []Course{until(breath(1, 2, 2), monday+2, "")}},
			"breath Mon 07:00+14ge, breath Mon 18:00+14ge", []string{"the clearance ends", "the clearance ends"}},
		{"no fix names a day behind the last one", "docs/architecture.md, refusal 3",
			Input{Hours: []record.Hours{hours("mon tue", "07:00", "08:00")}, Courses: []Course{until(grip(1, 3), monday+1, "")}},
			"grip Mon 07:00+29ge, grip Tue 07:00+29ge", []string{"only 2 training days are open in this week (5 without hours): write daysPerWeek 2 for this week"}},
	} {
		c.check(t)
	}
}
