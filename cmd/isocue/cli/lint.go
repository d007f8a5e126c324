package cli

import (
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
)

type lintFlags struct {
	judgeFlags
	failOn, stdinName string
	forWhom           []string
	timings           bool
}

func (a *app) lint() *cobra.Command {
	var fl lintFlags
	c := &cobra.Command{
		Use:   "lint PATH|ID... | -",
		Short: "judge protocols, client records, policies or whole folders",
		Long: "lint judges protocols and client records, policies, waivers and plans, and says where and why.\n" +
			"Of each folder with plans the newest is judged again: a client who trains by one that is refused now is named.\n" +
			"Each row of a spreadsheet of clients (.csv) is judged as the record that it would be.\n" +
			"What a file is about is told by its content. A standard protocol is named by its id.\n" +
			"Of a folder everything is looked at, or counted and named as passed over; logs are named by the id of a record beside them.\n" +
			"Of a folder, a client record that was sound on its newest day is not refused for its age alone, and is named.\n" +
			"A clean result says that no rule refused the file; it is not a medical clearance.",
		Example: "  isocue lint handgrip-alternating\n  isocue lint protocols/ours.cue clients/\n  isocue lint heron-07.yaml --for inspiratory-strength\n  cue export ours.cue | isocue lint - --stdin-filename ours.json",
		Args:    words(1, -1, "a file, a folder, a standard protocol or -"),
		RunE:    func(_ *cobra.Command, args []string) error { return a.runLint(args, fl) },
	}
	fl.add(c, "the folder given, of the working directory or of its nearest parent")
	c.Flags().StringArrayVar(&fl.forWhom, "for", nil, "judge client records for this protocol, a path or the id of a standard protocol; may be given again")
	c.Flags().StringVar(&fl.failOn, "fail-on", "", "caution: exit 1 on cautions too")
	c.Flags().StringVar(&fl.stdinName, "stdin-filename", "standard-input", "what to call standard input; its ending tells the notation")
	c.Flags().BoolVar(&fl.timings, "timings", false, "print on standard error how long each rule took, the slowest first")
	complete(c, "fail-on", "caution")
	completeBy(c, "for", a.completeProtocols)
	c.ValidArgsFunction = begun(a.completeProtocols)
	return c
}

func (a *app) runLint(args []string, fl lintFlags) error {
	if err := noneOrOneOf("--fail-on", fl.failOn, []string{"caution"}); err != nil {
		return err
	}
	j, err := a.begin(a.out, fl.judgeFlags, slices.Concat(fl.forWhom, args), args)
	if err != nil {
		return err
	}
	if fl.timings {
		j.Under.Check.Timer = &check.Stopwatch{Now: time.Now}
	}
	j.strict, j.many = fl.failOn == "caution", true
	if err := j.Lint(clinic.Lint{Named: args, For: fl.forWhom, StdinName: fl.stdinName, Policy: fl.policy, Waivers: fl.waivers, Ledger: fl.record}); err != nil {
		return err
	}
	if err := j.end(fl.judgeFlags); err != nil {
		return err
	}
	if err := j.print(a.out); err != nil {
		return err
	}
	if fl.timings {
		if err := a.timings(j.Under.Check.Timer.Timings()); err != nil {
			return err
		}
	}
	if finding.Refused(j.Found, j.strict) {
		return errRefused
	}
	return nil
}

// timings lists how long each rule took.
func (a *app) timings(ts []check.Timing) error {
	var all time.Duration
	for _, t := range ts {
		all += t.Spent
		if _, err := fmt.Fprintf(a.err, "%10s  %5d x  %s\n", t.Spent, t.Runs, t.Rule); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintf(a.err, "%10s  %d rules judged\n", all, len(ts))
	return err
}
