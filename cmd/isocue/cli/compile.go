package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
)

type compileFlags struct {
	judgeFlags
	client, start, as, out, pack string
	log, sessions                string
	force                        bool
	again                        againFlags
	sheet                        sheetFlags
}

func (a *app) compile() *cobra.Command {
	var fl compileFlags
	c := &cobra.Command{
		Use:   "compile PROTOCOL... --client FILE --start DATE",
		Short: "compile protocols and a client record into a dated calendar",
		Long: "compile judges the protocols and the client record, works out the loads, gives every session a date\n" +
			"and hour, judges the result again and writes it. A rejection writes nothing and exits with 1.\n" +
			"Without -o or --pack the calendar goes to a pipe, and the week table to a terminal.\n" +
			"With --previous the plan before is followed: what is past stands, and the rest moves only where it must.",
		Example: "  isocue compile handgrip-alternating --client heron-07.yaml --start 2027-01-04 -o heron-07.ics\n" +
			"  isocue compile handgrip-alternating slow-breathing-even --client heron-07.yaml --start 2027-01-04 --pack packs/heron-07\n" +
			"  isocue compile handgrip-alternating --client heron-07.yaml --previous packs/heron-07/plan.json --pack packs/heron-07\n" +
			"  isocue compile --previous packs/heron-07/plan.json --stop 2027-02-10 --pack packs/heron-07",
		Args: words(0, -1, "a protocol, such as handgrip-alternating or ours.cue"),
		RunE: func(c *cobra.Command, args []string) error {
			fl.sheet.told = c.Flags().Changed("discreet")
			return a.runCompile(args, fl)
		},
	}
	c.Flags().StringVar(&fl.client, "client", "", "the client record, a path or -")
	c.Flags().StringVar(&fl.start, "start", "", "the first day of the course, such as 2027-01-04")
	c.Flags().StringVar(&fl.as, "as", "", "ics, plan, csv, table or fhir; else by the ending of -o (.ics, .json, .csv, .txt), else ics, on a terminal table")
	c.Flags().StringVarP(&fl.out, "output", "o", "", "write to this file, whole or not at all; - is standard output")
	c.Flags().StringVar(&fl.pack, "pack", "", "write plan, calendar and the client's sheet into this folder")
	c.Flags().StringVar(&fl.log, "log", "", "the client's pressure log, CSV or a FHIR Bundle: an alert in it that nobody cleared refuses, and the gate takes its newest sitting")
	c.Flags().StringVar(&fl.sessions, "sessions", "", "the client's session log: a danger sign or an injury in it that nobody cleared refuses")
	fl.add(c, "the working directory or of its nearest parent")
	fl.again.add(c)
	fl.sheet.add(c)
	c.Flags().BoolVar(&fl.force, "force", false, "overwrite a file that isocue did not write")
	complete(c, "as", Forms...)
	c.ValidArgsFunction = begun(a.completeProtocols)
	return c
}

// Forms are the forms of a plan.
var Forms = append([]string{"ics"}, planForms.Names()...)

// form picks what to write: --as, else the ending of -o, else the calendar, on a terminal the table.
func (a *app) form(fl compileFlags) (string, error) {
	if err := noneOrOneOf("--as", fl.as, Forms); err != nil || fl.as != "" {
		return fl.as, err
	}
	switch {
	case strings.HasSuffix(fl.out, ".json"):
		return "plan", nil
	case strings.HasSuffix(fl.out, ".csv"):
		return "csv", nil
	case strings.HasSuffix(fl.out, ".txt"):
		return "table", nil
	case fl.out == "" || fl.out == "-":
		if terminal(a.out) && fl.pack == "" {
			return "table", nil
		}
	case !strings.HasSuffix(fl.out, ".ics"):
		return "", fmt.Errorf("-o is %s, allowed: an ending that tells the form (.ics, .json for the plan, .csv, .txt for the table), or --as", fl.out)
	}
	return "ics", nil
}

func (a *app) runCompile(args []string, fl compileFlags) error {
	if err := fl.check(len(args)); err != nil {
		return err
	}
	if err := fl.sheet.check(); err != nil {
		return err
	}
	form, err := a.form(fl)
	if err != nil {
		return err
	}
	in, err := a.again(&fl)
	if err != nil {
		return err
	}
	if fl.again.stop != "" {
		return a.runStop(in, form, fl)
	}
	args = append(args, fl.client)
	j, err := a.begin(a.err, fl.judgeFlags, args, nil)
	if err != nil {
		return err
	}
	in.Now = j.now
	if err := fl.again.restarts(in); err != nil {
		return err
	}
	for i, arg := range args {
		open := j.open
		if i == len(args)-1 {
			open = func(a *app, name, _ string) (*load.File, error) { return j.openClient(a, name) }
		}
		f, err := open(a, arg, "standard-input")
		if err != nil {
			return err
		}
		want := load.IsProtocol
		if i == len(args)-1 {
			want, in.Client = load.IsClient, f.Client
			for i := range f.Findings { // a client record, readable or not
				f.Findings[i].Private = true
			}
			if fl.pack != "" {
				j.found = append(j.found, callable(f.Client)...)
			}
		}
		j.found = append(j.found, f.Findings...)
		for i := range f.Protocols {
			in.Protocols = append(in.Protocols, &f.Protocols[i])
		}
		if f.Kind != want && len(f.Findings) == 0 {
			j.found = append(j.found, wrongKind(f, want))
		}
	}
	if !finding.Rejected(j.found) {
		if err := j.followed(&in, fl); err != nil {
			return err
		}
	}
	var plan *record.Plan
	var changes []record.Change
	anew := false
	if !finding.Rejected(j.found) {
		if j.eng, in, err = fl.sheet.in(j.eng, in); err != nil {
			return err
		}
		if in.Discreet && fl.pack == "" && form == "ics" {
			return errDiscreet
		}
		res, err := j.eng.Compile(in)
		if err != nil {
			return err
		}
		j.found, plan, changes = append(j.found, res.Findings...), res.Plan, res.Changes
		anew = res.New
	}
	// the ledger first: a calendar that nobody recorded must not be handed out
	if err := j.end(fl.record); err != nil {
		return err
	}
	if plan != nil {
		if err := a.emit(j.eng, plan, in.Client, form, fl); err != nil {
			return err
		}
	}
	if err := j.print(a.err); err != nil {
		return err
	}
	if plan != nil && anew {
		fmt.Fprintf(a.err, "a new course: the one before has ended; sheet %d, from %s; destroy sheet %d\n", plan.Sheet, plan.Start, in.Previous.Sheet)
	}
	if plan != nil && in.Previous != nil && !anew {
		leftOut(a.err, in, changes)
		if err := plans.Changes(a.err, plan, in.Previous.Sheet, changes); err != nil {
			return err
		}
	}
	if finding.Rejected(j.found) {
		j.stillTrained(a.err, in, fl)
		return errRefused
	}
	return nil
}

func wrongKind(f *load.File, want load.Kind) finding.Finding {
	return finding.Finding{Rule: load.Shape, Verdict: finding.Malformed, Pos: finding.Pos{File: f.Name, Line: 1, Column: 1},
		Message: fmt.Sprintf("file is %s, allowed here: %s", f.Kind.Words(), want.Words()), Private: f.Kind == load.IsClient,
		Remedy:    "name the protocols first and the client record behind --client",
		Rationale: "A file of another kind has none of the fields that are needed here."}
}
