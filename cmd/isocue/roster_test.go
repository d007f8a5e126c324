package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"isocue.example/cmd/isocue/cli"
)

// Without hand-outs a pack is calendar and plan, the same as with them; they can be made later, and where they are they follow the
// plan.
func TestRosterWithoutHandouts(t *testing.T) {
	dir := t.TempDir()
	clients := filepath.Join(dir, "clients")
	if err := os.Mkdir(clients, 0o700); err != nil {
		t.Fatal(err)
	}
	demo, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	record := filepath.Join(clients, "c.yaml")
	keep := func(text string) {
		t.Helper()
		if err := os.WriteFile(record, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	roster := func(packs, want string, more ...string) {
		t.Helper()
		args := append([]string{"roster", "slow-breathing-even", "--clients", clients, "--start", "2027-01-04", "--now", "2027-01-03T21:00:00Z", "--pack", filepath.Join(dir, packs)}, more...)
		if code, out, errw := run(args...); code != cli.ExitOK || !strings.HasPrefix(out, "1 client: "+want) {
			t.Fatalf("%v: %d, want %s\n%s%s", more, code, want, out, errw)
		}
	}
	holds := func(packs, want string) (files map[string]string) {
		t.Helper()
		es, err := os.ReadDir(filepath.Join(dir, packs, "plover-12"))
		if err != nil {
			t.Fatal(err)
		}
		files = map[string]string{}
		var names []string
		for _, e := range es {
			b, err := os.ReadFile(filepath.Join(dir, packs, "plover-12", e.Name()))
			if err != nil {
				t.Fatal(err)
			}
			names, files[e.Name()] = append(names, e.Name()), string(b)
		}
		if got := strings.Join(names, " "); got != want {
			t.Fatalf("the pack holds %s, want %s", got, want)
		}
		return files
	}
	const bare, whole = "calendar.ics plan.json", "calendar.ics handout.html plan.json session.html"
	keep(string(demo))
	roster("with", "1 compiled", "--handout")
	roster("without", "1 compiled", "--handout=false")
	with, without := holds("with", whole), holds("without", bare)
	files := regexp.MustCompile(`(?s)\n  "files": \[.*?\n  \],|\n  "seal": "[0-9a-f]+"`) // the plan's list of them differs, and so does its seal
	for name, b := range without {
		if files.ReplaceAllString(b, "") != files.ReplaceAllString(with[name], "") {
			t.Errorf("%s differs without the hand-outs", name)
		}
	}
	roster("without", "1 unchanged", "--handout=false")
	roster("without", "1 compiled") // the sheet is lacking
	holds("without", whole)
	roster("without", "1 unchanged", "--handout=false")
	keep(strings.ReplaceAll(string(demo), "emergency: \"911\"", "emergency: \"912\""))
	roster("without", "1 compiled", "--handout=false")
	if got := holds("without", whole); !strings.Contains(got["handout.html"], "912") || !strings.Contains(got["session.html"], "912") {
		t.Error("a sheet of an older plan was left in the pack")
	}
	code, _, errw := run("roster", "slow-breathing-even", "--clients", clients, "--start", "2027-01-04", "--pack", filepath.Join(dir, "x"), "--handout=false", "--discreet")
	if code != cli.ExitCannotRun || !strings.Contains(errw, "without --handout=false") {
		t.Errorf("%d %s", code, errw)
	}
}
