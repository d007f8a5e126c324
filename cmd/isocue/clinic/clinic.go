// Package clinic is the work on a clinic's folder, for every front end: what belongs to whom, which policy and waivers are in
// force, what a folder, a client or a plan is judged to be, what became of each client of a roster, who needs what today, and how a
// pack is written. It prints nothing, reads no clock and no environment, and knows no flag: what it is asked comes in structs,
// and what it has to tell beside its answer goes to Front.Say.
package clinic

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
	"isocue.example/compiler/report"
)

// Version is the program's version.
const Version = "0.1.0"

// Front is what a front end lends to the work.
type Front struct {
	Engine func() *compiler.Compiler        // a compiler of the caller's own, without a policy
	In     io.Reader                        // what - names
	Say    func(format string, args ...any) // tells something about the run itself
}

// Judging is what every judgement of a clinic's files shares: the engine under the clinic's policy, the files read, and what was
// found so far.
type Judging struct {
	Front
	Under  *compiler.Compiler // the engine under the clinic's policy and waivers
	Now    time.Time
	Files  map[string]*load.File // everything read: what is judged, and the clinic's own files
	Judged []string              // the files that were named, or stand in a folder that was; each once
	Found  []finding.Finding
	Policy string          // which policy was used, in words
	Logs   int             // how many logs were looked into that nobody named
	Passed []report.Passed // what stands in the folders judged and was not looked into

	aged  []string // client records of a folder that only their age refuses
	firm  []string // those that are refused by more than their age
	plans []*load.File
	whole []string // what was named to be linted
	// policyDigest is that of the policy in force, "" for none.
	policyDigest string
}

// Places are where a judgement looks for the clinic's own files: those that were named, else those of the folders given or of the
// working directory.
type Places struct {
	Policy, Waivers string   // "" is not named
	Folders         []string // those among which a clinic's files are looked for
}

// Begin reads policy and waivers. reads are the words that name files: - may stand among them once.
func (f Front) Begin(now time.Time, p Places, reads []string) (*Judging, error) {
	if err := stdinOnce(reads); err != nil {
		return nil, err
	}
	j := &Judging{Front: f, Now: now, Files: map[string]*load.File{}}
	return j, j.under(p)
}

// Open reads one word: a path, - for standard input, or the id of a standard protocol.
func (f Front) Open(c *compiler.Compiler, word, stdinName string) (*load.File, error) {
	switch {
	case word == "-":
		src, err := io.ReadAll(io.LimitReader(f.In, load.MaxBytes+1))
		if err != nil {
			return nil, fmt.Errorf("read standard input: %w", err)
		}
		return c.Reader.Bytes(stdinName, src), nil
	case looksLikePath(word):
		return readPath(c, filepath.Clean(word))
	}
	if s := c.Standard(word); s != nil {
		return s, nil
	}
	if _, err := os.Stat(word); err == nil {
		return nil, fmt.Errorf("%q is a file or folder without a known ending, allowed: .cue, .yaml, .yml, .json, or write ./%s", word, word)
	}
	return nil, fmt.Errorf("%q is no standard protocol%s; allowed: %s, or a path to a file", word, near.Hint(word, c.StandardIDs()), strings.Join(c.StandardIDs(), ", "))
}

// Open reads the file that a word names and keeps it for quoting.
func (j *Judging) Open(word, stdinName string) (*load.File, error) {
	f, err := j.Front.Open(j.Under, word, stdinName)
	if err == nil {
		j.keep(f)
	}
	return f, err
}

// keep counts a file among those that were judged.
func (j *Judging) keep(f *load.File) {
	j.Files[f.Name] = f
	if !slices.Contains(j.Judged, f.Name) {
		j.Judged = append(j.Judged, f.Name)
	}
}

// OpenClient reads the one client record that a front end asks for. What is plainly none is told by the flag that names it: nobody who
// mistypes a record's name looks for a standard protocol, and a table read as a record would be a page of syntax errors. What is
// found in it, readable or not, is private.
func (j *Judging) OpenClient(name string) (*load.File, error) {
	const records = "allowed: one client record, .cue, .yaml, .yml or .json"
	st, err := os.Stat(name)
	switch {
	case name == "-" || j.Under.Standard(name) != nil:
	case err == nil && st.IsDir():
		return nil, fmt.Errorf("--client: %s is a folder, %s; for all records of a folder: isocue roster and isocue today", name, records)
	case load.IsSpreadsheet(name):
		return nil, fmt.Errorf("--client is %s, a table, %s; a pressure log stands behind --log, a session log behind --sessions, a spreadsheet of clients behind --clients of isocue roster", name, records)
	case err != nil && !looksLikePath(name):
		return nil, fmt.Errorf("--client is %s, and there is no such file; %s, such as clients/heron-07.yaml", name, records)
	}
	f, err := j.Open(name, "standard-input")
	if err != nil {
		return nil, err
	}
	for i := range f.Findings {
		f.Findings[i].Private = true
	}
	return f, nil
}

// OpenProtocols reads protocols and judges each by itself; what is none is a finding.
func (j *Judging) OpenProtocols(words []string, stdinName, remedy string) (out []*load.Protocol, err error) {
	for _, w := range words {
		f, err := j.Open(w, stdinName)
		if err != nil {
			return nil, err
		}
		j.Found = append(j.Found, wrongKind(f, load.IsProtocol, remedy)...)
		j.Found = append(j.Found, j.Under.Lint(f, j.Now)...)
		for i := range f.Protocols {
			out = append(out, &f.Protocols[i])
		}
	}
	return out, nil
}

// WrongKind finds that a file can be read and is not of the kind that is needed.
func (j *Judging) WrongKind(f *load.File, want load.Kind, remedy string) {
	j.Found = append(j.Found, wrongKind(f, want, remedy)...)
}

func wrongKind(f *load.File, want load.Kind, remedy string) []finding.Finding {
	if f.Kind == want || len(f.Findings) > 0 {
		return nil
	}
	return []finding.Finding{{Rule: load.Shape, Verdict: finding.Malformed, Pos: finding.Pos{File: f.Name, Line: 1, Column: 1},
		Message: fmt.Sprintf("file is %s, allowed here: %s", f.Kind.Words(), want.Words()), Private: f.Kind == load.IsClient,
		Remedy:    remedy,
		Rationale: "A file of another kind has none of the fields that are needed here."}}
}
