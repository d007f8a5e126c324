package cli

import (
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report/judged"
)

// judging is what lint and compile share: the engine under the clinic's policy, the files read, what was found so far.
type judging struct {
	eng    *compiler.Compiler
	files  map[string]*load.File // everything read: what is judged, and the clinic's own files
	judged []string              // the files that were named, or stand in a folder that was; each once
	found  []finding.Finding
	policy string   // which policy was used, in words
	aged   []string // client records of a folder that only their age refuses
	firm   []string // those that are refused by more than their age
	plans  []*load.File
	now    time.Time
	format string // of the findings
	strict bool   // a caution refuses too
	color  bool
	many   bool // people judge folders with it: say how many files of which kind
}

// judgeFlags are the flags of the verbs that judge.
type judgeFlags struct {
	format, policy, waivers string
	record                  recordFlags
}

func (f *judgeFlags) add(c *cobra.Command, found string) {
	f.clinic(c, found)
	c.Flags().StringVar(&f.format, "format", "text", "the form of the findings: "+orList(judged.Formats.Names()))
	f.record.add(c)
	complete(c, "format", judged.Formats.Names()...)
}

// clinic adds the flags that name the clinic's own files; found says in words where they are looked for.
func (f *judgeFlags) clinic(c *cobra.Command, found string) {
	c.Flags().StringVar(&f.policy, "policy", "", "the clinic's policy; else policy.cue of "+found)
	c.Flags().StringVar(&f.waivers, "waivers", "", "the clinic's waivers; else waivers.cue, found as the policy is")
}

// begin checks the form of the findings and reads clock, policy and waivers. reads are the words that name files; folders are
// those among which a clinic's files are looked for; findings go to w.
func (a *app) begin(w io.Writer, fl judgeFlags, reads, folders []string) (*judging, error) {
	j := &judging{files: map[string]*load.File{}, format: fl.format}
	err := oneOf("--format", fl.format, judged.Formats.Names())
	if err != nil {
		return nil, err
	}
	if j.color, err = a.useColor(w); err != nil {
		return nil, err
	}
	if j.now, err = a.moment(); err != nil {
		return nil, err
	}
	if err := stdinOnce(reads); err != nil {
		return nil, err
	}
	j.eng, j.found, j.policy, err = a.under(a.engine(), fl.policy, fl.waivers, folders, j.files)
	return j, err
}

// open reads the file that a word names and keeps it for quoting.
func (j *judging) open(a *app, word, stdinName string) (*load.File, error) {
	f, err := a.open(j.eng, word, stdinName)
	if err != nil {
		return nil, err
	}
	j.files[f.Name] = f
	if !slices.Contains(j.judged, f.Name) {
		j.judged = append(j.judged, f.Name)
	}
	return f, nil
}

// openClient reads the client record behind --client. What is plainly none is told by its flag: nobody who mistypes a record's name
// looks for a standard protocol, and a table read as a record would be a page of syntax errors.
func (j *judging) openClient(a *app, name string) (*load.File, error) {
	const records = "allowed: one client record, .cue, .yaml, .yml or .json"
	st, err := os.Stat(name)
	switch {
	case name == "-" || j.eng.Standard(name) != nil:
	case err == nil && st.IsDir():
		return nil, fmt.Errorf("--client: %s is a folder, %s; for all records of a folder: --clients, of isocue roster and isocue progress", name, records)
	case load.IsSpreadsheet(name):
		return nil, fmt.Errorf("--client is %s, a table, %s; a pressure log stands behind --log, a session log behind --sessions, a spreadsheet of clients behind --clients of isocue roster", name, records)
	case err != nil && !looksLikePath(name):
		return nil, fmt.Errorf("--client is %s, and there is no such file; %s, such as clients/heron-07.yaml", name, records)
	}
	return j.open(a, name, "standard-input")
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

// source gives the bytes of a file read, for quoting lines; never of a client record or log.
func (j *judging) source(name string) []byte {
	if f := j.files[name]; f != nil && f.Kind != load.IsClient && f.Kind != load.IsLog {
		return f.Source
	}
	return nil
}
