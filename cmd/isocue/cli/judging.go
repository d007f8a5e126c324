package cli

import (
	"cmp"
	"errors"
	"io"

	"github.com/spf13/cobra"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/report/judged"
)

// judging is a judgement of the clinic's files, and how the command line tells it.
type judging struct {
	*clinic.Judging
	format string // of the findings
	strict bool   // a caution refuses too
	color  bool
	why    bool // say rule, place, reason and sources of what is about a client too
	many   bool // people judge folders with it: say how many files of which kind
}

// judgeFlags are the flags of the verbs that judge.
type judgeFlags struct {
	format, policy, waivers string
	record, by              string // the ledger, and who judged
	why                     bool
}

func (f *judgeFlags) add(c *cobra.Command, found string) {
	f.clinic(c, found)
	f.reasons(c)
	c.Flags().StringVar(&f.format, "format", "text", "the form of the findings: "+orList(judged.Formats.Names()))
	c.Flags().StringVar(&f.record, "record", "", "append each rejection and waiver, or that the file was accepted, to this ledger: a folder, such as ledger, with a file for each who judges, or one file")
	c.Flags().StringVar(&f.by, "by", "", "who judged, for the ledger; else the system's user")
	complete(c, "format", judged.Formats.Names()...)
}

// reasons adds the flag for whoever wants more than a sentence of each finding about a client.
func (f *judgeFlags) reasons(c *cobra.Command) {
	c.Flags().BoolVar(&f.why, "why", false, "say of what is about a client the rule, the place, the reason and the sources too")
}

// clinic adds the flags that name the clinic's own files; found says in words where they are looked for.
func (f *judgeFlags) clinic(c *cobra.Command, found string) {
	c.Flags().StringVar(&f.policy, "policy", "", "the clinic's policy, or none for the rule base alone; else policy.cue of "+found)
	c.Flags().StringVar(&f.waivers, "waivers", "", "the clinic's waivers; else waivers.cue, found as the policy is")
}

// front is what the command line lends to the work.
func (a *app) front() clinic.Front { return clinic.Front{Engine: a.engine, In: a.in, Say: a.say} }

// begin checks the form of the findings and reads clock, policy and waivers. reads are the words that name files; folders are
// those among which a clinic's files are looked for; findings go to w.
func (a *app) begin(w io.Writer, fl judgeFlags, reads, folders []string) (*judging, error) {
	if err := oneOf("--format", fl.format, judged.Formats.Names()); err != nil {
		return nil, err
	}
	color, err := a.useColor(w)
	if err != nil {
		return nil, err
	}
	now, err := a.moment()
	if err != nil {
		return nil, err
	}
	j, err := a.front().Begin(now, clinic.Places{Policy: fl.policy, Waivers: fl.waivers, Folders: folders}, reads)
	return &judging{Judging: j, format: fl.format, color: color, why: fl.why}, err
}

// end puts what was found in order and writes it into the ledger, where one is named.
func (j *judging) end(fl judgeFlags) error {
	r := clinic.Record{File: fl.record}
	if r.File != "" {
		if r.By = cmp.Or(fl.by, systemUser()); r.By == "" {
			return errors.New("nobody is known to write into the ledger; name who judged by --by")
		}
	}
	return j.End(r)
}

// refusedAlready prints what was found where it rejects, and says so: what comes after needs sound files.
func (j *judging) refusedAlready(w io.Writer) error {
	if !finding.Rejected(j.Found) {
		return nil
	}
	j.Found = finding.Sort(j.Found)
	if err := j.print(w); err != nil {
		return err
	}
	return errRefused
}
