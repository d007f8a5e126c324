package diary

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// What is trained from when, in any order of lines. Source: docs/guide.md, the diary.
func TestCourses(t *testing.T) {
	first, _ := unit.ParseDate("2027-01-04")
	course := func(day, start int, how string, protocols ...string) record.Entry {
		return record.Entry{What: record.CourseIs, Date: first + unit.Date(day), ID: fmt.Sprint("c", day, how, protocols), Digest: fmt.Sprint(day, start, how, protocols),
			Course: &record.NewCourse{Protocols: protocols, Start: first + unit.Date(start), Add: how == "add", Replaces: how == "replaces"}}
	}
	stop := func(day int) record.Entry {
		return record.Entry{What: record.Stop, Date: first + unit.Date(day), ID: fmt.Sprint("s", day), Digest: fmt.Sprint("s", day)}
	}
	plan := []Course{{Protocol: "grip", Start: first}}
	for _, x := range []struct {
		why     string
		before  []Course
		over    int
		entries []record.Entry
		want    string
		strange int
	}{
		{"nothing entered: the plan's", plan, 0, nil, "grip 0", 0},
		{"the first course", nil, 0, []record.Entry{course(0, 2, "", "grip", "walk")}, "grip 2; walk 2", 0},
		{"beside the plan's", plan, 0, []record.Entry{course(5, 7, "add", "walk")}, "grip 0; walk 7", 0},
		{"in the place of the plan's", plan, 0, []record.Entry{course(5, 14, "replaces", "keep")}, "grip 0 to 13; keep 14", 0},
		{"the same once the plan has it", []Course{{Protocol: "keep", Start: first + 14}}, 0, []record.Entry{course(5, 14, "replaces", "keep")}, "keep 14", 0},
		{"moved", plan, 0, []record.Entry{course(0, 0, "", "grip"), course(2, 9, "", "grip")}, "grip 9", 0},
		{"another that says neither begins nothing", nil, 0, []record.Entry{course(0, 0, "", "grip"), course(2, 9, "", "keep")}, "grip 0", 1},
		{"two of one day: neither", nil, 0, []record.Entry{course(0, 0, "", "grip"), course(0, 9, "", "keep")}, "", 0},
		{"one of the same day that replaces it", nil, 0, []record.Entry{course(0, 0, "", "grip", "walk"), course(0, 0, "replaces", "keep", "walk")}, "grip 0 to -1; walk 0; keep 0", 0},
		{"a stop ends what is not later", nil, 0, []record.Entry{course(0, 0, "", "grip"), stop(10)}, "grip 0 to 9 stopped", 0},
		{"a stop of the day of a course leaves the client stopped", nil, 0, []record.Entry{course(10, 10, "", "grip"), stop(10)}, "grip 10 to 9 stopped", 0},
		{"a course after a stop", nil, 0, []record.Entry{course(0, 0, "", "grip"), stop(10), course(20, 21, "", "keep")}, "grip 0 to 9 stopped; keep 21", 0},
		{"a course after one that is over", nil, 55, []record.Entry{course(0, 0, "", "grip"), course(60, 63, "", "grip")}, "grip 63", 0},
		{"another after one that is over", nil, 55, []record.Entry{course(0, 0, "", "grip"), course(60, 63, "", "keep")}, "grip 0 to 55; keep 63", 0},
		{"and once the plan has it", []Course{{Protocol: "keep", Start: first + 63}}, 0, []record.Entry{course(0, 0, "", "grip"), course(60, 63, "", "keep")}, "grip 0 to 62; keep 63", 0},
		{"one that the plan has beside the first is no end of it", []Course{{Protocol: "grip", Start: first}, {Protocol: "keep", Start: first + 63}}, 0, []record.Entry{course(0, 0, "", "grip"), course(60, 63, "", "keep")}, "grip 0", 1},
		{"an announced course is stopped too", nil, 0, []record.Entry{course(0, 30, "", "grip"), stop(10)}, "grip 30 to 9 stopped", 0},
	} {
		over := unit.Date(0)
		if x.over != 0 {
			over = first + unit.Date(x.over)
		}
		for turn := range 4 {
			es := append([]record.Entry(nil), x.entries...)
			rand.New(rand.NewPCG(uint64(turn), 3)).Shuffle(len(es), func(i, j int) { es[i], es[j] = es[j], es[i] })
			got, strange := Of(es).Courses(x.before, over, func(s string) string { return s })
			var out []string
			for _, c := range got {
				s := fmt.Sprintf("%s %d", c.Protocol, int(c.Start-first))
				if c.End != 0 {
					s += fmt.Sprintf(" to %d", int(c.End-first))
				}
				if c.Stopped {
					s += " stopped"
				}
				out = append(out, s)
			}
			if s := strings.Join(out, "; "); s != x.want || len(strange) != x.strange {
				t.Errorf("%s: %s with %d strange, want %s with %d", x.why, s, len(strange), x.want, x.strange)
			}
		}
	}
}
