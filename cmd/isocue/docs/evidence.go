package docs

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/check"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
)

// evidencePage lists what is judged, where the line stands, and how well its sources were read.
func evidencePage(c *compiler.Compiler) ([]byte, error) {
	b := c.Check.Base
	var w bytes.Buffer
	w.WriteString(generated + `# The evidence

Every limit by the field that a finding points at. *Unsafe beyond* refuses because someone could be harmed; *evidence* refuses because
it is inert, untested or over-promised; *usual* is a caution. Only the middle one can be waived, and only where it is about a dose.
Beside a source stands how its figures were seen: *read* on the page itself, *secondary* on a page that reports it, or from *memory*. Two have no page: practice is a habit
of the trade for which no published cut-off was found, judgement is a line drawn by the authors of the rule base.
`)
	for _, m := range append(slices.Clone(record.Modalities), "") {
		fmt.Fprintf(&w, "\n## %s\n\n", modalityTitle(m))
		if err := parameters(&w, c, m); err != nil {
			return nil, err
		}
	}
	if err := differences(&w, c); err != nil {
		return nil, err
	}
	effects(&w, b)
	for _, table := range []func(*bytes.Buffer) error{answered, notes} {
		if err := table(&w); err != nil {
			return nil, err
		}
	}
	if err := cases(&w); err != nil {
		return nil, err
	}
	screening(&w, b)
	var keys []string
	for k := range b.Sources() {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	w.WriteString("\n## Sources\n\n")
	for _, k := range keys {
		w.WriteString(citation(b.Sources()[k]))
	}
	w.WriteString("\n## Still from memory\n\nWhat nobody has read again since it was written down.\n\n")
	n := w.Len()
	for _, k := range keys {
		if m := fromMemory(b.Sources()[k]); m != "" {
			fmt.Fprintf(&w, "- `%s`: %s\n", k, m)
		}
	}
	if w.Len() == n {
		w.WriteString("Nothing.\n")
	}
	return w.Bytes(), nil
}

// tail finds what a message allows: what was found comes first, then a comma, then how the line is meant.
var tail = regexp.MustCompile(`, ((?:allowed|usual|tested|guideline|needed)[^:]*: .*)$`)

// inWords is the limit with its unit, cut from what the checker says about the rule's own failing example.
func inWords(c *compiler.Compiler, r *rule.Rule) (string, error) {
	for _, ex := range r.Example.Fail {
		f, err := check.JudgeExample(c.Check.Base, c.Standard, r, ex)
		if err != nil {
			return "", err
		}
		if f == nil {
			continue
		}
		if m := tail.FindStringSubmatch(f.Message); m != nil {
			return m[1], nil
		}
	}
	return "", fmt.Errorf("no failing example says what is allowed")
}

// marked lists sources, each with how its figures were seen.
func marked(b *rule.Base, keys []string) string {
	var out []string
	for _, k := range keys {
		s := b.Sources()[k]
		if s.Unpublished() {
			out = append(out, k)
		} else {
			out = append(out, k+" *"+s.Seen+"*")
		}
	}
	return strings.Join(out, ", ")
}

// recalled finds a remark such as "the initials are from memory", up to the mark before it.
var recalled = regexp.MustCompile(`[^;,().]*\bfrom memory\b`)

// fromMemory says what of a source is from memory: all its figures, or what a remark in its entry admits.
func fromMemory(s rule.Source) string {
	var out []string
	if s.Seen == "memory" {
		figures := s.Figures
		if figures == "" {
			figures = "none are written down"
		}
		out = append(out, "all its figures: "+figures)
	}
	for _, f := range []struct{ name, text string }{{"authors", s.Authors}, {"title", s.Title}, {"in", s.In}, {"where", s.Where}, {"figures", s.Figures}} {
		for _, m := range recalled.FindAllString(f.text, -1) {
			if s.Seen != "memory" || f.name != "figures" {
				out = append(out, f.name+": "+strings.TrimSpace(m))
			}
		}
	}
	return strings.Join(out, "; ")
}

// effects lists what may be promised, null results beside the others, and what may be told.
func effects(w *bytes.Buffer, b *rule.Base) {
	w.WriteString("\n## What may be promised\n\nPooled and blinded effects, mmHg, negative for a fall. A protocol that expects more is out of evidence.\n\n| modality | what was pooled | setting | weeks | systolic (interval) | diastolic | source |\n|---|---|---|---|---|---|---|\n")
	for _, e := range b.Effects {
		interval := "no interval read"
		if e.Interval {
			interval = e.Low.String() + " to " + e.High.String()
		}
		fmt.Fprintf(w, "| %s | %s | %s | %d | %s (%s) | %s | %s |\n", e.Modality, cell(e.What), e.Setting, e.Weeks, e.Systolic, interval, e.Diastolic, marked(b, []string{e.Source}))
	}
	for _, m := range record.Modalities {
		fmt.Fprintf(w, "\n**%s.** %s\n", upper(string(m)), b.Expected[m])
	}
}
