package progress

import (
	"cmp"
	"slices"

	"isocue.example/compiler/unit"
)

// Need is what a client needs of the trainer.
type Need string

const (
	Emergency Need = "emergency"         // a danger sign, or a reading that is one
	Today     Need = "today"             // the prescriber, or whom else a rule names
	NotTold   Need = "not told"          // a hold, a stop or a lowered load that the client does not know of yet
	Refused   Need = "refused"           // no new plan can be made, and an older one runs, or a course is entered
	Unread    Need = "words to read"     // that the program does not know
	TestDue   Need = "test due"          // a measurement
	HandOut   Need = "sheet to hand out" // or to be made first
	ThisWeek  Need = "this week"
	Silent    Need = "silent"
	OnHold    Need = "on hold" // and the client knows
	Over      Need = "over"
	Nothing   Need = "nothing"
)

// Needs lists all, the most urgent first.
var Needs = []Need{Emergency, Today, NotTold, Refused, Unread, TestDue, HandOut, ThisWeek, Silent, OnHold, Over, Nothing}

// Rings says whether somebody must be rung today for it: about words that nobody knows too, which close training until somebody asked.
func (n Need) Rings() bool { return n == Emergency || n == Today || n == NotTold || n == Unread }

// Matter is one thing that a client needs, and where it was found.
type Matter struct {
	Need    Need
	Says    string     // in a sentence, without the client and without a full stop
	Act     string     // what to do next
	Next    unit.Local // of NotTold: the session that the client may come to; 0 where there is none
	On      unit.Date
	Rule    string
	Why     string
	Sources []string
	File    string
	Line    int
}

// SortMatters puts the most urgent first, and leaves those alike in their order.
func SortMatters(ms []Matter) { slices.SortStableFunc(ms, CompareMatters) }

// CompareMatters says which of two is the more urgent; of one need, that with the sooner session ahead, and none comes last.
func CompareMatters(a, b Matter) int {
	soon := func(m Matter) unit.Local {
		if m.Next == 0 {
			return 1 << 40
		}
		return m.Next
	}
	return cmp.Or(cmp.Compare(slices.Index(Needs, a.Need), slices.Index(Needs, b.Need)), cmp.Compare(soon(a), soon(b)))
}
