package docs

import (
	"bytes"
	"fmt"
	"slices"
	"sort"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
)

// evidencePage lists, for each modality, what is judged, where the line stands, and how well its sources were read.
func evidencePage(b *rule.Base) []byte {
	var w bytes.Buffer
	w.WriteString(generated + "# The evidence\n\nEvery limit with its verdict and sources. A source marked *memory* was not seen when its figures were written down; no unsafe\nrule rests on such a source alone. *Practice* is common practice without a published cut-off; *judgement* is a line drawn by the\nauthors of the rule base inside or just outside a studied span.\n")
	for _, m := range []record.Modality{record.Handgrip, record.WallSquat, record.SlowBreathing, record.Inspiratory} {
		var rs []*rule.Rule
		for _, r := range b.Rules {
			if r.MayConcern(m) && len(r.Limits) > 0 {
				rs = append(rs, r)
			}
		}
		if len(rs) == 0 {
			continue
		}
		fmt.Fprintf(&w, "\n## %s\n\n| what is judged | verdict beyond | limit | rule | sources |\n|---|---|---|---|---|\n", upper(string(m)))
		for _, r := range rs {
			var ls, ss []string
			for _, l := range r.Limits {
				ls = append(ls, l+" "+r.Limit[l].Raw)
			}
			for _, s := range r.Sources {
				src := b.Sources[s]
				mark := src.Seen
				if src.Kind == "practice" || src.Kind == "judgement" {
					mark = ""
				}
				ss = append(ss, strings.TrimSpace(s+" "+italic(mark)))
			}
			fmt.Fprintf(&w, "| %s | %s | %s | [%s](rules/%s.md) | %s |\n", cell(r.Title), r.Verdict, strings.Join(ls, ", "), r.ID, r.ID, strings.Join(ss, ", "))
		}
	}
	var keys []string
	for k := range b.Sources {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	w.WriteString("\n## Sources\n\n")
	for _, k := range keys {
		w.WriteString(citation(b.Sources[k]))
	}
	w.WriteString("\n## Still from memory\n\n")
	memory := slices.DeleteFunc(keys, func(k string) bool { return b.Sources[k].Seen != "memory" })
	for _, k := range memory {
		fmt.Fprintf(&w, "- `%s`\n", k)
	}
	if len(memory) == 0 {
		w.WriteString("Nothing.\n")
	}
	return w.Bytes()
}

func italic(s string) string {
	if s == "" {
		return ""
	}
	return "*" + s + "*"
}
