package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"isocue.example/cmd/isocue/cli"
)

// What README and guide show is what the program prints: each console block's command runs here, and its lines must
// stand in the output, in order and one after the other; "..." stands for any lines.
func TestDocumentsShowRealOutput(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	blocks := 0
	for _, name := range []string{"README.md", "docs/guide.md"} {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for i, part := range strings.Split(string(b), "```console\n") {
			if i == 0 {
				continue
			}
			block, _, _ := strings.Cut(part, "```")
			lines := strings.Split(strings.TrimRight(block, "\n"), "\n")
			args, ok := strings.CutPrefix(lines[0], "$ isocue ")
			if !ok {
				t.Errorf("%s: a block starts with %q, allowed: $ isocue ...", name, lines[0])
				continue
			}
			blocks++
			var out, errw bytes.Buffer
			cli.Run(strings.Fields(args), strings.NewReader(""), &out, &errw)
			compare(t, name+": isocue "+args, lines[1:], strings.Split(strings.TrimRight(out.String(), "\n"), "\n"))
		}
	}
	if blocks < 6 {
		t.Errorf("only %d blocks were run", blocks)
	}
}

func compare(t *testing.T, what string, want, got []string) {
	t.Helper()
	j, skip := 0, false
	for _, w := range want {
		if w == "..." {
			skip = true
			continue
		}
		for skip && j < len(got) && got[j] != w {
			j++
		}
		if j >= len(got) || got[j] != w {
			line := "nothing"
			if j < len(got) {
				line = got[j]
			}
			t.Errorf("%s\nshows  %q\nprints %q", what, w, line)
			return
		}
		j, skip = j+1, false
	}
	if !skip && j != len(got) {
		t.Errorf("%s prints more: %q", what, got[j])
	}
}

// The README holds exactly two set-up commands, and CI runs its test command first.
func TestTwoCommands(t *testing.T) {
	b, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(b), "```sh\n")
	block, _, _ := strings.Cut(rest, "```")
	lines := strings.Split(strings.TrimSpace(block), "\n")
	if len(lines) != 2 || !strings.HasPrefix(lines[0], "go run ./cmd/isocue compile ") || lines[1] != "go test ./..." {
		t.Errorf("the first block is %q, allowed: the demo and the tests", lines)
	}
	ci, err := os.ReadFile(filepath.Join("..", "..", ".ci", "run"))
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
