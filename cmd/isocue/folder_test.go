package main

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

// Law: what is said of a folder depends on what its files hold and on their names, not on the order in which they were made.
func TestFolderOrder(t *testing.T) {
	files := map[string]string{}
	var names []string
	for name, from := range map[string]string{"b/a.cue": "demo/unsafe.cue", "b.cue": "demo/unsafe.cue", "a.yaml": "demo/percent.yaml", "c/d/e.yaml": "demo/client.yaml", "b-c.cue": "trials/eight-by-thirty.cue"} {
		b, err := os.ReadFile(filepath.Join("..", "..", "testdata", filepath.FromSlash(from)))
		if err != nil {
			t.Fatal(err)
		}
		files[name] = string(b)
		names = append(names, name)
	}
	want := map[string]string{}
	for seed := range uint64(6) {
		rand.New(rand.NewPCG(seed, 3)).Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		t.Chdir(t.TempDir())
		for _, n := range names {
			if err := os.MkdirAll(filepath.Dir(n), 0o700); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(n, []byte(files[n]), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		for _, format := range []string{"text", "json", "sarif", "github", "junit"} {
			_, out, errw := run("lint", ".", "--for", "handgrip-alternating", "--format", format, "--now", "2027-01-03T09:00:00Z")
			if want[format] == "" {
				want[format] = out
			}
			if out == "" || out != want[format] || errw != "" {
				t.Fatalf("made in the order %v, %s:\n%s%s\nand in another:\n%s", names, format, out, errw, want[format])
			}
		}
	}
}
