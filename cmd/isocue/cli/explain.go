package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/compiler"
	"isocue.example/compiler/check"
	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
	"isocue.example/compiler/report"
	"isocue.example/compiler/rule"
)

func (a *app) explain() *cobra.Command {
	c := &cobra.Command{
		Use: "explain RULE", Short: "say what a rule claims, why, and on which sources",
		Example: "  isocue explain grip-load-ceiling", Args: words(1, 1, "one rule"),
		RunE: func(_ *cobra.Command, args []string) error {
			eng := a.engine()
			b := eng.Check.Base
			r := b.Rule(args[0])
			if r == nil {
				ids := b.IDs()
				for _, x := range BeforeRules {
					if x.ID == args[0] {
						_, err := fmt.Fprintf(a.out, "%s: %s\n\nverdict  %s\n", x.ID, x.Asks, x.Verdict)
						return err
					}
					ids = append(ids, x.ID)
				}
				return fmt.Errorf("%q is no rule%s; `isocue rules` lists them", args[0], near.Hint(args[0], ids))
			}
			if err := report.Explain(a.out, b, r); err != nil {
				return err
			}
			return a.cases(eng, r)
		},
	}
	c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		var ids []string
		if b, err := rule.Load(); err == nil {
			for _, r := range b.All() {
				ids = append(ids, r.ID+"\t"+r.Title)
			}
		}
		return ids, cobra.ShellCompDirectiveNoFileComp
	}
	return c
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

// BeforeRules are the findings that are told before any rule is judged: no file of the rule base makes them.
var BeforeRules = []struct{ ID, Asks, Verdict string }{
	{load.Unreadable, fmt.Sprintf("a file is text in UTF-8, without errors of syntax, of at most %d bytes", load.MaxBytes), "malformed, told by the reader before any rule is judged"},
	{load.DataOnly, "a file is data: fields, lists and plain values, nothing that computes", "malformed, told by the reader before any rule is judged"},
	{load.Shape, "a file has the fields, units and physical spans that docs/fields.md lists, and no others", "malformed, told by the reader before any rule is judged"},
	{compiler.PolicyRule, "a clinic's policy only narrows, and its own rules are written like those of the rule base", "malformed"},
	{compiler.WaiverRule, "a waiver is signed by one of the policy's reviewers, for a finding that may be waived and that stands", "malformed, or caution where it is void, expired or unused"},
}
