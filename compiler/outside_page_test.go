//go:build full

package compiler

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/zone"
)

// readersTable is the table of docs/architecture.md. Its figures are what the other tests hold: each fails where a reader
// is of another version, disagrees on an event or a sample, or refuses another number of defects.
func readersTable(t *testing.T) string {
	t.Helper()
	events, calendars := 0, compiled(t)
	for _, w := range calendars {
		events += len(w.plan.Sessions) + len(w.plan.Others)
	}
	defects, err := filepath.Glob(filepath.Join("calendar", "testdata", "defects", "*.ics"))
	if err != nil {
		t.Fatal(err)
	}
	samples := map[string]int{}
	for _, name := range testkit.Zones(t) {
		loc, err := zone.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		want := offsets(loc)
		for _, s := range sweeps {
			for _, wall := range s.times(want) {
				if want[(wall-zonesFrom)/halfHour] != unclear {
					samples[s.reader]++
				}
			}
		}
	}
	mod, err := os.ReadFile(filepath.Join("..", "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	golang := regexp.MustCompile(`golang-ical (v\S+)`).FindSubmatch(mod)
	if golang == nil {
		t.Fatal("golang-ical is not in go.mod")
	}
	var b strings.Builder
	fmt.Fprintf(&b, "| reader | version | events compared, of %d calendars | moments compared, of %d zones | of %d seeded defects refuses |\n",
		len(calendars), len(testkit.Zones(t)), len(defects)-1)
	b.WriteString("|---|---|---|---|---|\n")
	row := func(name, version string, samples, refuses int) {
		fmt.Fprintf(&b, "| %s | %s | %d | %s | %s |\n", name, version, events, figure(samples), figure(refuses))
	}
	row("our own, strict", "", 0, len(defects)-1)
	row("golang-ical", string(golang[1]), 0, 0)
	for _, p := range outside("") {
		row(p.name, p.version, samples[p.name], p.refuses)
	}
	row("calcurse, by number alone", calcurse, 0, 0)
	return b.String()
}

// figure is n with commas, or a dash for what was not asked.
func figure(n int) string {
	if n == 0 {
		return "-"
	}
	s := fmt.Sprint(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// The page says what the tests hold. ISOCUE_UPDATE=1 writes the table anew. Its samples are counted over every half hour
// of every zone, which is why the quick check leaves it out.
func TestReadersPage(t *testing.T) {
	name := filepath.Join("..", "docs", "architecture.md")
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	want := readersTable(t)
	table := regexp.MustCompile(`(?m)^\| reader \|.*\n(\|.*\n)*`)
	have := table.FindString(string(b))
	if have == "" {
		t.Fatalf("%s has no table of readers", name)
	}
	if have != want && os.Getenv("ISOCUE_UPDATE") != "" {
		if err := os.WriteFile(name, []byte(strings.Replace(string(b), have, want, 1)), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if have != want {
		t.Errorf("%s is not in step, run: ISOCUE_UPDATE=1 go test -tags full ./compiler -run TestReadersPage; want\n%s", name, want)
	}
	page := strings.Join(strings.Fields(string(b)), " ")
	for _, s := range []string{
		fmt.Sprintf("the four outside readers together refuse %d", refusedTogether),
		"every half hour of two years from " + time.Unix(zonesFrom, 0).UTC().Format("2006-01-02"),
	} {
		if !strings.Contains(page, s) {
			t.Errorf("%s does not say: %s", name, s)
		}
	}
}
