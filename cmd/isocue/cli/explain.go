package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/compiler"
	"isocue.example/compiler/check"
	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report"
	"isocue.example/compiler/report/judged"
	"isocue.example/compiler/rule"
)

func (a *app) explain() *cobra.Command {
	var policy string
	c := &cobra.Command{
		Use: "explain RULE", Short: "say what a rule claims, why, and on which sources",
		Example: "  isocue explain grip-load-ceiling", Args: words(1, 1, "one rule"),
		RunE: func(_ *cobra.Command, args []string) error {
			eng, err := a.under(policy)
			if err != nil {
				return err
			}
			b := eng.Check.Base
			r := b.Rule(args[0])
			if old, gone := b.RetiredRule(args[0]); r == nil && gone {
				return judged.ExplainRetired(a.out, b, old)
			}
			if r == nil {
				for _, x := range BeforeRules {
					if x.ID == args[0] {
						_, err := fmt.Fprintf(a.out, "%s: %s\n\nverdict  %s\nfix      %s\nwhy      %s\n", x.ID, x.Asks, x.Verdict, x.Remedy, x.Why)
						return err
					}
				}
				return noRule(b, args[0])
			}
			if err := judged.Explain(a.out, b, r); err != nil {
				return err
			}
			return a.cases(eng, r)
		},
	}
	c.Flags().StringVar(&policy, "policy", "", "a clinic's policy: its own rules are known, and its limits stand in place of the base's")
	c.ValidArgsFunction = upTo(1, completeRules)
	return c
}

// under is the engine under a clinic's policy, the rule base alone without one.
func (a *app) under(policy string) (*compiler.Compiler, error) {
	eng := a.engine()
	if policy == "" {
		return eng, nil
	}
	f, err := eng.Reader.Path(policy)
	if err != nil {
		return nil, fmt.Errorf("cannot read the policy: %w", files.Short(err))
	}
	strict, found := eng.Under(f)
	for _, x := range found {
		if x.Rejects() {
			return nil, fmt.Errorf("the policy is refused: %s: %s; `isocue lint %s` says all", x.Pos, x.Message, policy)
		}
	}
	return strict, nil
}

// cases shows a rule's own examples, each judged here and now.
func (a *app) cases(eng *compiler.Compiler, r *rule.Rule) error {
	if _, err := fmt.Fprintf(a.out, "\nexamples, laid over %s\n", r.Example.Of); err != nil {
		return err
	}
	for _, ex := range append(r.Example.Pass, r.Example.Fail...) {
		f, err := check.JudgeExample(eng.Check.Base, eng.Standard, r, ex)
		if err != nil {
			return err
		}
		if _, err := fmt.Fprintf(a.out, "\n  %s\n", strings.ReplaceAll(load.CUEText(ex), "\n", "\n  ")); err != nil {
			return err
		}
		if f == nil {
			_, err = fmt.Fprintln(a.out, "    passes")
		} else {
			_, err = fmt.Fprintf(a.out, "    %s: %s [%s]\n", f.Verdict, report.Clean(f.Message), f.Rule)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
