package diary

import (
	"fmt"
	"slices"

	"isocue.example/compiler/record"
)

// once are the kinds of which a second entry that says the same of the same moment is more likely typed twice than meant.
var once = []record.Happening{record.Read, record.GripIs, record.MouthIs, record.SquatIs, record.WalkingIs, record.HasMedicine, record.Begins, record.CourseIs, record.DidTrain, record.Ill}

// Twice asks about an entry that says what one of the diary says already; nil where none does.
func (d *Diary) Twice(e *record.Entry) error {
	if e == nil || !slices.Contains(once, e.What) {
		return nil
	}
	for _, o := range d.Live() {
		if o.What == e.What && alike(&o, e) {
			return Question{fmt.Sprintf("it stands in the diary already, as entry %s: %s; is it to be entered again?", o.ID, Sentence(&o))}
		}
	}
	return nil
}

// alike says whether two entries of a kind say the same. A reading that was typed again with its pulse is the same reading.
func alike(a, b *record.Entry) bool {
	if a.Reading == nil {
		return Sentence(a) == Sentence(b) && details(a) == details(b)
	}
	x, y := *a.Reading, *b.Reading
	return a.Date == b.Date && moment(*a) == moment(*b) && x.Systolic == y.Systolic && x.Diastolic == y.Diastolic && x.Standing == y.Standing && x.Clinic == y.Clinic && x.Arm == y.Arm
}

// details are what tells two entries with one sentence apart: all trials of a measurement, the hour of a session.
func details(e *record.Entry) string {
	switch {
	case e.Grip != nil:
		return fmt.Sprint(e.Grip.Trials)
	case e.Inspiratory != nil:
		return fmt.Sprint(e.Inspiratory.Trials)
	case e.Squat != nil:
		return fmt.Sprint(e.Squat.Stages)
	case e.Trained != nil && e.Trained.Time != nil:
		return e.Trained.Time.String()
	}
	return ""
}
