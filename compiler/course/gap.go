package course

import (
	"isocue.example/compiler/record"
)

// Row is what is trained first after a gap of a modality; schema/base/gaps.cue says why each is as it is.
type Row struct {
	Modality record.Modality
	// From is the days of the gap from which it applies; FeverFrom those where an illness lay in the gap, 0 for as many.
	From, FeverFrom int
	Measure         bool // what the load stands on is measured anew first
	Step            Step
	Own             bool // for the weeks that the author gave the step, and those after it; otherwise for a week
	Without         Step // for a protocol without a ramp
	WithoutWeeks    int
}

// Step says which work a course goes on with.
type Step string

const (
	AsItWas Step = "none"
	Same    Step = "same"  // the step of the ramp last trained, at most the last one
	Back    Step = "back"  // the step before it
	Back2   Step = "back2" // two steps before it
	First   Step = "first" // the whole ramp
	Level   Step = "level" // the highest step that asks for no more than the client's present level
	Lower   Step = "lower" // the same stage, a step of the device or of the test lighter
	Half    Step = "half"  // the same stage with half its squeezes
)

// ofRamp says whether a step is one of the ramp's, which a protocol without one does not have.
func (s Step) ofRamp() bool { return s == Same || s == Back || s == Back2 || s == First || s == Level }

// Table is the rows of all modalities.
type Table []Row

// After is the row for a gap of some days, ill or not; nil where a course goes on as it was.
func (t Table) After(m record.Modality, days int, ill bool) (best *Row) {
	for i := range t {
		r := &t[i]
		from := r.From
		if ill && r.FeverFrom > 0 {
			from = min(from, r.FeverFrom)
		}
		if r.Modality == m && days >= from && (best == nil || r.From > best.From) {
			best = r
		}
	}
	return best
}
