// Package diary says what the entries of one client's diary mean together, and what people type for one.
//
// The order of lines decides nothing: two files that were merged line by line, in either order, are the same diary. An entry is
// later than another of its day only where both have a time, or where it names the other by its id; else nobody can tell, and the
// graver holds. An entry that stands twice counts once. A void takes an entry back from the void's own day; the entry stays
// readable. It is pure: it knows no file, no clock and no rule.
package diary

import (
	"cmp"
	"fmt"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Diary is the entries of one client, in order.
type Diary struct {
	Entries []record.Entry          // each once, voids and what they take back too
	Voided  map[string]record.Entry // by the id of the entry taken back: the void that counts
	Trouble []Trouble               // what contradicts itself
	byID    map[string][]int        // places in Entries
}

// Trouble is two entries of which not both can hold, or one that means nothing.
type Trouble struct {
	Rule       string        // Contradiction, or Reference
	One, Other *record.Entry // Other is nil where only one is at fault
	Says       string        // what is wrong
	Remedy     string
}

// maxTrouble bounds what is told of one diary: nobody repairs more at once.
const maxTrouble = 200

// Rules of trouble.
const (
	Contradiction = "diary-contradiction"
	Reference     = "diary-reference"
)

// Of reads the entries of a diary.
func Of(entries []record.Entry) *Diary {
	d := &Diary{Entries: Sorted(entries), Voided: map[string]record.Entry{}, byID: map[string][]int{}}
	for i, e := range d.Entries {
		d.byID[e.ID] = append(d.byID[e.ID], i)
	}
	d.references()
	d.contradictions()
	return d
}

// Live are the entries that were not taken back, without the voids.
func (d *Diary) Live() (out []record.Entry) {
	for _, e := range d.Entries {
		if _, gone := d.Voided[e.ID]; !gone && e.What != record.Void {
			out = append(out, e)
		}
	}
	return out
}

// ByID finds an entry; nil where there is none or where two have that id.
func (d *Diary) ByID(id string) *record.Entry {
	if at := d.byID[id]; len(at) == 1 {
		return &d.Entries[at[0]]
	}
	return nil
}

// Sorted puts entries in their one order and leaves out those that stand twice: by day, then those without a time before those
// with one, then by time; of one moment the graver first.
func Sorted(entries []record.Entry) (out []record.Entry) {
	out = slices.Clone(entries)
	slices.SortStableFunc(out, func(a, b record.Entry) int {
		return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(moment(a), moment(b)), cmp.Compare(Gravity(a.What), Gravity(b.What)),
			cmp.Compare(a.What, b.What), cmp.Compare(a.ID, b.ID), cmp.Compare(a.Digest, b.Digest))
	})
	return slices.CompactFunc(out, same)
}

// moment is the time of day of an entry, -1 without one.
func moment(e record.Entry) unit.Clock {
	if e.Time == nil {
		return -1
	}
	return *e.Time
}

// At is the moment of an entry as it counts by now on the client's clock: a time of that day which has not come there was written by
// another clock, and what happened does not wait for it. untimed is what an entry without a time counts as.
func At(e *record.Entry, now unit.Local, untimed unit.Local) unit.Local {
	if e.Time == nil {
		return untimed
	}
	if at := unit.At(e.Date, *e.Time); e.Date != now.Date() || at < now {
		return at
	}
	return now
}

// Gravity is 0 for what closes training, 2 for what opens it again, 1 for everything else.
func Gravity(w record.Happening) int {
	switch w {
	case record.Ill, record.Felt, record.Begins, record.Paused, record.Stop:
		return 0
	case record.Well, record.Over, record.Resumed, record.CourseIs:
		return 2
	}
	return 1
}

// Later says whether a is known to be later than b.
func Later(a, b *record.Entry) bool {
	switch {
	case a.Date != b.Date:
		return a.Date > b.Date
	case slices.Contains(a.Names(), b.ID):
		return true
	}
	if a.Time != nil && b.Time != nil {
		return *a.Time > *b.Time
	}
	return replaces(a, b)
}

// replaces says whether an entry of the same day takes the place of another by its own words: a course that replaces one that does not,
// or a device once more, with the word whose place it takes.
func replaces(a, b *record.Entry) bool {
	switch {
	case a.Course != nil && b.Course != nil:
		return a.Course.Replaces && !b.Course.Replaces
	case a.Device != nil && b.Device != nil:
		without := *a.Device
		without.Instead = ""
		return a.Device.Instead != "" && b.Device.Instead == "" && DeviceID(a.Device) == DeviceID(b.Device) && DeviceSays(&without) == DeviceSays(b.Device)
	}
	return false
}

// same says whether two entries say the same, wherever they stand.
func same(a, b record.Entry) bool { return a.ID == b.ID && a.Digest == b.Digest }

// references finds ids that two entries share, and voids, calls and readings of entries that are not there; and says which voids count.
func (d *Diary) references() {
	for i := range d.Entries {
		e := &d.Entries[i]
		if at := d.byID[e.ID]; len(at) > 1 && at[0] != i {
			d.tell(Reference, e, &d.Entries[at[0]], fmt.Sprintf("two entries have the id %s", e.ID), "give one of them another id; a line that was changed should be the line it was, and a void")
		}
		for _, id := range e.Names() {
			d.names(e, id)
		}
	}
}

// names reads one id that an entry names.
func (d *Diary) names(e *record.Entry, id string) {
	of := d.ByID(id)
	switch {
	case len(d.byID[id]) == 0:
		d.tell(Reference, e, nil, fmt.Sprintf("%s names the entry %s, which is not in the diary", e.What, id), "write the id of an entry; isocue lint prints that of an entry without one")
	case of == nil:
		d.tell(Reference, e, &d.Entries[d.byID[id][0]], fmt.Sprintf("%s names the entry %s, and two entries have that id", e.What, id), "give one of them another id")
	case e.What != record.Void:
	case of.What == record.Void:
		d.tell(Reference, e, of, "a void is taken back by a void", "write the entry again that was voided")
	case of.Date > e.Date && !of.What.Ahead():
		d.tell(Reference, e, of, fmt.Sprintf("the entry is of %s, after its void", of.Date), "correct the date of the void")
	default:
		if _, had := d.Voided[id]; !had { // the first void counts
			d.Voided[id] = *e
		}
	}
}

func (d *Diary) tell(rule string, e, other *record.Entry, says, remedy string) {
	if len(d.Trouble) < maxTrouble {
		d.Trouble = append(d.Trouble, Trouble{rule, e, other, says, remedy})
	}
}
