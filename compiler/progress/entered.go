package progress

import (
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Entered is what a diary says that is neither a reading nor a word in one.
type Entered struct {
	File              string // "" where it has no entry
	Entries           int    // that were not taken back
	Readings, Trained int    // of those, the ones that are counted
	Strange           int    // sessions done that the plan does not have
	Held              []Held // what an entry closes training by today
	Course            *record.NewCourse
}

// Asks says which course a diary asks for.
func Asks(c *record.NewCourse) string {
	return fmt.Sprintf("a course of %s from %s is entered", strings.Join(c.Protocols, " and "), c.Start)
}

// Held is what an entry closes, and what opens it again.
type Held struct{ Says, Opens string }

// MedicineChange is a medicine that began, changed or ended: its name, and what became of it.
type MedicineChange struct {
	On   unit.Date
	Says string
}

// Reached are the sittings of the course, and single readings in them, at or over the line of the client's gate: also those of which an
// alert has ended. The newest comes first.
func (f Followed) Reached() (out []Sitting) {
	reaches := func(x, line unit.Dec) bool { return line.Sign() > 0 && !x.Less(line) }
	for _, s := range slices.Concat(f.Severe, f.Sittings) {
		high := reaches(s.Systolic, f.Gate.Systolic) || reaches(s.Diastolic, f.Gate.Diastolic)
		if high && (f.Plan == nil || s.At.Date() >= f.Plan.Start) && !slices.ContainsFunc(out, func(o Sitting) bool { return o.At == s.At }) {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b Sitting) int { return int(b.At - a.At) })
	return out
}
