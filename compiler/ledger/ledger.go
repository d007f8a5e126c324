// Package ledger keeps the append-only record of what was accepted, rejected and waived.
//
// A ledger is a text file of JSON lines without a header. Each line carries the SHA-256 of the line before it (Prev), so that
// a line that was changed, dropped or put in between is found, and how many lines of the same run follow it (More), so that a
// run is told whole or not at all. Appending locks the file, takes away what a killed process left half told, writes all new
// lines at once and syncs before it reports; what was reported as written is never lost. What was judged as it was the last time is not
// written again; every change of a judgement is, in either direction.
//
// A ledger may be a folder: then each who judges has a file of their own in it, with its own chain, and two people who work through git
// never write on one file. They are read together, in the order of time.
package ledger

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

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
	Content   string   `json:"content,omitempty"` // SHA-256 of what the protocol says, however it is written
	Client    string   `json:"client,omitempty"`  // the opaque id
	Rule      string   `json:"rule,omitempty"`
	Verdict   string   `json:"verdict"`
	Path      string   `json:"path,omitempty"`
	Found     string   `json:"found,omitempty"` // never of a client's file
	Allowed   string   `json:"allowed,omitempty"`
	Rationale string   `json:"rationale,omitempty"`
	Sources   []string `json:"sources,omitempty"`
	Waiver    string   `json:"waiver,omitempty"` // why it was accepted, of a line that is waived
	Signer    string   `json:"signer,omitempty"`
	Signed    string   `json:"signed,omitempty"` // from which day, 2027-01-04
	Until     string   `json:"until,omitempty"`  // the last day on which the waiver stands
	Base      string   `json:"base"`             // version of the rule base
	Rules     string   `json:"rules,omitempty"`  // SHA-256 of the rule base
	Policy    string   `json:"policy,omitempty"` // SHA-256 of the clinic's policy, "" for none
	By        string   `json:"by"`
	More      int      `json:"more,omitempty"` // lines of the same run that follow
	Prev      string   `json:"prev"`           // SHA-256 of the line before, empty for the first
}

// judgement is what a line says of a file, whoever says it and when.
func (l *Line) judgement() string {
	j, _ := json.Marshal([]string{l.Digest, l.Rule, l.Verdict, l.Path, l.Found, l.Protocol, l.Base, l.Rules, l.Policy, l.Waiver, l.Signer, l.Signed, l.Until})
	return string(j)
}

// subject is what a group of lines is about: one file, and the client in it.
type subject struct{ file, client string }

func (l *Line) subject() subject { return subject{l.File, l.Client} }

// groups cuts the lines of one run where the next file begins.
func groups(run []Line, see func(of subject, said string, g []Line)) {
	for len(run) > 0 {
		n := 1
		for n < len(run) && run[n].subject() == run[0].subject() {
			n++
		}
		said := make([]string, n)
		for i := range said {
			said[i] = run[i].judgement()
		}
		slices.Sort(said)
		said = slices.Compact(said)
		see(run[0].subject(), hash([]byte(strings.Join(said, "\n"))), run[:n])
		run = run[n:]
	}
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
		if w := f.Waiver; w.Signed() {
			l.Verdict, l.Waiver, l.Signer, l.Signed, l.Until = Waived, w.Reason, w.By, w.Date, w.Until
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

// Append adds the lines of one run, without the files that are judged as they were the last time, and says how many. Two writers wait
// for each other. by names the file in a ledger that is a folder.
func Append(name, by string, lines []Line) (added int, err error) {
	last := newest{}
	into := name
	if IsFolder(name) {
		into = filepath.Join(name, chainOf(by))
		if err := os.MkdirAll(name, 0o700); err != nil {
			return 0, fmt.Errorf("open ledger: %w", files.Cause(err))
		}
		names, err := chains(name)
		if err != nil {
			return 0, err
		}
		for _, n := range names {
			if n == into {
				continue
			}
			if _, err := each(n, last.see); err != nil {
				return 0, err
			}
		}
	}
	if _, err := os.Stat(into); err != nil && !last.anew(lines) {
		return 0, nil // no file for one who found everything as it was
	}
	err = files.Append(growing(into), func(b []byte) (add files.Addition, err error) {
		added, add, err = addition(into, b, lines, maps.Clone(last))
		return add, err
	})
	if err != nil {
		added = 0
	}
	return added, err
}

// newest is what was last said of each file, and when.
type newest map[subject]struct{ at, said string }

func (n newest) see(run []Line) {
	groups(run, func(of subject, said string, g []Line) {
		if g[0].Time >= n[of].at {
			n[of] = struct{ at, said string }{g[0].Time, said}
		}
	})
}

// anew says whether lines say anything else than was last said.
func (n newest) anew(lines []Line) (yes bool) {
	groups(lines, func(of subject, said string, _ []Line) { yes = yes || n[of].said != said })
	return yes
}

// addition is what is to be written behind what stands in a ledger.
func addition(name string, b []byte, lines []Line, last newest) (added int, add files.Addition, err error) {
	had, prev, end, err := parse(name, b, last.see)
	if err != nil {
		return 0, add, err
	}
	var fresh []Line
	groups(lines, func(of subject, said string, g []Line) {
		if last[of].said == said {
			return
		}
		have := map[string]bool{} // a line that is found twice is told once
		for _, l := range g {
			if j := l.judgement(); !have[j] {
				fresh, have[j] = append(fresh, l), true
			}
		}
	})
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
