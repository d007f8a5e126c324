package progress

import (
	"cmp"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Tell is one thing that somebody must hear: who, how soon, why, and what to do. On is the day of what was found, the newest
// where it was found more than once.
type Tell struct {
	Who, HowSoon, Why, Do, Rule string
	Rationale                   string
	Sources                     []string
	On                          unit.Date
	At                          unit.Local // when what was found came up; where only its day is known, the end of that
	Times                       int
	Grave                       bool              // a danger sign, which no call ends
	Closes                      bool              // training is closed by it until a clinician opens it
	Closed                      []record.Modality // for these no clearance of a later day has; empty where it closes nothing any more
	Day                         bool              // what it closes it closes on that day alone
	File                        string
	Line                        int
}

// Whos and Soons are the words of a tell, the most urgent first.
var (
	Whos  = []string{"emergency", "prescriber", "coach", "client"}
	Soons = []string{"now", "today", "this week", "next visit"}
)

// SortTells puts the most urgent first, and keeps one of a rule: the newest, with how often it was found and all that it closes.
func SortTells(ts []Tell) (out []Tell) {
	at := map[string]int{}
	for _, t := range ts {
		t.Times = max(t.Times, 1)
		i, seen := at[t.Rule]
		switch {
		case !seen:
			at[t.Rule] = len(out)
			out = append(out, t)
		case t.On >= out[i].On:
			t.Times += out[i].Times
			t.Closed = both(t.Closed, out[i].Closed)
			out[i] = t
		default:
			out[i].Times += t.Times
			out[i].Closed = both(out[i].Closed, t.Closed)
		}
	}
	slices.SortStableFunc(out, func(a, b Tell) int {
		return cmp.Or(cmp.Compare(Urgency(a), Urgency(b)), cmp.Compare(b.On, a.On), cmp.Compare(a.Rule, b.Rule))
	})
	return out
}

// both are the modalities of two lists, each once.
func both(a, b []record.Modality) []record.Modality {
	out := slices.Clone(a)
	for _, m := range b {
		if !slices.Contains(out, m) {
			out = append(out, m)
		}
	}
	return out
}

// Urgency orders tells, 0 the most urgent.
func Urgency(t Tell) int {
	return slices.Index(Soons, t.HowSoon)*len(Whos) + slices.Index(Whos, t.Who)
}

// Followed is what a follow-up of one client comes to.
type Followed struct {
	Client, Rules, Zone string
	Now                 string     // RFC 3339, UTC
	At                  unit.Local // now, on the client's wall clock
	Result
	Plan       *record.Plan
	Weeks      int
	Tells      []Tell
	Settled    []unit.Local  // when what came up of which an alert was ended by a call
	Logs       []*record.Log // as they were read, pressure before sessions
	Rows       []record.RowProblem
	Gate       record.Gate
	PulseFloor unit.Dec // 0 where a clinician has cleared it
	Figures    record.Comparison
	Lines      []Line // limit lines for drawing
	Next       Next
	Contacts   record.Contacts
	Taking     bool             // a medicine that lowers pressure is in the record
	Medicines  []MedicineChange // of the days that are compared, and since
	Entered    *Entered         // what the diary says that is neither a reading nor a word; nil without one
	Cautions   []record.Caution
}

// Line is a limit that is drawn with its name: systolic and diastolic, mmHg.
type Line struct {
	Name                string
	Systolic, Diastolic unit.Dec
}

// Closing is the newest alert that closes training for some modality; nil where none does.
func (f Followed) Closing() *Tell {
	var out *Tell
	for i := range f.Tells {
		if t := &f.Tells[i]; len(t.Closed) > 0 && (out == nil || t.On > out.On) {
			out = t
		}
	}
	return out
}

// told says whether a rule has something to tell.
func (f Followed) told(rule string) *Tell {
	for i := range f.Tells {
		if f.Tells[i].Rule == rule {
			return &f.Tells[i]
		}
	}
	return nil
}
