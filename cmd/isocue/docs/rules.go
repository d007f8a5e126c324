package docs

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"cuelang.org/go/cue/format"

	"isocue.example/compiler"
	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
)

// rulePages makes a page for every rule and their index.
func rulePages(c *compiler.Compiler, out map[string][]byte) error {
	for _, r := range c.Check.Base.Rules {
		p, err := rulePage(c, r)
		if err != nil {
			return err
		}
		out["docs/rules/"+r.ID+".md"] = p
	}
	out["docs/rules/README.md"] = ruleIndex(c.Check.Base)
	return nil
}

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
		fmt.Fprintf(&b, "Applies when:\n\n```cue\n%s\n```\n\n", r.WhenText)
	}
	fmt.Fprintf(&b, "**What to do.** %s.\n\n**Why.** %s\n\n## Sources\n\n", upper(r.Remedy), r.Rationale)
	for _, s := range r.Sources {
		b.WriteString(citation(c.Check.Base.Sources[s]))
	}
	fmt.Fprintf(&b, "\n## Examples\n\nLaid over `%s`.\n\nPasses:\n\n", r.Example.Of)
	for _, ex := range r.Example.Pass {
		fmt.Fprintf(&b, "```cue\n%s\n```\n\n", cueText(ex))
	}
	b.WriteString("Fails:\n\n")
	for _, ex := range r.Example.Fail {
		said, err := says(c, r, ex)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&b, "```cue\n%s\n```\n\n```text\n%s```\n\n", cueText(ex), said)
	}
	if len(r.Milder) > 0 {
		b.WriteString("## Silences\n\nOne mistake, one finding: where this rule fires, these stay silent.\n\n")
		for _, m := range r.Milder {
			fmt.Fprintf(&b, "- [%s](%s.md)\n", m, m)
		}
		b.WriteString("\n")
	}
	b.WriteString("## Waiving\n\n")
	switch {
	case r.Verdict == finding.OutOfEvidence && (r.About == "protocol" || r.About == "stage"):
		b.WriteString("A named reviewer may accept this finding for one protocol, revision and value.\n")
	case r.Verdict == finding.Caution:
		b.WriteString("A caution refuses nothing; there is nothing to waive.\n")
	default:
		b.WriteString("Nobody can waive this finding.\n")
	}
	return b.Bytes(), nil
}

// says is what the checker really prints for an example, without a place: an example stands in no file.
func says(c *compiler.Compiler, r *rule.Rule, ex *tree.Node) (string, error) {
	gs, err := check.ExampleGivens(c.Check.Base, c.Standard, r, ex)
	if err != nil {
		return "", err
	}
	for _, g := range gs {
		if f, ok := r.Judge(g); !ok {
			f.Pos = finding.Pos{File: "example"}
			var b bytes.Buffer
			err := report.Text(&b, []finding.Finding{f}, func(string) []byte { return nil }, report.Style{})
			return b.String(), err
		}
	}
	return "", fmt.Errorf("rule %s: an example that should fail is silent", r.ID)
}

// cueText writes an example as CUE.
func cueText(n *tree.Node) string {
	src, err := format.Source([]byte(plain(n)), format.Simplify())
	if err != nil {
		return plain(n)
	}
	return strings.TrimSpace(string(src))
}

func plain(n *tree.Node) string {
	switch n.Kind {
	case tree.Record:
		var parts []string
		for _, k := range n.Keys {
			parts = append(parts, fmt.Sprintf("%q: %s", k, plain(n.Field[k])))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case tree.List:
		var parts []string
		for _, e := range n.Elem {
			parts = append(parts, plain(e))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case tree.Null:
		return "null"
	case tree.Text:
		return fmt.Sprintf("%q", n.Str)
	}
	return n.Raw
}

func ruleIndex(b *rule.Base) []byte {
	var w bytes.Buffer
	fmt.Fprintf(&w, "%s# The rules\n\nRule base %s, %d rules.\n", generated, b.Version, len(b.Rules))
	all := []record.Modality{record.Handgrip, record.WallSquat, record.SlowBreathing, record.Inspiratory}
	for _, m := range append(all, "") {
		title := string(m)
		if m == "" {
			title = "every modality"
		}
		var rs []*rule.Rule
		for _, r := range b.Rules {
			var may []record.Modality
			for _, x := range all {
				if r.MayConcern(x) {
					may = append(may, x)
				}
			}
			if m == "" && len(may) == len(all) || m != "" && len(may) < len(all) && slices.Contains(may, m) {
				rs = append(rs, r)
			}
		}
		if len(rs) == 0 {
			continue
		}
		slices.SortStableFunc(rs, func(x, y *rule.Rule) int { return x.Verdict.Rank() - y.Verdict.Rank() })
		fmt.Fprintf(&w, "\n## %s\n\n| rule | verdict | claim |\n|---|---|---|\n", upper(title))
		for _, r := range rs {
			fmt.Fprintf(&w, "| [%s](%s.md) | %s | %s |\n", r.ID, r.ID, r.Verdict, cell(r.Title))
		}
	}
	return w.Bytes()
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
