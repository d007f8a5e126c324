// Package ledger keeps the append-only record of what was accepted, rejected and waived.
//
// A ledger is a text file of JSON lines without a header. Each line carries the SHA-256 of the line before it (Prev), so that
// a line that was changed, dropped or put in between is found, and how many lines of the same run follow it (More), so that a
// run is told whole or not at all. Appending locks the file, takes away what a killed process left half told, writes all new
// lines at once and syncs before it reports; what was reported as written is never lost. The same judgement of the same bytes
// is written once.
package ledger

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
)

// Verdicts of a line beside those of findings.
const (
	Accepted = "accepted" // nothing refused the file
	Waived   = "waived"   // a finding that a reviewer had accepted
)

// Line is one line of a ledger.
type Line struct {
	Time      string   `json:"time"` // RFC 3339, UTC
	File      string   `json:"file"`
	Digest    string   `json:"digest"` // SHA-256 of the file's bytes, hexadecimal
	Protocol  string   `json:"protocol,omitempty"`
	Revision  int      `json:"revision,omitempty"`
	Client    string   `json:"client,omitempty"` // the opaque id
	Rule      string   `json:"rule,omitempty"`
	Verdict   string   `json:"verdict"`
	Path      string   `json:"path,omitempty"`
	Found     string   `json:"found,omitempty"` // never of a client's file
	Allowed   string   `json:"allowed,omitempty"`
	Rationale string   `json:"rationale,omitempty"`
	Sources   []string `json:"sources,omitempty"`
	Waiver    string   `json:"waiver,omitempty"`
	Base      string   `json:"base"` // version of the rule base
	By        string   `json:"by"`
	More      int      `json:"more,omitempty"` // lines of the same run that follow
	Prev      string   `json:"prev"`           // SHA-256 of the line before, empty for the first
}

// judgement is what makes a second writing of a line idle.
type judgement struct{ digest, rule, verdict, path, client, base, waiver, protocol string }

func (l *Line) judgement() judgement {
	return judgement{l.Digest, l.Rule, l.Verdict, l.Path, l.Client, l.Base, l.Waiver, l.Protocol}
}

// Of makes the lines of one file's judgement: one for each rejection and waiver, or one that says accepted. The head gives
// time, file, digest, protocol, client, base and who.
func Of(head Line, fs []finding.Finding) (out []Line) {
	for _, f := range fs {
		if f.Verdict == finding.Caution {
			continue
		}
		l := head
		l.Rule, l.Verdict, l.Path, l.Allowed, l.Rationale, l.Sources = f.Rule, string(f.Verdict), f.Path, f.Allowed, f.Rationale, f.Sources
		if !f.Private {
			l.Found = f.Found
		}
		if f.Protocol != "" {
			l.Protocol, l.Revision = f.Protocol, f.Revision
		}
		if f.Waiver != "" {
			l.Verdict, l.Waiver = Waived, f.Waiver
		}
		out = append(out, l)
	}
	if !finding.Rejected(fs) && len(out) == 0 {
		l := head
		l.Verdict = Accepted
		out = append(out, l)
	}
	return out
}

// MaxBytes is the largest ledger that is read, or written on.
const MaxBytes = bound.Ledger

// growing is the ledger as a file that is only ever added to.
func growing(name string) files.Growing {
	return files.Growing{Name: name, What: "ledger", Most: MaxBytes, Full: "keep it, and begin a new one"}
}

// Append adds the lines of one run that the ledger does not hold yet and says how many. Two writers wait for each other.
func Append(name string, lines []Line) (added int, err error) {
	err = files.Append(growing(name), func(b []byte) (add files.Addition, err error) {
		added, add, err = addition(name, b, lines)
		return add, err
	})
	if err != nil {
		added = 0
	}
	return added, err
}

// addition is what is to be written behind what stands in a ledger.
func addition(name string, b []byte, lines []Line) (added int, add files.Addition, err error) {
	have := map[judgement]bool{} // of the new lines: which the ledger holds
	for _, l := range lines {
		have[l.judgement()] = false
	}
	had, prev, end, err := parse(name, b, func(l *Line) {
		if _, asked := have[l.judgement()]; asked {
			have[l.judgement()] = true
		}
	})
	if err != nil {
		return 0, add, err
	}
	var fresh []Line
	for _, l := range lines {
		if !have[l.judgement()] {
			fresh, have[l.judgement()] = append(fresh, l), true
		}
	}
	if n := had + len(fresh); n > bound.LedgerLines {
		return 0, add, &bound.Over{What: name + " would have", Has: n, Of: "lines", Most: bound.LedgerLines, Then: "keep it, and begin a new one"}
	}
	for i, l := range fresh {
		l.Prev, l.More = prev, len(fresh)-1-i
		j, err := json.Marshal(l)
		if err != nil {
			return 0, add, err
		}
		prev = hash(j)
		add.Text = append(append(add.Text, j...), '\n')
	}
	add.End = end
	return len(fresh), add, nil
}

// Read lists the lines of a ledger and verifies its chain; a Broken error comes with no lines. Torn says that a killed process
// left the last run half told: it is left out.
func Read(name string) (lines []Line, torn bool, err error) {
	err = growing(name).Fits()
	if errors.Is(err, fs.ErrNotExist) {
		return nil, false, fmt.Errorf("%s: no such ledger", name)
	}
	if err != nil {
		return nil, false, err
	}
	b, err := files.Fetch(name, MaxBytes)
	if err != nil {
		return nil, false, err
	}
	same := map[string]string{} // most lines share most of their texts, and thousands of lines are kept
	_, _, end, err := parse(name, b, func(l *Line) {
		for _, text := range []*string{&l.File, &l.Digest, &l.Protocol, &l.Client, &l.Rule, &l.Verdict, &l.Path, &l.Allowed, &l.Rationale, &l.Waiver, &l.Base, &l.By} {
			if known, ok := same[*text]; ok {
				*text = known
			} else {
				same[*text] = *text
			}
		}
		for i, x := range l.Sources {
			if known, ok := same[x]; ok {
				l.Sources[i] = known
			} else {
				same[x] = x
			}
		}
		lines = append(lines, *l)
	})
	if err != nil {
		return nil, false, err
	}
	return lines, end < len(b), nil
}
