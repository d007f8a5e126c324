package compiler

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// unedited wants a plan to be one that its own reader takes for what isocue wrote, under its seal and without a word against it: else no
// hold is made after it, and nobody can go on with the course.
func unedited(t *testing.T, c *Compiler, why string, p *record.Plan, now time.Time) {
	t.Helper()
	_, fs := c.ReadPlan("plan.json", writtenPlan(t, p), now)
	for _, f := range fs {
		t.Errorf("%s on %s: the plan is said to be edited: %s: %s", why, now.Format(time.RFC3339), f.Path, f.Message)
	}
}

// Law: whatever becomes of a course, what is written of it is read again as isocue wrote it: a course that is moved, earlier or later,
// once or often; another beside it or in its place, whole or in part, that the command line or the diary tells of; a stop, of today in
// the middle of a day too, and what comes after a stop; and what a diary holds where no record is at hand. A plan that its own reader
// refuses would take every hold with it.
func TestWhatBecomesOfACourseIsReadAgain(t *testing.T) {
	c := invented(t)
	many := 40
	if full {
		many = 1500
	}
	if *manyHistories > 0 {
		many = *manyHistories
	}
	seen := tally{}
	for n := range many {
		number := *firstHistory + uint64(n)
		become(t, c, number, seen)
		if t.Failed() {
			t.Fatalf("history %d; go test ./compiler -run TestWhatBecomes -first %d -histories 1", n, number)
		}
	}
	t.Log(seen)
	for _, what := range []string{"plans", "moved", "beside", "replaced", "partly", "diary", "stopped", "behind a stop", "held"} {
		if seen[what] < many/20 {
			t.Errorf("only %d %s in %d histories: the law looks at too little", seen[what], what, many)
		}
	}
}

// become is one life whose courses change at random.
func become(t *testing.T, c *Compiler, number uint64, seen tally) {
	t.Helper()
	r := rand.New(rand.NewPCG(number, 29))
	start, _ := unit.ParseDate("2027-01-04")
	l := newLife(r, start)
	l.logs, l.kept = false, nil
	var prev *record.Plan
	for step, today := 0, start-1; step < 7; step, today = step+1, today+unit.Date(r.IntN(16)) {
		now := today.Time().Add(time.Duration(5+r.IntN(18)) * time.Hour)
		l.asked = today
		if prev != nil && r.IntN(3) > 0 {
			l.measure(today)
		}
		if prev != nil && r.IntN(3) == 0 {
			l.event(today)
		}
		in := l.input(c, t, prev, now, today)
		what := "plans"
		if prev != nil {
			what = l.change(c, &in, today)
		}
		if what == "stopped" {
			p, _, err := c.Stop(prev, today+unit.Date(r.IntN(3)*r.IntN(5)), now)
			if err != nil {
				continue // nothing stands behind it
			}
			unedited(t, c, what, p, now)
			seen[what]++
			prev = reread(t, p)
			continue
		}
		res, err := c.Compile(in)
		if err != nil {
			t.Errorf("%s on %s: %v", what, now, err)
			return
		}
		if res.Plan == nil {
			if seen["refused"]++; prev != nil {
				l.start = prev.Start
			}
			continue
		}
		if finding.Rejected(res.Findings) {
			what = "held alone"
		}
		if prev != nil && prev.Stopped != 0 {
			seen["behind a stop"]++
		}
		unedited(t, c, what, res.Plan, now)
		if seen[what]++; t.Failed() {
			t.Logf("%v from %s, the plan before from %s: %+v", l.protocols, in.Start, prev.Start, prev.Courses)
			return
		}
		prev = reread(t, res.Plan)
		if res.Plan.Stopped == 0 && r.IntN(4) == 0 {
			ill := diary.Of([]record.Entry{{What: record.Ill, Date: today, Words: "cold", ID: "aaaabbbb", Digest: "x", By: "L. Brandt"}})
			held, err := c.HoldEntered(Input{Previous: prev, Diary: ill, Now: now.Add(time.Hour)})
			if err != nil || held.Plan == nil {
				continue // all of today on has gone by
			}
			seen["held"]++
			unedited(t, c, "held by the diary alone", held.Plan, now.Add(time.Hour))
			if r.IntN(2) == 0 {
				prev = reread(t, held.Plan)
			}
		}
	}
}

// change asks a compile for what becomes of the courses, and says what it is.
func (l *life) change(c *Compiler, in *Input, today unit.Date) string {
	day := today + unit.Date(l.r.IntN(28)-3)
	other := courses[l.r.IntN(len(courses))]
	named := func(ids []string) {
		l.protocols, in.Protocols = ids, nil
		for _, id := range ids {
			in.Protocols = append(in.Protocols, standardOf(c, id))
		}
	}
	union := func() []string {
		all := append([]string{}, l.protocols...)
		for _, id := range other {
			if !slices.Contains(all, id) {
				all = append(all, id)
			}
		}
		return all
	}
	switch l.r.IntN(8) {
	case 0:
		return "stopped"
	case 1, 2:
		l.start, in.Start, in.Move = day, day, true
		return "moved"
	case 3:
		named(union())
		in.Begin = max(day, today)
		return "beside"
	case 4:
		l.start, in.Start, in.Move = day, day, true
		named(other)
		return "replaced"
	case 5: // one of its protocols goes on beside the new ones, from another day
		l.start, in.Start, in.Move = day, day, true
		named(append([]string{l.protocols[0]}, union()[len(l.protocols):]...))
		return "partly"
	case 6, 7: // the diary tells of each course, with its own start
		by := &record.Entry{What: record.CourseIs, Date: today, ID: "ccccdddd", Digest: "y"}
		named(union())
		for i, id := range l.protocols {
			was, goes := in.Previous.Course(id)
			if goes && l.r.IntN(2) == 0 {
				in.Courses = append(in.Courses, diary.Course{Protocol: id, Start: was.Start})
				continue
			}
			in.Courses = append(in.Courses, diary.Course{Protocol: id, Start: day + unit.Date(l.r.IntN(2)*i), By: by})
		}
		in.Begins()
		l.start = in.Start
		return "diary"
	}
	return fmt.Sprint("nothing of ", today)
}
