package cli

import (
	"fmt"
	"io"
	"maps"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report"
)

// judging is what lint and compile share: the engine under the clinic's policy, the files read, what was found so far.
type judging struct {
	eng    *compiler.Compiler
	files  map[string]*load.File
	found  []finding.Finding
	policy string   // which policy was used, in words
	aged   []string // client records of a folder that only their age refuses
	firm   []string // those that are refused by more than their age
	plans  []*load.File
	now    time.Time
	style  report.Style
}

// begin reads clock, policy and waivers. reads are the words that name files; folders are those among which a clinic's files
// are looked for; findings as text go to w.
func (a *app) begin(w io.Writer, policy, waivers string, reads, folders []string) (*judging, error) {
	j := &judging{files: map[string]*load.File{}}
	var err error
	if j.style.Color, err = a.useColor(w); err != nil {
		return nil, err
	}
	if j.now, err = a.moment(); err != nil {
		return nil, err
	}
	if err := stdinOnce(reads); err != nil {
		return nil, err
	}
	j.eng, j.found, j.policy, err = a.under(a.engine(), policy, waivers, folders, j.files)
	return j, err
}

// open reads the file that a word names and keeps it for quoting.
func (j *judging) open(a *app, word, stdinName string) (*load.File, error) {
	f, err := a.open(j.eng, word, stdinName)
	if err == nil {
		j.files[f.Name] = f
	}
	return f, err
}

// end puts what was found in order, with the waivers that nothing needed, and writes it into the ledger.
func (j *judging) end(rec recordFlags) error {
	j.found = finding.Sort(append(j.found, j.eng.Waivers.Report()...))
	files := maps.Clone(j.files)
	for _, n := range j.aged {
		delete(files, n) // nobody accepts a record as of a day that is past
	}
	return rec.write(j.eng, files, j.found, j.now)
}

// print says what was found, for people.
func (j *judging) print(w io.Writer) error {
	if err := report.Text(w, j.found, j.source, j.style); err != nil {
		return err
	}
	_, err := fmt.Fprintln(w, report.Summary(len(j.files), j.found, j.policy))
	return err
}

// source gives the bytes of a file read, for quoting lines; never of a client record.
func (j *judging) source(name string) []byte {
	if f := j.files[name]; f != nil && f.Kind != load.IsClient {
		return f.Source
	}
	return nil
}
