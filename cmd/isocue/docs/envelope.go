package docs

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
)

// parameters is the table of one modality: a row for each field, with its rules and their limits by verdict.
func parameters(w *bytes.Buffer, c *compiler.Compiler, m record.Modality) error {
	b := c.Check.Base
	rs := rulesOf(b, func(r *rule.Rule) bool { return homeOf(r) == m && len(r.Limits) > 0 })
	if len(rs) == 0 {
		w.WriteString("No limit of its own.\n")
		return nil
	}
	slices.SortStableFunc(rs, func(x, y *rule.Rule) int { return cmp.Compare(x.At, y.At) })
	w.WriteString("| parameter | unsafe beyond | evidence | usual | sources |\n|---|---|---|---|---|\n")
	for len(rs) > 0 {
		n := 1
		for n < len(rs) && rs[n].At == rs[0].At {
			n++
		}
		said := map[finding.Verdict][]string{}
		var sources []string
		for _, r := range rs[:n] {
			words, err := inWords(c, r)
			if err != nil {
				return fmt.Errorf("rule %s: %w", r.ID, err)
			}
			words = strings.TrimPrefix(strings.TrimPrefix(words, "allowed: "), "usual: ")
			said[r.Verdict] = append(said[r.Verdict], linked([]string{r.ID})+" "+cell(words))
			for _, s := range r.Sources {
				if !slices.Contains(sources, s) {
					sources = append(sources, s)
				}
			}
		}
		column := func(v finding.Verdict) string { return cmp.Or(strings.Join(said[v], "<br>"), "-") }
		fmt.Fprintf(w, "| `%s` | %s | %s | %s | %s |\n", rs[0].At, column(finding.Unsafe), column(finding.OutOfEvidence),
			column(finding.Caution), marked(b, sources))
		rs = rs[n:]
	}
	return nil
}

// differences shows where sources differ and which choice was made, then what is held by no rule and why.
func differences(w *bytes.Buffer, c *compiler.Compiler) error {
	b := c.Check.Base
	rows, choices, err := envelope(c.Reader)
	if err != nil {
		return err
	}
	w.WriteString("\n## Where sources differ\n\nOne choice is made for each, and these rules make it.\n\n| matter | what they say | the choice | rules |\n|---|---|---|---|\n")
	for _, x := range choices {
		var says []string
		for _, s := range x.Says {
			says = append(says, marked(b, []string{s.Source})+": "+cell(s.Says))
		}
		fmt.Fprintf(w, "| %s | %s | %s | %s |\n", cell(x.Matter), strings.Join(says, "; "), cell(x.Made), linked(x.Rules))
	}
	w.WriteString("\n## Row by row\n\nEvery parameter of training and measurement that was considered, with the rules that hold it, or the reason why none does.\n\n| of | parameter | rules, or why none |\n|---|---|---|\n")
	for _, r := range rows {
		fmt.Fprintf(w, "| %s | %s | %s |\n", r.About, cell(r.Parameter), cmp.Or(linked(r.Rules), cell("no rule: "+r.Excused)))
	}
	return nil
}

func linked(ids []string) string {
	var out []string
	for _, id := range ids {
		out = append(out, fmt.Sprintf("[%s](rules/%s.md)", id, id))
	}
	return strings.Join(out, ", ")
}
