package cli

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler/ledger"
	"isocue.example/compiler/report"
	"isocue.example/compiler/report/judged"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
)

func (a *app) ledger() *cobra.Command {
	var since, ruleID, format string
	var expect []string
	var last bool
	c := &cobra.Command{
		Use: "ledger [LEDGER]", Short: "list, filter and verify the record of judgements",
		Long: "ledger lists the record that lint --record and compile --record write (the folder ledger or the file ledger.jsonl unless\n" +
			"named), counts it, and verifies its chain. A line that was changed, dropped or put in is told with its number, and the exit\n" +
			"code is 1. In a folder each who judges has a file with a chain of its own. Lines dropped from the end leave a chain that holds:\n" +
			"keep the digest of the last line, which --last prints, somewhere else, and ask for it by --expect.",
		Example: "  isocue ledger\n  isocue ledger clinic.jsonl --since 2027-01-01 --rule grip-load-ceiling\n  isocue ledger waivers", Args: words(0, 1, "one ledger or none"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := textOrJSON(format); err != nil {
				return err
			}
			if since != "" {
				if _, err := unit.ParseDate(since); err != nil {
					return fmt.Errorf("--since: %w", err)
				}
			}
			book, name, err := a.readLedger(args)
			if err != nil {
				return err
			}
			if err := knownRule(ruleID, book.Lines); err != nil {
				return err
			}
			for _, x := range expect {
				if x == "" {
					return errors.New("--expect is empty, allowed: a digest that --last printed")
				}
				if !book.Holds(x) {
					fmt.Fprintf(a.out, "%s holds no line of the digest %s: lines were dropped from its end, or it is another ledger; restore it from a copy\n", report.Clean(name), report.Clean(x))
					return errRefused
				}
			}
			lines := slices.DeleteFunc(book.Lines, func(l ledger.Line) bool {
				return since != "" && l.Time[:min(10, len(l.Time))] < since || ruleID != "" && l.Rule != ruleID
			})
			if format == "json" {
				if lines == nil {
					lines = []ledger.Line{}
				}
				return report.Indented(a.out, map[string]any{"version": 1, "lines": lines, "torn": book.Torn(), "chains": book.Chains})
			}
			if err := a.listLedger(lines, book); err != nil || !last {
				return err
			}
			for _, c := range book.Chains {
				if _, err := fmt.Fprintf(a.out, "%s  %s\n", c.Last, report.Clean(filepath.ToSlash(c.File))); err != nil {
					return err
				}
			}
			return nil
		},
	}
	c.Flags().StringVar(&since, "since", "", "only lines from this day on, such as 2027-01-04")
	c.Flags().StringVar(&ruleID, "rule", "", "only lines of this rule")
	c.Flags().StringVar(&format, "format", "text", "text or json")
	c.Flags().BoolVar(&last, "last", false, "print the digest of each chain's last line too")
	c.Flags().StringArrayVar(&expect, "expect", nil, "the digest of a last line that was kept; may be given again")
	complete(c, "format", listFormats...)
	completeBy(c, "rule", completeRules)
	c.AddCommand(a.ledgerWaivers())
	return c
}

// readLedger reads the ledger that is named, else the clinic's own. One whose chain is broken is told, and refuses.
func (a *app) readLedger(args []string) (b ledger.Book, name string, err error) {
	if len(args) == 1 {
		name = args[0]
	} else if name, err = clinic.LedgerOf("", nil); err != nil {
		return b, "", err
	}
	if name == "" {
		return b, "", fmt.Errorf("%s: no such ledger; begin one with: isocue lint . --record %s --by NAME", clinic.LedgerName, clinic.LedgerName)
	}
	b, err = ledger.Read(name)
	var broken *ledger.Broken
	if errors.As(err, &broken) {
		fmt.Fprintf(a.out, "%s; nothing after it can be trusted, restore the file from a copy\n", report.Clean(broken.Error()))
		err = errRefused
	}
	return b, name, err
}

// ledgerWaivers lists what was accepted although the evidence does not bear it.
func (a *app) ledgerWaivers() *cobra.Command {
	var format string
	c := &cobra.Command{
		Use: "waivers [LEDGER]", Short: "list who accepted what, why and until when",
		Long:    "waivers lists each acceptance that the ledger holds, once: the protocol, the rule and the value, who signed, why and until when.",
		Example: "  isocue ledger waivers", Args: words(0, 1, "one ledger or none"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := textOrJSON(format); err != nil {
				return err
			}
			b, _, err := a.readLedger(args)
			if err != nil {
				return err
			}
			signed := ledger.Signed(b.Lines)
			if format == "json" {
				return report.Indented(a.out, map[string]any{"version": 1, "waivers": signed})
			}
			for _, l := range signed {
				fmt.Fprintln(a.out, report.Clean(fmt.Sprintf("%s revision %d, %s at %s, found %s: %s from %s until %s: %s", l.Protocol, l.Revision, l.Rule, l.Path, l.Found, l.Signer, l.Signed, l.Until, l.Waiver)))
			}
			_, err = fmt.Fprintln(a.out, report.Plural(len(signed), "1 waiver", fmt.Sprintf("%d waivers", len(signed))))
			return err
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text or json")
	complete(c, "format", listFormats...)
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

func (a *app) listLedger(lines []ledger.Line, book ledger.Book) error {
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
		if l.Signer != "" {
			text += fmt.Sprintf(", waived by %s until %s", l.Signer, l.Until)
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
	if book.Torn() {
		end += "; a killed process left the last run half told, and it is left out"
	}
	_, err := fmt.Fprintln(a.out, end)
	return err
}
