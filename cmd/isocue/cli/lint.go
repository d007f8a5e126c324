package cli

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report"
)

func (a *app) lint() *cobra.Command {
	var format, failOn, stdinName, policy, waivers string
	var forWhom []string
	var rec recordFlags
	c := &cobra.Command{
		Use:   "lint PATH|ID... | -",
		Short: "judge protocols, client records, policies or whole folders",
		Long: "lint judges protocols and client records, policies, waivers and plans, and says where and why.\n" +
			"Of each folder with plans the newest is judged again: a client who trains by one that is refused now is named.\n" +
			"What a file is about is told by its content. A standard protocol is named by its id.\n" +
			"Of a folder, a client record that was sound on its newest day is not refused for its age alone, and is named.\n" +
			"A clean result says that no rule refused the file; it is not a medical clearance.",
		Example: "  isocue lint handgrip-alternating\n  isocue lint protocols/ours.cue clients/\n  isocue lint heron-07.yaml --for inspiratory-strength\n  cue export ours.cue | isocue lint - --stdin-filename ours.json",
		Args:    words(1, -1, "a file, a folder, a standard protocol or -"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := textOrJSON(format); err != nil {
				return err
			}
			if failOn != "" && failOn != "caution" {
				return fmt.Errorf("--fail-on is %q, allowed: caution", failOn)
			}
			return a.runLint(args, forWhom, format, failOn, stdinName, policy, waivers, rec)
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text or json")
	c.Flags().StringArrayVar(&forWhom, "for", nil, "judge client records for this protocol, a path or the id of a standard protocol; may be given again")
	c.Flags().StringVar(&policy, "policy", "", "the clinic's policy; else policy.cue of the folder given, of the working directory or of its nearest parent")
	rec.add(c)
	c.Flags().StringVar(&waivers, "waivers", "", "the clinic's waivers; else waivers.cue, found as the policy is")
	c.Flags().StringVar(&failOn, "fail-on", "", "caution: exit 1 on cautions too")
	c.Flags().StringVar(&stdinName, "stdin-filename", "standard-input", "what to call standard input; its ending tells the notation")
	c.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]string{"text", "json"}, cobra.ShellCompDirectiveNoFileComp))
	c.RegisterFlagCompletionFunc("fail-on", cobra.FixedCompletions([]string{"caution"}, cobra.ShellCompDirectiveNoFileComp))
	c.ValidArgsFunction = a.completeProtocols
	return c
}

func (a *app) runLint(args, forWhom []string, format, failOn, stdinName, policy, waivers string, rec recordFlags) error {
	j, err := a.begin(a.out, policy, waivers, slices.Concat(forWhom, args), args)
	if err != nil {
		return err
	}
	named := args
	if args, err = expand(named); err != nil {
		return err
	}
	copies, err := schemaCopies(named)
	if err != nil {
		return err
	}
	j.found = append(j.found, copies...)
	var protocols []*load.Protocol
	for _, arg := range forWhom {
		f, err := j.open(a, arg, stdinName)
		if err != nil {
			return err
		}
		if f.Kind != load.IsProtocol && len(f.Findings) == 0 {
			j.found = append(j.found, wrongKind(f, load.IsProtocol))
		}
		j.found = append(j.found, j.eng.Lint(f, j.now)...)
		for i := range f.Protocols {
			protocols = append(protocols, &f.Protocols[i])
		}
	}
	var walked []string
	for _, arg := range args {
		f, err := j.open(a, arg, stdinName)
		if err != nil {
			return err
		}
		if !slices.Contains(named, arg) {
			walked = append(walked, arg)
		}
		j.found = append(j.found, j.judge(a, f, !slices.Contains(named, arg), protocols)...)
	}
	j.found = append(j.found, j.sameIDs(walked)...)
	j.found = append(j.found, j.recall(a)...)
	before, err := j.acceptedBefore(a, rec.file, named)
	if err != nil {
		return err
	}
	j.found = append(j.found, before...)
	j.sayAged(a)
	if err := j.end(rec); err != nil {
		return err
	}
	if format == "json" {
		err = report.JSON(a.out, j.found)
	} else {
		err = j.print(a.out)
	}
	if err != nil {
		return err
	}
	if finding.Rejected(j.found) || failOn == "caution" && len(j.found) > 0 {
		return errRefused
	}
	return nil
}
