package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"isocue.example/cmd/isocue/cli"
)

// handWritten are the documents that no program makes.
var handWritten = []string{"README.md", "DEVELOPERS.md", "docs/architecture.md", "docs/guide.md", "docs/security.md", "docs/words.md"}

// block is a fenced block of a document.
type block struct {
	place string // file:line of its first line
	kind  string
	lines []string
}

// document reads a document and its fenced blocks; tests stand in the repository's root.
func document(t *testing.T, name string) (text string, out []block) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	text = string(b)
	var open *block
	for i, l := range strings.Split(text, "\n") {
		switch {
		case open == nil && strings.HasPrefix(l, "```"):
			open = &block{place: fmt.Sprintf("%s:%d", name, i+2), kind: l[3:]}
		case open != nil && l == "```":
			out = append(out, *open)
			open = nil
		case open != nil:
			open.lines = append(open.lines, l)
		}
	}
	if open != nil {
		t.Errorf("%s: the block is not closed", open.place)
	}
	return text, out
}

func run(args ...string) (code int, out, errw string) {
	var o, e bytes.Buffer
	code = cli.Run(args, strings.NewReader(""), &o, &e)
	return code, strings.ReplaceAll(o.String(), "\r\n", "\n"), e.String()
}

// What a document shows is what the program prints. A console block holds one command, "$ isocue ...", and lines of its
// standard output, in order and one after the other; "..." stands for any lines. A command shown without --now prints
// the same whenever it is run.
func TestDocumentsShowRealOutput(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	blocks := map[string]int{}
	for _, name := range handWritten {
		_, all := document(t, name)
		for _, b := range all {
			if b.kind != "console" {
				continue
			}
			blocks[name]++
			shown := b.lines[min(1, len(b.lines)):]
			line, ok := "", len(b.lines) > 0
			if ok {
				line, ok = strings.CutPrefix(b.lines[0], "$ isocue ")
			}
			if !ok || !slices.ContainsFunc(shown, func(l string) bool { return l != "..." }) {
				t.Errorf("%s: %q, allowed: $ isocue ..., then what it prints", b.place, b.lines)
				continue
			}
			args := strings.Fields(line)
			_, out, _ := run(args...)
			got := strings.Split(strings.TrimRight(out, "\n"), "\n")
			if says := differ(shown, got); says != "" {
				t.Errorf("%s: isocue %s\n%s", b.place, line, says)
			}
			if !slices.Contains(args, "--now") {
				for _, now := range []string{"2025-02-03T04:05:06Z", "2031-02-03T04:05:06Z"} {
					if _, other, _ := run(append(args, "--now", now)...); other != out {
						t.Errorf("%s: isocue %s prints another thing at %s; show it with --now", b.place, line, now)
					}
				}
			}
		}
	}
	for _, name := range []string{"README.md", "docs/guide.md"} {
		if blocks[name] < 4 {
			t.Errorf("%s shows output %d times, allowed: 4 times or more", name, blocks[name])
		}
	}
}

// differ holds the lines shown to the lines printed and says the first difference, "" for none.
func differ(shown, got []string) string {
	j, skip := 0, false
	for _, w := range shown {
		if w == "..." {
			skip = true
			continue
		}
		for skip && j < len(got) && got[j] != w {
			j++
		}
		if j >= len(got) || got[j] != w {
			line := "nothing more"
			if j < len(got) {
				line = got[j]
			}
			return fmt.Sprintf("shows  %q\nprints %q", w, line)
		}
		j, skip = j+1, false
	}
	if !skip && j != len(got) {
		return fmt.Sprintf("prints more: %q", got[j])
	}
	return ""
}

func TestDiffer(t *testing.T) {
	got := []string{"a", "b", "c"}
	for _, c := range []struct {
		shown string
		same  bool
		why   string
	}{
		{"a b c", true, "all of it"},
		{"a ...", true, "the end may be left out"},
		{"... c", true, "the start too"},
		{"a ... c", true, "and the middle"},
		{"a b", false, "more is printed than shown"},
		{"a c", false, "a line between is missing"},
		{"a b c d", false, "more is shown than printed"},
		{"... d", false, "never printed"},
		{"... c b", false, "another order"},
	} {
		if says := differ(strings.Fields(c.shown), got); (says == "") != c.same {
			t.Errorf("%s (%s): %q", c.shown, c.why, says)
		}
	}
}

// The README holds exactly two set-up commands; the first works as it stands, and CI runs the second first.
func TestTwoCommands(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	_, all := document(t, "README.md")
	lines := all[0].lines
	if all[0].kind != "sh" || len(lines) != 2 || !strings.HasPrefix(lines[0], "go run ./cmd/isocue compile ") || lines[1] != "go test ./..." {
		t.Fatalf("the first block is %q, allowed: the demo and the tests", lines)
	}
	args := strings.Fields(strings.TrimPrefix(lines[0], "go run ./cmd/isocue "))
	to := slices.Index(args, "-o") + 1
	if to == 0 || args[to] != "demo.ics" { // the name that .gitignore keeps out
		t.Fatalf("%q does not write demo.ics", lines[0])
	}
	args[to] = filepath.Join(t.TempDir(), args[to])
	if code, _, errw := run(args...); code != cli.ExitOK {
		t.Errorf("%s: exit code %d: %s", lines[0], code, errw)
	}
	if b, err := os.ReadFile(args[to]); err != nil || !bytes.HasPrefix(b, []byte("BEGIN:VCALENDAR\r\n")) {
		t.Errorf("%s wrote no calendar: %v", lines[0], err)
	}
	ci, err := os.ReadFile(filepath.Join(".ci", "run"))
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range strings.Split(string(ci), "\n") {
		if strings.HasPrefix(l, "go ") {
			if l != lines[1] {
				t.Errorf("CI runs %q first, allowed: %q", l, lines[1])
			}
			break
		}
	}
}

var (
	command = regexp.MustCompile("(?m)(?:`|^\\$ |\\| )isocue ([a-z][^`\\n]*)") // in prose, in a console, in a pipe
	links   = regexp.MustCompile(`\]\(([^)#:]+)(?:#[^)]*)?\)`)
	targets = regexp.MustCompile("go test (\\./[a-z/]+)[^`|\\n]*? -(?:bench|fuzz|run) '?\\^?([A-Z][A-Za-z]+)")
)

// apart says what stands between the words of a help page.
func apart(r rune) bool { return r == ' ' || r == ',' || r == '\n' }

// Every command that a document names has a verb and flags that the program has, and every link leads to a file.
func TestDocumentsNameWhatIsThere(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	help := map[string]string{}
	commands, led := 0, 0
	for _, name := range handWritten {
		text, all := document(t, name)
		var told []string
		for _, m := range command.FindAllStringSubmatch(text, -1) {
			told = append(told, m[1])
		}
		for _, b := range all {
			for _, l := range b.lines {
				if l, ok := strings.CutPrefix(l, "isocue "); ok && b.kind == "sh" {
					told = append(told, l)
				}
			}
		}
		for _, line := range told {
			commands++
			verb, rest, _ := strings.Cut(line, " ")
			if _, ok := help[verb]; !ok {
				code, out, errw := run("help", verb)
				if help[verb] = out; code != cli.ExitOK {
					t.Errorf("%s: isocue %s: %s", name, line, errw)
					continue
				}
			}
			for _, f := range strings.Fields(rest) {
				if strings.HasPrefix(f, "-") && len(f) > 1 && !slices.Contains(strings.FieldsFunc(help[verb], apart), f) {
					t.Errorf("%s: isocue %s: %s has no flag %s", name, line, verb, f)
				}
			}
		}
		for _, m := range links.FindAllStringSubmatch(text, -1) {
			led++
			if _, err := os.Stat(path.Join(path.Dir(name), m[1])); err != nil {
				t.Errorf("%s links to %s, which is not there", name, m[1])
			}
		}
	}
	if commands < 20 || led < 10 {
		t.Errorf("only %d commands and %d links seen", commands, led)
	}
}

// Every benchmark, fuzz target and test that a document tells to run is there: go test calls it a success when none is.
func TestDocumentsNameTestsThatRun(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	funcs := regexp.MustCompile(`(?m)^func (Benchmark|Fuzz|Test)(\w+)\(`)
	have := map[string][]string{}
	err := filepath.WalkDir(".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(p, "_test.go") {
			return err
		}
		b, err := os.ReadFile(p)
		for _, m := range funcs.FindAllStringSubmatch(string(b), -1) {
			dir := "./" + filepath.ToSlash(filepath.Dir(p))
			have[dir] = append(have[dir], m[1]+m[2])
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	told := 0
	for _, name := range handWritten {
		text, _ := document(t, name)
		for _, m := range targets.FindAllStringSubmatch(text, -1) {
			told++
			if !slices.ContainsFunc(have[m[1]], func(f string) bool { return strings.Contains(f, m[2]) }) {
				t.Errorf("%s: nothing of %s is called %s", name, m[1], m[2])
			}
		}
	}
	if told < 5 {
		t.Errorf("only %d tests, benchmarks and fuzz targets seen", told)
	}
}

// A policy and waivers that the guide shows are accepted as they stand, and a rule that the contributor's guide shows is
// one of the rule base.
func TestDocumentsShowRealFiles(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	dir := t.TempDir()
	_, all := document(t, "docs/guide.md")
	for _, b := range all {
		if b.kind != "cue" {
			continue
		}
		shown, name := strings.Join(b.lines, "\n")+"\n", "policy.cue"
		switch {
		case strings.HasPrefix(b.lines[0], "waivers:"):
			name = "waivers.cue"
		case strings.HasPrefix(b.lines[0], "//"): // the template, which TestTemplates judges
			if src, err := os.ReadFile("testdata/template/ours.cue"); err != nil || shown != string(src) {
				t.Errorf("%s: is not testdata/template/ours.cue", b.place)
			}
			continue
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(shown), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	code, out, errw := run("lint", "handgrip-alternating", "--now", "2027-01-03T09:00:00Z",
		"--policy", filepath.Join(dir, "policy.cue"), "--waivers", filepath.Join(dir, "waivers.cue"))
	if code != cli.ExitOK {
		t.Errorf("exit code %d: %s%s", code, out, errw)
	}
	rules := 0
	_, all = document(t, "DEVELOPERS.md")
	for _, b := range all {
		if b.kind != "cue" {
			continue
		}
		rules++
		id := strings.Split(b.lines[0], `"`)[min(1, strings.Count(b.lines[0], `"`))]
		src, err := os.ReadFile(filepath.Join("schema", "rules", id+".cue"))
		if err != nil || !strings.Contains(string(src), strings.Join(b.lines, "\n")) {
			t.Errorf("%s: does not stand so in schema/rules/%s.cue", b.place, id)
		}
	}
	if rules == 0 {
		t.Error("DEVELOPERS.md shows no rule")
	}
}
