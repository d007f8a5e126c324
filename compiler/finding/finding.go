// Package finding defines what a judgement says and how a list of them is ordered.
//
// A finding is one verdict on one place in one file of the author's. Trouble with the file's syntax or shape is a
// finding too (verdict malformed), so that every output format can carry it; it is never a Go error. A Go error
// means that the work could not run at all. A broken promise of our own code is neither: it panics with Bug.
package finding

import (
	"cmp"
	"fmt"
	"slices"
)

// Verdict is how a finding is meant.
type Verdict string

const (
	Malformed     Verdict = "malformed"       // cannot be read, or outside the schema
	Unsafe        Verdict = "unsafe"          // someone could be harmed
	OutOfEvidence Verdict = "out-of-evidence" // inert, untested or over-promised
	Caution       Verdict = "caution"         // disputed, or worth knowing
)

// Verdicts lists all, gravest first.
var Verdicts = []Verdict{Malformed, Unsafe, OutOfEvidence, Caution}

// Rank orders verdicts, 0 the gravest.
func (v Verdict) Rank() int { return slices.Index(Verdicts, v) }

// Pos is a place in a file. Line and Column start at 1 and count bytes; the zero value is no place.
type Pos struct {
	File         string
	Line, Column int
}

// IsValid says whether the place is known.
func (p Pos) IsValid() bool { return p.Line > 0 }

// String prints file:line:column, or only the file where no line is known.
func (p Pos) String() string {
	if !p.IsValid() {
		return p.File
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Finding is one verdict on one place.
type Finding struct {
	Rule    string
	Verdict Verdict
	Pos     Pos
	// Path is the place in the data, written ramp[0].load.fraction.
	Path string
	// Found is the author's own spelling of the value, empty when it is missing.
	Found string
	// Allowed is the claim that was broken, such as "<=0.60".
	Allowed   string
	Message   string
	Rationale string
	Remedy    string
	Sources   []string
	// Private marks a place in a client's file: its source line is never quoted.
	Private bool
	// Protocol and Revision name the protocol that a finding about a dose is about.
	Protocol string
	Revision int
	// Waiver says who accepted the finding, empty when nobody did.
	Waiver Waiver
	// Held names the protocol of a running course that the finding holds: its sessions are cancelled, and nothing is refused.
	Held string
	// Covers are the findings about the same mistake that this one stands in for: they are told where it is waived.
	Covers []Finding
}

// Waiver is a reviewer's acceptance of a finding: who, why, and from which day until which, as 2027-01-04.
type Waiver struct {
	By     string `json:"by"`
	Date   string `json:"date"`
	Until  string `json:"until"`
	Reason string `json:"reason"`
}

// Signed says whether somebody accepted the finding.
func (w Waiver) Signed() bool { return w.By != "" }

// Brief is who accepted it and until when; the reason is free text and stays in the clinic.
func (w Waiver) Brief() string { return w.By + " until " + w.Until }

func (w Waiver) String() string {
	if !w.Signed() {
		return ""
	}
	return w.Brief() + ": " + w.Reason
}

// Waive marks a finding as accepted. Rejections that it stood in for come back beside it: a waiver forgives one value of one rule, and
// no other. A caution about the same mistake says nothing new to whoever signed.
func (f *Finding) Waive(w Waiver) (back []Finding) {
	f.Waiver = w
	for _, x := range f.Covers {
		if x.Rejects() {
			back = append(back, x)
		}
	}
	return back
}

// Rejects says whether the finding refuses the work.
func (f Finding) Rejects() bool { return f.Verdict != Caution && !f.Waiver.Signed() && f.Held == "" }

// Refuses says whether the finding makes a run fail: it rejects, or it is a caution and strict says that cautions count.
func (f Finding) Refuses(strict bool) bool {
	return f.Rejects() || strict && f.Verdict == Caution && !f.Waiver.Signed()
}

// Sort puts findings in the order of files, lines, columns and rules, and drops exact repeats. Lists are sorted
// where they are born, never where they are printed.
func Sort(fs []Finding) []Finding {
	slices.SortStableFunc(fs, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Pos.File, b.Pos.File), cmp.Compare(a.Pos.Line, b.Pos.Line),
			cmp.Compare(a.Pos.Column, b.Pos.Column), cmp.Compare(a.Verdict.Rank(), b.Verdict.Rank()),
			cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Path, b.Path), cmp.Compare(a.Message, b.Message))
	})
	return slices.CompactFunc(fs, func(a, b Finding) bool {
		return a.Rule == b.Rule && a.Pos == b.Pos && a.Path == b.Path && a.Message == b.Message
	})
}

// Rejected says whether any finding refuses the work.
func Rejected(fs []Finding) bool { return slices.ContainsFunc(fs, Finding.Rejects) }

// Refused says whether any finding makes a run fail; strict as for Refuses.
func Refused(fs []Finding, strict bool) bool {
	return slices.ContainsFunc(fs, func(f Finding) bool { return f.Refuses(strict) })
}

// Count is the number of findings by verdict; waived ones are counted apart.
type Count struct {
	Malformed     int `json:"malformed"`
	Unsafe        int `json:"unsafe"`
	OutOfEvidence int `json:"outOfEvidence"`
	Caution       int `json:"caution"`
	Waived        int `json:"waived"`
}

// Tally counts fs.
func Tally(fs []Finding) (c Count) {
	for _, f := range fs {
		switch {
		case f.Waiver.Signed():
			c.Waived++
		case f.Verdict == Malformed:
			c.Malformed++
		case f.Verdict == Unsafe:
			c.Unsafe++
		case f.Verdict == OutOfEvidence:
			c.OutOfEvidence++
		default:
			c.Caution++
		}
	}
	return c
}

// Bug is the panic value of a broken promise of our own code.
type Bug struct{ What string }

func (b Bug) Error() string { return "this is a defect in isocue, not in your file: " + b.What }
