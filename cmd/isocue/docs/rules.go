package docs

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"isocue.example/cmd/isocue/cli"
	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
)

// rulePages makes a page for every rule and their index.
func rulePages(c *compiler.Compiler, out map[string][]byte) error {
	for _, r := range c.Check.Base.All() {
		p, err := rulePage(c, r)
		if err != nil {
			return fmt.Errorf("rule %s: %w", r.ID, err)
		}
		out["docs/rules/"+r.ID+".md"] = p
	}
	index, err := ruleIndex(c.Check.Base)
	out["docs/rules/README.md"] = index
	return err
}

// closing says what a rule that tells somebody closes.
func closing(t rule.Tell) string {
	what := "training"
	if t.Narrow {
		var ms []string
		for _, m := range t.Only {
			ms = append(ms, string(m))
		}
		what = strings.Join(ms, ", ")
	}
	switch {
	case !t.Closes():
		return ""
	case t.DayAlone:
		return " It closes " + what + " on that day."
	}
	return " It closes " + what + " until a clinician opens it again."
}

// rulePage is one rule in the order in which a person asks: what is claimed, what do I do, why, who says so, show me.
func rulePage(c *compiler.Compiler, r *rule.Rule) ([]byte, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s# %s\n\n%s.\n\n", generated, r.ID, upper(r.Title))
	fmt.Fprintf(&b, "Verdict **%s**, judged for each %s, since %s.\n\n", r.Verdict, r.About, r.Since)
	if len(r.Limits) > 0 {
		b.WriteString("| limit | number |\n|---|---|\n")
		for _, l := range r.Limits {
			fmt.Fprintf(&b, "| %s | %s |\n", l, r.Limit[l].Raw)
		}
		b.WriteString("\n")
	}
	if r.WhenText != "" {
		fmt.Fprintf(&b, "Applies when:\n\n```cue\n%s\n```\n\n", unbraced(r.WhenText))
	} else {
		fmt.Fprintf(&b, "Applies to every %s.\n\n", r.About)
	}
	if r.Tell.Who != "" {
		fmt.Fprintf(&b, "**Whom to tell.** %s, %s.%s\n\n", upper(r.Tell.Who), r.Tell.HowSoon, closing(r.Tell))
	}
	fmt.Fprintf(&b, "**What to do.** %s.\n\n**Why.** %s\n\n## Sources\n\n", upper(r.Remedy), r.Rationale)
	for _, s := range r.Sources {
		b.WriteString(citation(c.Check.Base.Sources()[s]))
	}
	if err := examples(&b, c, r); err != nil {
		return nil, err
	}
	if len(r.Milder) > 0 {
		b.WriteString("## Silences\n\nOne mistake, one finding: where this rule fires, these stay silent.\n\n")
		for _, m := range r.Milder {
			fmt.Fprintf(&b, "- [%s](%s.md)\n", m, m)
		}
		b.WriteString("\n")
	}
	fmt.Fprintf(&b, "## Waiving\n\n%s\n", waiving(r))
	return b.Bytes(), nil
}

// waiving says whether a finding of the rule is of the one kind that a waiver may forgive.
func waiving(r *rule.Rule) string {
	switch {
	case r.Verdict == finding.Caution:
		return "A caution refuses nothing; there is nothing to waive."
	case r.Verdict == finding.OutOfEvidence && (r.About == "protocol" || r.About == "stage"):
		return "Of the kind that can be waived: a waiver is a named reviewer's acceptance of this finding for one protocol, revision and\nvalue, until a date. See `#Waiver` in [fields](../fields.md)."
	}
	return "Nobody can waive this finding."
}

// ruleIndex lists the rules by modality, then by verdict.
func ruleIndex(b *rule.Base) ([]byte, error) {
	var w bytes.Buffer
	fmt.Fprintf(&w, "%s# The rules\n\nRule base %s, %d rules. Each page gives claim, limits, remedy, reason, sources and examples; [evidence](../evidence.md) has the\nlimits in one table.\n", generated, b.Version, b.Len())
	var none []string
	for _, m := range append(slices.Clone(record.Modalities), "") {
		rs := rulesOf(b, func(r *rule.Rule) bool { return homeOf(r) == m })
		if len(rs) == 0 {
			none = append(none, string(m))
			continue
		}
		fmt.Fprintf(&w, "\n## %s\n", modalityTitle(m))
		var last finding.Verdict
		for _, r := range rs {
			if r.Verdict != last {
				fmt.Fprintf(&w, "\n### %s: %s\n\n| rule | claim | judged for each |\n|---|---|---|\n", modalityTitle(m), r.Verdict)
				last = r.Verdict
			}
			fmt.Fprintf(&w, "| [%s](%s.md) | %s | %s |\n", r.ID, r.ID, cell(r.Title), r.About)
		}
	}
	if len(none) > 0 {
		fmt.Fprintf(&w, "\nNo rule is about %s alone.\n", strings.Join(none, " or "))
	}
	w.WriteString("\n## Beside the rules\n\nThese findings come from no rule of the base; they have no page of their own and nobody can waive them.\n\n| id | what is asked | verdict |\n|---|---|---|\n")
	for _, x := range cli.BeforeRules {
		fmt.Fprintf(&w, "| %s | %s | %s |\n", x.ID, cell(x.Asks), cell(x.Verdict))
	}
	w.WriteString("\n## Versions\n\n| version | date | what it is about | rules that came |\n|---|---|---|---|\n")
	for _, c := range slices.Backward(b.Changes) {
		fmt.Fprintf(&w, "| %s | %s | %s | %d |\n", c.Version, c.Date, cell(c.Says), len(b.Added(c.Version)))
	}
	for _, c := range slices.Backward(b.Changes) {
		for _, r := range c.Retired {
			fmt.Fprintf(&w, "\n- %s (%s) %s: %s", r.ID, r.Title, r.Fate(), r.Why)
		}
		for _, m := range c.Moves {
			fmt.Fprintf(&w, "\n- [%s](%s.md): %s moved from %s to %s in %s: %s", m.Rule, m.Rule, m.Limit, m.Old, m.New, m.Version, m.Why)
		}
	}
	return append(bytes.TrimRight(w.Bytes(), "\n"), '\n'), nil
}

// rulesOf picks rules, gravest first, then by id.
func rulesOf(b *rule.Base, want func(*rule.Rule) bool) (out []*rule.Rule) {
	for _, r := range b.All() {
		if want(r) {
			out = append(out, r)
		}
	}
	slices.SortStableFunc(out, func(x, y *rule.Rule) int { return x.Verdict.Rank() - y.Verdict.Rank() })
	return out
}
