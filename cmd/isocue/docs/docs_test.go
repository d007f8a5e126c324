package docs

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"cuelang.org/go/cue/ast"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"isocue.example/cmd/isocue/cli"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
)

var update = flag.Bool("update", false, "write the generated pages")

const root = "../../../"

// The generated pages on disk are the ones that the data makes, and there are no others.
func TestPagesAreInStep(t *testing.T) {
	pages, err := Generate()
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range pages {
		path := filepath.Join(root, name)
		if *update {
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, want, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		have, err := os.ReadFile(path)
		if err != nil || !bytes.Equal(have, want) {
			t.Errorf("%s is not in step with the data; run: go test ./cmd/isocue/docs -update", name)
		}
	}
	on, err := filepath.Glob(root + "docs/rules/*.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range on {
		if name := "docs/rules/" + filepath.Base(p); pages[name] == nil {
			if *update {
				os.Remove(p)
				continue
			}
			t.Errorf("%s belongs to no rule; run: go test ./cmd/isocue/docs -update", name)
		}
	}
}

// Every field that a person or a rule author may write has a comment.
func TestFieldsAreExplained(t *testing.T) {
	n := 0
	for _, name := range []string{"protocol.cue", "client.cue", "policy.cue", "rule.cue"} {
		f, err := parse(name)
		if err != nil {
			t.Fatal(err)
		}
		ast.Walk(f, func(x ast.Node) bool {
			fd, ok := x.(*ast.Field)
			if !ok {
				return true
			}
			if fieldName(fd) == "modality" { // narrowed again in each arm
				return true
			}
			_, pattern := fd.Label.(*ast.ListLit)
			if n++; !pattern && comment(fd) == "" {
				t.Errorf("schema/%s: %s has no comment", name, fieldName(fd))
			}
			return true
		}, nil)
	}
	if n < 100 {
		t.Errorf("only %d fields seen", n)
	}
}

// docs/words.md lists every word of the interface with where it comes from.
func TestWordsAreListed(t *testing.T) {
	page, err := os.ReadFile(root + "docs/words.md")
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{}
	for _, line := range strings.Split(string(page), "\n") {
		cells := strings.Split(line, "|")
		if len(cells) >= 5 && strings.TrimSpace(cells[2]) != "" && strings.TrimSpace(cells[3]) != "" {
			listed[strings.Trim(strings.TrimSpace(cells[1]), "`")] = true
		}
	}
	var need []string
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		need = append(need, c.Name())
		add := func(f *pflag.Flag) { need = append(need, "--"+f.Name) }
		c.Flags().VisitAll(add)
		c.PersistentFlags().VisitAll(add)
		for _, s := range c.Commands() {
			walk(s)
		}
	}
	for _, c := range cli.Root().Commands() {
		walk(c)
	}
	cli.Root().PersistentFlags().VisitAll(func(f *pflag.Flag) { need = append(need, "--"+f.Name) })
	for _, v := range finding.Verdicts {
		need = append(need, string(v))
	}
	for _, s := range record.Statuses {
		need = append(need, string(s))
	}
	for _, s := range record.StepKinds {
		need = append(need, string(s))
	}
	for _, s := range record.OtherKinds {
		need = append(need, string(s))
	}
	need = append(need, "handgrip", "wall-squat", "slow-breathing", "inspiratory", "plan.json", "calendar.ics")
	b, err := rule.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range b.Rules {
		if !slices.Contains(need, r.About) {
			need = append(need, r.About)
		}
	}
	for _, w := range need {
		if w != "help" && w != "--help" && !listed[w] {
			t.Errorf("docs/words.md does not say what %q means and where it comes from", w)
		}
	}
}
