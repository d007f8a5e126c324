package docs

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"cuelang.org/go/cue/ast"

	"isocue.example/cmd/isocue/cli"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
)

var update = flag.Bool("update", false, "write the generated pages")

const root = "../../../"

// The generated pages on disk are the ones that the data makes, and docs/rules holds nothing else.
func TestPagesAreInStep(t *testing.T) {
	const run = "run: go test ./cmd/isocue/docs -update"
	pages, err := Generate()
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.MkdirAll(root+"docs/rules", 0o755); err != nil {
			t.Fatal(err)
		}
		for name, want := range pages {
			if err := os.WriteFile(filepath.Join(root, name), want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	for name, want := range pages {
		have, err := os.ReadFile(filepath.Join(root, name))
		if err != nil || !bytes.Equal(have, want) {
			t.Errorf("%s is not in step with the data; %s", name, run)
		}
	}
	on, err := os.ReadDir(root + "docs/rules")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range on {
		name := "docs/rules/" + e.Name()
		if pages[name] != nil {
			continue
		}
		if *update && !e.IsDir() {
			if err := os.Remove(filepath.Join(root, name)); err != nil {
				t.Error(err)
			}
			continue
		}
		t.Errorf("%s belongs to no rule; %s", name, run)
	}
}

// Two runs make the same bytes: nothing on a page depends on the order of a map or on the clock.
func TestPagesAreStable(t *testing.T) {
	a, err := Generate()
	if err != nil {
		t.Fatal(err)
	}
	b, err := Generate()
	if err != nil {
		t.Fatal(err)
	}
	if len(a) != len(b) {
		t.Errorf("%d pages, then %d", len(a), len(b))
	}
	for name := range a {
		if !bytes.Equal(a[name], b[name]) {
			t.Errorf("%s differs between two runs", name)
		}
	}
}

var link = regexp.MustCompile(`\]\(([^)#:]+)\)`)

// code is a block or a span of code, in which nothing is a link.
var code = regexp.MustCompile("(?s)```.*?```|`[^`\n]*`")

// Every link of a generated page leads to a file.
func TestLinksLead(t *testing.T) {
	pages, err := Generate()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for name, text := range pages {
		for _, m := range link.FindAllSubmatch(code.ReplaceAll(text, nil), -1) {
			n++
			to := path.Join(path.Dir(name), string(m[1]))
			if pages[to] == nil {
				if _, err := os.Stat(filepath.Join(root, to)); err != nil {
					t.Errorf("%s links to %s, which is not there", name, to)
				}
			}
		}
	}
	if n < 100 {
		t.Errorf("only %d links seen", n)
	}
}

// Every field that a person or a rule author may write has a comment, and none escapes the page.
func TestFieldsAreExplained(t *testing.T) {
	for _, name := range []string{"protocol.cue", "client.cue", "policy.cue", "rule.cue"} {
		defs, err := definitions(name)
		if err != nil {
			t.Fatal(err)
		}
		listed := 0
		for _, d := range defs {
			listed++
			if d.meaning == "" {
				t.Errorf("schema/%s: %s has no comment", name, d.name)
			}
			for _, r := range d.rows {
				if listed++; r.meaning == "" {
					t.Errorf("schema/%s: %s of %s has no comment", name, r.path, d.name)
				}
			}
		}
		f, err := parse(name)
		if err != nil {
			t.Fatal(err)
		}
		written := 0
		ast.Walk(f, func(x ast.Node) bool {
			if _, ok := x.(*ast.Field); ok {
				written++
			}
			return true
		}, nil)
		if listed != written || written == 0 {
			t.Errorf("schema/%s holds %d fields and definitions, the page lists %d", name, written, listed)
		}
	}
}

// Every file of shapes in the schema is on the page: one with a #Definition that is left out would go unexplained.
func TestShapeFilesAreListed(t *testing.T) {
	names, err := filepath.Glob(root + "schema/*.cue")
	if err != nil || len(names) == 0 {
		t.Fatal("no schema files", err)
	}
	for _, n := range names {
		defs, err := definitions(filepath.Base(n))
		if err != nil {
			t.Fatal(err)
		}
		if len(defs) > 0 && !slices.Contains(shapeFiles, filepath.Base(n)) {
			t.Errorf("schema/%s defines %s, but fields.md leaves the file out", filepath.Base(n), defs[0].name)
		}
	}
}

// The few numbers of the rule base that a document written by hand repeats are those of the rule base.
func TestHandWrittenNumbers(t *testing.T) {
	b, err := rule.Load()
	if err != nil {
		t.Fatal(err)
	}
	days := func(id string) string { return b.Limit(id, "ceiling").Raw }
	if days("grip-measurement-age") != days("squat-age") || b.Sitting.HighLoad.Cmp(unit.MustDec("0.5")) != 0 {
		t.Error("docs/guide.md says one span for grip and squat, and half for a high inspiratory load: write it anew")
	}
	s := b.Sitting
	for name, want := range map[string]string{
		"docs/guide.md":        "A grip measurement or a step test stands for " + days("grip-measurement-age") + " days, a maximal inspiratory pressure for " + days("mip-age-high") + " where the load is half of it or more",
		"docs/architecture.md": fmt.Sprintf("the gate (%d min quiet, two readings), the work, %d min to end", s.SitSeconds/60, s.EndSeconds/60),
	} {
		text, err := os.ReadFile(root + name)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(strings.Join(strings.Fields(string(text)), " "), want) {
			t.Errorf("%s does not say %q", name, want)
		}
	}
	if s.Readings != 2 {
		t.Errorf("docs/architecture.md says two readings, the sitting has %d", s.Readings)
	}
}

// Counts that a document written by hand repeats are counted here: -update writes them anew, so that no page says how many there once
// were. The words around a number say what it counts.
func TestCounts(t *testing.T) {
	b, err := rule.Load()
	if err != nil {
		t.Fatal(err)
	}
	demo, errw := &bytes.Buffer{}, &bytes.Buffer{}
	if code := cli.Run([]string{"compile", "handgrip-alternating", "slow-breathing-even", "--client", root + "testdata/demo/client.yaml",
		"--start", "2027-01-04", "--now", "2027-01-03T09:00:00Z", "-o", "-", "--as", "ics"}, strings.NewReader(""), demo, errw); code != 0 {
		t.Fatal(code, errw)
	}
	if n := strings.Count(errw.String(), " Caution: "); n != 2 {
		t.Errorf("the README says that the demo prints two cautions; it prints %d:\n%s", n, errw)
	}
	for _, row := range []struct {
		page, before, after string
		n                   int
	}{
		{"README.md", "writes `demo.ics`, ", " entries for a made-up client", strings.Count(demo.String(), "BEGIN:VEVENT")},
		{"docs/architecture.md", "The rule base is v0.1 and has ", " rules", b.Len()},
	} {
		text, err := os.ReadFile(root + row.page)
		if err != nil {
			t.Fatal(err)
		}
		at := regexp.MustCompile(regexp.QuoteMeta(row.before) + "([0-9]+)" + regexp.QuoteMeta(row.after))
		m := at.FindSubmatch(text)
		switch {
		case m == nil:
			t.Errorf("%s does not say %q, a number and %q", row.page, row.before, row.after)
		case string(m[1]) == fmt.Sprint(row.n):
		case *update:
			now := at.ReplaceAllLiteral(text, fmt.Appendf(nil, "%s%d%s", row.before, row.n, row.after))
			if err := os.WriteFile(root+row.page, now, 0o644); err != nil {
				t.Fatal(err)
			}
		default:
			t.Errorf("%s says %s where there are %d; run: go test ./cmd/isocue/docs -update", row.page, m[0], row.n)
		}
	}
}

// The newest version that docs/changes.md tells of is the program's.
func TestChangesNameTheVersion(t *testing.T) {
	text, err := os.ReadFile(root + "docs/changes.md")
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`(?m)^## ([0-9]+\.[0-9]+\.[0-9]+)`).FindSubmatch(text)
	if m == nil || string(m[1]) != cli.Version {
		t.Errorf("the newest version is %s, the program's %s", m, cli.Version)
	}
}
