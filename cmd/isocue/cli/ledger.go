package cli

import (
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/compiler/ledger"
	"isocue.example/compiler/report"
	"isocue.example/compiler/report/judged"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
)

func (a *app) ledger() *cobra.Command {
	var since, ruleID, format string
	c := &cobra.Command{
		Use: "ledger [FILE]", Short: "list, filter and verify the record of judgements",
		Long: "ledger lists the record that lint --record and compile --record write (ledger.jsonl unless named), counts it, and\n" +
			"verifies its chain. A line that was changed, dropped or put in is told with its number, and the exit code is 1.\n" +
			"Lines dropped from the end leave a chain that holds: keep the file under version control.",
		Example: "  isocue ledger\n  isocue ledger clinic.jsonl --since 2027-01-01 --rule grip-load-ceiling", Args: words(0, 1, "one ledger or none"),
		RunE: func(_ *cobra.Command, args []string) error {
			name := "ledger.jsonl"
			if len(args) == 1 {
				name = args[0]
			}
			if err := textOrJSON(format); err != nil {
				return err
			}
			if since != "" {
				if _, err := unit.ParseDate(since); err != nil {
					return fmt.Errorf("--since: %w", err)
				}
			}
			lines, torn, err := ledger.Read(name)
			var broken *ledger.Broken
			if errors.As(err, &broken) {
				fmt.Fprintf(a.out, "%s; nothing after it can be trusted, restore the file from a copy\n", report.Clean(broken.Error()))
				return errRefused
			}
			if err != nil {
				return err
			}
			if err := knownRule(ruleID, lines); err != nil {
				return err
			}
			lines = slices.DeleteFunc(lines, func(l ledger.Line) bool {
				return since != "" && l.Time[:min(10, len(l.Time))] < since || ruleID != "" && l.Rule != ruleID
			})
			if format == "json" {
				if lines == nil {
					lines = []ledger.Line{}
				}
				return report.Indented(a.out, map[string]any{"version": 1, "lines": lines, "torn": torn})
			}
			return a.listLedger(lines, torn)
		},
	}
	c.Flags().StringVar(&since, "since", "", "only lines from this day on, such as 2027-01-04")
	c.Flags().StringVar(&ruleID, "rule", "", "only lines of this rule")
	c.Flags().StringVar(&format, "format", "text", "text or json")
	complete(c, "format", listFormats...)
	completeBy(c, "rule", completeRules)
	return c
}

// knownRule refuses a rule that neither the rule base nor any line names. A ledger may hold rules of a clinic and of an older base.
func knownRule(id string, lines []ledger.Line) error {
	b, err := rule.Load()
	if err != nil {
		return err
	}
	if id == "" || b.Rule(id) != nil || slices.ContainsFunc(BeforeRules, func(x judged.Early) bool { return x.ID == id }) ||
		slices.ContainsFunc(lines, func(l ledger.Line) bool { return l.Rule == id }) {
		return nil
	}
	return noRule(b, id)
}

func (a *app) listLedger(lines []ledger.Line, torn bool) error {
	count := map[string]int{}
	for _, l := range lines {
		count[l.Verdict]++
		what := l.Protocol
		if l.Client != "" {
			what = l.Client
		}
		text := fmt.Sprintf("%s  %-15s  %s  %s", l.Time, l.Verdict, l.By, what)
		if l.Rule != "" {
			text += fmt.Sprintf("  %s at %s", l.Rule, l.Path)
		}
		if l.Found != "" {
			text += ": found " + l.Found
			if l.Allowed != "" {
				text += ", allowed " + l.Allowed
			}
		}
		if _, err := fmt.Fprintln(a.out, report.Clean(text)); err != nil {
			return err
		}
	}
	var parts []string
	for v, n := range count {
		parts = append(parts, fmt.Sprintf("%d %s", n, v))
	}
	sort.Strings(parts)
	end := fmt.Sprintf("%d lines", len(lines))
	if len(lines) == 1 {
		end = "1 line"
	}
	if len(parts) > 0 {
		end += ": " + strings.Join(parts, ", ")
	}
	end += "; the chain holds"
	if torn {
		end += "; a killed process left the last run half told, and it is left out"
	}
	_, err := fmt.Fprintln(a.out, end)
	return err
}
