package docs

import (
	"os"
	"slices"
	"strings"
	"testing"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/literal"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/judged"
)

// origins are where a word may come from. An open standard is named after "standard:".
var origins = []string{"the trade", "plain English", "standard: "}

// wordRow is one line of docs/words.md.
type wordRow struct{ section, word, meaning, from string }

func wordRows(t *testing.T) (out []wordRow) {
	t.Helper()
	page, err := os.ReadFile(root + "docs/words.md")
	if err != nil {
		t.Fatal(err)
	}
	section := ""
	for _, line := range strings.Split(string(page), "\n") {
		if h, ok := strings.CutPrefix(line, "## "); ok {
			section = h
		}
		cells := strings.Split(line, "|")
		if len(cells) != 5 || strings.HasPrefix(cells[1], "---") || strings.TrimSpace(cells[1]) == "word" {
			continue
		}
		out = append(out, wordRow{section, strings.Trim(strings.TrimSpace(cells[1]), "`"), strings.TrimSpace(cells[2]), strings.TrimSpace(cells[3])})
	}
	return out
}

// words collects the interface's words by the section of docs/words.md that lists them.
func words(t *testing.T) map[string][]string {
	t.Helper()
	need := map[string][]string{}
	add := func(section string, w ...string) {
		for _, x := range w {
			if !slices.Contains(need[section], x) {
				need[section] = append(need[section], x)
			}
		}
	}
	flag := func(f *pflag.Flag) { add("Flags", "--"+f.Name) }
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		c.InitDefaultHelpFlag()
		c.Flags().VisitAll(flag)
		c.PersistentFlags().VisitAll(flag)
		for _, s := range c.Commands() {
			add("Verbs", s.Name())
			walk(s)
		}
	}
	walk(verbs())
	for _, v := range finding.Verdicts {
		add("Verdicts", string(v))
	}
	for _, s := range record.Statuses {
		add("Statuses of a session", string(s))
	}
	for _, s := range record.StepKinds {
		add("Steps of a session", string(s))
	}
	for _, s := range record.OtherKinds {
		add("All-day entries", string(s))
	}
	for _, s := range progress.Verdicts {
		add("Verdicts of a follow-up", string(s))
	}
	add("Who is told, and how soon", progress.Whos...)
	add("Who is told, and how soon", progress.Soons...)
	for _, s := range progress.Steps {
		add("Next steps", string(s))
	}
	for _, s := range record.Outcomes {
		add("How a session ended", string(s))
	}
	add("Modalities", choices(t, "words.cue", "#Modality")...)
	add("What a rule is about", choices(t, "rule.cue", "#Rule", "about")...)
	add("Files", "plan.json", "calendar.ics")
	return need
}

// choices are the texts that the schema allows at a path: the schema is the one statement of them.
func choices(t *testing.T, file string, path ...string) (out []string) {
	t.Helper()
	f, err := parse(file)
	if err != nil {
		t.Fatal(err)
	}
	decls, at := f.Decls, ast.Expr(nil)
	for _, name := range path {
		for _, d := range decls {
			if fd, ok := d.(*ast.Field); ok && fieldName(fd) == name {
				at = fd.Value
			}
		}
		if s, ok := at.(*ast.StructLit); ok {
			decls = s.Elts
		}
	}
	ast.Walk(at, func(n ast.Node) bool {
		if b, ok := n.(*ast.BasicLit); ok {
			s, err := literal.Unquote(b.Value)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, s)
		}
		return true
	}, nil)
	if len(out) < 2 {
		t.Fatalf("schema/%s: %s allows %v, no choice", file, strings.Join(path, "."), out)
	}
	return out
}

// docs/words.md lists every word of the interface once, with its meaning and where it comes from, and none that is gone.
func TestWordsAreListed(t *testing.T) {
	listed := map[string][]string{}
	for _, r := range wordRows(t) {
		if slices.Contains(listed[r.section], r.word) {
			t.Errorf("%s: %q stands there twice", r.section, r.word)
		}
		listed[r.section] = append(listed[r.section], r.word)
		if r.meaning == "" || !slices.ContainsFunc(origins, func(o string) bool { return strings.HasPrefix(r.from, o) }) {
			t.Errorf("%s: %q means %q and comes from %q; allowed: a meaning, and one of %q", r.section, r.word, r.meaning, r.from, origins)
		}
	}
	for _, f := range append(judged.Formats.Names(), clinic.Forms...) {
		if !slices.Contains(listed["Notations and forms"], f) {
			t.Errorf("docs/words.md, Notations and forms: does not say what %q means", f)
		}
	}
	for section, need := range words(t) {
		for _, w := range need {
			if !slices.Contains(listed[section], w) {
				t.Errorf("docs/words.md, %s: does not say what %q means and where it comes from", section, w)
			}
		}
		for _, w := range listed[section] {
			if section != "Files" && !slices.Contains(need, w) {
				t.Errorf("docs/words.md, %s: %q is no longer a word of the program", section, w)
			}
		}
	}
}

// The order of the pages knows every modality of the schema.
func TestModalities(t *testing.T) {
	var have []string
	for _, m := range record.Modalities {
		have = append(have, string(m))
	}
	if want := choices(t, "words.cue", "#Modality"); !slices.Equal(have, want) {
		t.Errorf("pages list %v, the schema %v", have, want)
	}
}
