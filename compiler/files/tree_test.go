package files

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Law: a folder is written whole or not at all. Nothing half-made, no temporary name and nothing of anybody else's is
// touched when writing fails, whichever step fails.
func TestWriteTreeLeavesNothingBehind(t *testing.T) {
	good := []File{{Name: "a.txt", Data: []byte("a"), Mode: 0o600}, {Name: "b/c.txt", Data: []byte("c"), Mode: 0o600}, {Name: "d/e.txt", Mode: 0o600}}
	for _, row := range []struct {
		why   string
		there []string // what is in the folder before; nil for no folder
		files []File
		fails bool
	}{
		{"a new folder", nil, good, false},
		{"an empty folder", []string{}, good, false},
		{"a repository", []string{".git/HEAD"}, good, false},
		{"a file where a folder has to be, found while writing", nil, append(slices.Clone(good), File{Name: "a.txt/x", Mode: 0o600}), true},
		{"the same, in a repository", []string{".git/HEAD"}, append(slices.Clone(good), File{Name: "a.txt/x", Mode: 0o600}), true},
		{"something that came in between, found while the last entry is moved", []string{"d/mine.txt"}, good, true},
	} {
		top := t.TempDir()
		dir := filepath.Join(top, "the clinic")
		for _, n := range row.there {
			if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, n)), 0o700); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(dir, n), []byte("before"), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if row.there != nil {
			if err := os.MkdirAll(dir, 0o700); err != nil {
				t.Fatal(err)
			}
		}
		before := listing(t, top)
		err := WriteTree(dir, row.there != nil, row.files)
		if (err != nil) != row.fails {
			t.Errorf("%s: error %v", row.why, err)
		}
		want := before
		if !row.fails {
			want = slices.Clone(before)
			for _, f := range row.files {
				want = append(want, "the clinic/"+f.Name+"="+string(f.Data))
			}
			slices.Sort(want)
		}
		if got := listing(t, top); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", row.why, got, want)
		}
	}
}

// listing is every file below a folder with its content, sorted; an empty folder that stays is told too.
func listing(t *testing.T, top string) (out []string) {
	t.Helper()
	err := filepath.WalkDir(top, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(top, p)
		if d != nil && d.IsDir() && strings.HasPrefix(d.Name(), ".isocue") {
			out = append(out, filepath.ToSlash(rel))
		}
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(p)
		out = append(out, filepath.ToSlash(rel)+"="+string(b))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(out)
	return out
}
