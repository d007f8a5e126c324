package files

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What is no regular file is told as what it is, and not opened; a file without a size is empty, whatever a system would go on to write
// into it: the log of a kernel waits for more for ever.
func TestFetch(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		name = filepath.Join(dir, name)
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return name
	}
	if b, err := Fetch(write("a", "12345"), 3); err != nil || string(b) != "1234" {
		t.Errorf("%q, %v, want the bound and a byte more", b, err)
	}
	if b, err := Fetch(write("b", ""), 3); err != nil || len(b) > 0 {
		t.Errorf("%q, %v", b, err)
	}
	if _, err := Fetch(dir, 3); err == nil || !strings.Contains(err.Error(), "is a folder, allowed: a regular file") {
		t.Error(err)
	}
}

// A pack that is found as a link is refused; a folder, and nothing yet, are not.
func TestNoLink(t *testing.T) {
	dir := t.TempDir()
	link := filepath.Join(dir, "link")
	if err := os.Symlink(t.TempDir(), link); err != nil {
		t.Fatal(err)
	}
	if err := NoLink(link); err == nil {
		t.Error("a link passes")
	}
	for _, name := range []string{dir, filepath.Join(dir, "nothing")} {
		if err := NoLink(name); err != nil {
			t.Error(err)
		}
	}
}
