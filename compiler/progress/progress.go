// Package progress follows one client's readings and sessions: what the pressure was, whether it changed by more than it
// does by itself, what was trained, and what a log tells of.
//
// A sitting is the readings that stand close together; its mean is what counts. A window is a stretch of days with home
// readings before the course, or up to the newest reading. Two windows are compared by the reliable change of one person: how
// far two weekly means of the same person lie apart nineteen times of twenty while nothing has changed. That limit decides the
// verdict, in exact numbers. The interval on daily means is another thing, the noise inside these weeks, and is only printed.
//
// The package is arithmetic: it reads no file and no clock, and knows no clinical number of its own. What its facts mean, and
// who must be told, is the rules' business.
package progress

import (
	"isocue.example/compiler/phrase"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Verdict is the fixed word for what became of the pressure.
type Verdict string

const (
	ClearChange   Verdict = "clear change"
	Possible      Verdict = "possible change"
	NoClearChange Verdict = "no clear change"
	ClearRise     Verdict = "clear rise"
	NotComparable Verdict = "not comparable"
	NotEnough     Verdict = "not enough readings"
)

// Verdicts lists all, for the docs.
var Verdicts = []Verdict{ClearChange, Possible, NoClearChange, ClearRise, NotComparable, NotEnough}

// Input is what a follow-up depends on, and nothing else.
type Input struct {
	Client     *record.Client
	Plan       *record.Plan // nil where the course is not known
	Readings   []record.LogReading
	Sessions   []record.SessionRow
	Asked      bool        // something is known of what was done: a session log was given, even an empty one, or the diary names sessions
	Partial    bool        // there is no session log: of sessions that the diary does not name nobody knows whether they were done
	Changed    []unit.Date // further days on which a medicine changed: the client has the newest of each alone
	Figures    record.Comparison
	Sitting    record.Sitting
	Gate       record.Gate            // the lines of this client's gate, of which the low one and the pair for effort tell a gate that stayed shut
	PulseFloor unit.Dec               // beats a minute under which a clinician must have opened training; 0 where one has
	Lexicon    func() *phrase.Lexicon // most logs have no words
	Now        unit.Local             // on the client's wall clock
	Weeks      int                    // in each window, 1 and up
	// Open says whether a modality may be trained on a day, by the client's history: what is closed nobody owes.
	Open func(record.Modality, unit.Date) bool
}

// Result is what was found.
type Result struct {
	Windows   []Window // baseline, then follow-up; one alone where there is no other
	Change    *Change  // nil without two windows
	Verdict   Verdict
	Because   []string // why two windows cannot be compared, or what is missing
	Sittings  []Sitting
	Standing  []Standing
	Severe    []Sitting // single readings that reach a line which the mean of their sitting does not, or on standing up
	Events    []Event   // symptoms, by time
	Incidents []Incident
	Training  *Training           // nil without a session log
	HighDays  int                 // days of the last weeks with a sitting at or over a line for effort
	Left      Left                // readings that stand in no window, and why
	Home      []record.LogReading // the readings that may stand in a home mean, by time, for drawing
	Days      []Day               // their daily means
	CourseEnd unit.Date           // day of the last session of the plan, 0 without one
}

// Left counts the readings that a window leaves out.
type Left struct{ FirstDay, OtherArm, AfterSession, Clinic, Standing int }

// Compute follows one client.
func Compute(in Input) Result {
	var r Result
	r.Events = events(in)
	r.Incidents = incidents(in, r.Events)
	r.Sittings, r.Standing, r.Severe = sittings(in, r.Events)
	r.HighDays = highDays(in, r.Sittings)
	r.Training = training(in, r.Incidents)
	if in.Plan != nil {
		for _, s := range in.Plan.Sessions {
			if s.Status != record.Cancelled {
				r.CourseEnd = max(r.CourseEnd, s.Start.Date())
			}
		}
	}
	r.compare(in)
	return r
}

// compare fills in windows, change and verdict.
func (r *Result) compare(in Input) {
	all := seated(in, &r.Left)
	r.Home, r.Days = all, daily(all)
	base, follow := windows(in, all)
	for _, w := range []*Window{base, follow} {
		if w != nil {
			w.fill(in, all, &r.Left)
			w.LowSymptoms = lowSymptoms(r.Events, w.From, w.To)
			r.Windows = append(r.Windows, *w)
		}
	}
	if base == nil || follow == nil || base.Readings == 0 || follow.Readings == 0 {
		r.Verdict = NotEnough
		r.Because = append(r.Because, missing(base, follow)...)
		return
	}
	c := change(in, base, follow)
	r.Change = &c
	if !base.Enough || !follow.Enough {
		r.Verdict = NotEnough
		r.Because = append(r.Because, missing(base, follow)...)
		return
	}
	if r.Because = conditions(in, base, follow, r.Training); len(r.Because) > 0 {
		r.Verdict = NotComparable
		return
	}
	r.Verdict = c.word(in.Figures)
}
