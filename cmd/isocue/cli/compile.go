package cli

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/report/plans"
)

type compileFlags struct {
	judgeFlags
	client, start, as, out, pack string
	log, sessions                string
	force                        bool
	again                        againFlags
	reading                      readingFlags
}

func (a *app) compile() *cobra.Command {
	var fl compileFlags
	c := &cobra.Command{
		Use:   "compile PROTOCOL... --client FILE --start DATE",
		Short: "compile protocols and a client record into a dated calendar",
		Long: "compile judges the protocols and the client record, works out the loads, gives every session a date\n" +
			"and hour, judges the result again and writes it. A rejection writes nothing and exits with 1.\n" +
			"Without -o or --pack the calendar goes to a pipe, and the week table to a terminal.\n" +
			"With --previous the plan before is followed: what is past stands, and the rest moves only where it must. Without a protocol its own go on.",
		Example: "  isocue compile handgrip-alternating --client heron-07.yaml --start 2027-01-04 -o heron-07.ics\n" +
			"  isocue compile handgrip-alternating slow-breathing-even --client heron-07.yaml --start 2027-01-04 --pack packs/heron-07\n" +
			"  isocue compile handgrip-alternating --client heron-07.yaml --previous packs/heron-07/plan.json --pack packs/heron-07\n" +
			"  isocue compile --previous packs/heron-07/plan.json --stop 2027-02-10 --pack packs/heron-07",
		Args: words(0, -1, "a protocol, such as handgrip-alternating or ours.cue"),
		RunE: func(c *cobra.Command, args []string) error {
			if err := fl.reading.check(c); err != nil {
				return err
			}
			return a.runCompile(args, fl)
		},
	}
	c.Flags().StringVar(&fl.client, "client", "", "the client record, a path or -")
	c.Flags().StringVar(&fl.start, "start", "", "the first day of the course, such as 2027-01-04")
	c.Flags().StringVar(&fl.as, "as", "", "ics, plan, csv, table or fhir; else by the ending of -o (.ics, .json, .csv, .txt), else ics, on a terminal table")
	c.Flags().StringVarP(&fl.out, "output", "o", "", "write to this file, whole or not at all; - is standard output")
	c.Flags().StringVar(&fl.pack, "pack", "", "write calendar, plan, sheet and session page into this folder")
	c.Flags().StringVar(&fl.log, "log", "", "the client's pressure log, CSV or a FHIR Bundle: an alert in it that nobody cleared refuses, and the gate takes its newest sitting")
	c.Flags().StringVar(&fl.sessions, "sessions", "", "the client's session log: a danger sign or an injury in it that nobody cleared refuses")
	fl.add(c, "the working directory or of its nearest parent")
	fl.again.add(c)
	fl.reading.add(c)
	c.Flags().BoolVar(&fl.force, "force", false, "overwrite a file that isocue did not write")
	complete(c, "as", clinic.Forms...)
	c.ValidArgsFunction = begun(a.completeProtocols)
	return c
}

// form picks what to write: --as, else the ending of -o, else the calendar, on a terminal the table.
func (a *app) form(fl compileFlags) (string, error) {
	if err := noneOrOneOf("--as", fl.as, clinic.Forms); err != nil || fl.as != "" {
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
	form, err := a.form(fl)
	if err != nil {
		return err
	}
	if fl.again.stop != "" {
		return a.runStop(form, fl)
	}
	var before *clinic.Before
	if fl.again.previous != "" {
		if before, err = clinic.ReadBefore(fl.again.previous); err != nil {
			return err
		}
	}
	in, err := fl.input(before)
	if err != nil {
		return err
	}
	j, err := a.begin(a.err, fl.judgeFlags, append(slices.Clone(args), fl.client), nil)
	if err != nil {
		return err
	}
	if before != nil {
		before.Judge(j.Judging)
	}
	if !clinic.MayRestart(in, j.Now) {
		return fmt.Errorf("%s was stopped on %s; a programme that has ended is not gone on with: from that day on, name a --start for a new one, which needs what any start needs", before.Name, before.Plan.Stopped)
	}
	m, err := j.Compile(clinic.Order{Protocols: args, Before: before, Client: fl.client, Input: in, Log: fl.log, Sessions: fl.sessions, Reading: fl.reading.Reading,
		Pack: fl.pack != "", Calendar: fl.pack == "" && form == "ics"})
	if err != nil {
		return err
	}
	// the ledger first: a calendar that nobody recorded must not be handed out
	if err := j.end(fl.judgeFlags); err != nil {
		return err
	}
	if m.Plan != nil {
		if err := a.emit(m.Engine, m.Plan, m.Input.Client, before, form, fl); err != nil {
			return err
		}
	}
	if err := j.print(a.err); err != nil {
		return err
	}
	if m.Plan != nil && fl.format == "text" {
		for _, s := range compiler.Holding(m.Plan) {
			fmt.Fprintf(a.err, "%s; phone the client today, whose sheet is void\n", s)
		}
	}
	switch {
	case m.Plan == nil:
	case m.New:
		fmt.Fprintf(a.err, "a new course: the one before has ended; sheet %d, from %s; destroy sheet %d\n", m.Plan.Sheet, m.Plan.Start, in.Previous.Sheet)
	case before != nil:
		for _, e := range m.LeftOut() {
			fmt.Fprintf(a.err, "%s was not named again, so it ends here (sessions cancelled: %d); if that is not meant, name it beside the others and compile again\n", e.Protocol, e.Sessions)
		}
		if err := plans.Changes(a.err, m.Plan, in.Previous.Sheet, m.Changes); err != nil {
			return err
		}
	}
	if finding.Rejected(j.Found) {
		switch {
		case m.Plan != nil && m.Plan.Stopped != 0:
			fmt.Fprintf(a.err, "sheet %d cannot be trusted, and the diary closes training: everything from now on is cancelled; phone the client today\n", in.Previous.Sheet)
			return errRefused
		case m.Plan != nil:
			fmt.Fprintf(a.err, "the rest is refused, and goes on as it stood on sheet %d\n", in.Previous.Sheet)
			return errRefused
		}
		j.stillTrained(a.err, m.Input, fl)
		return errRefused
	}
	return nil
}

// stillTrained says what a refusal leaves in the client's hands: the plan before goes on until somebody stops it. It is for people, and
// for refusals that are about harm.
func (j *judging) stillTrained(w io.Writer, in compiler.Input, fl compileFlags) {
	next := clinic.Next(in)
	if next == nil || fl.format != "text" || !slices.ContainsFunc(j.Found, func(f finding.Finding) bool { return f.Verdict == finding.Unsafe }) {
		return
	}
	words := []string{"isocue", "compile", "--previous", fl.again.previous, "--stop", clinic.Today(in.Previous.Zone, j.Now).String()}
	if fl.pack != "" {
		words = append(words, "--pack", fl.pack)
	}
	fmt.Fprintf(w, "sheet %d still stands, and the client trains by it next on %s; if that must not be, phone, then: %s\n", in.Previous.Sheet, next.Start, join(words...))
}
