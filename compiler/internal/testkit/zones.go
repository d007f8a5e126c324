package testkit

import (
	"archive/zip"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Zones are the names of every zone of the pinned data, sorted: canonical names and links alike.
func Zones(t testing.TB) (out []string) {
	t.Helper()
	dir, err := os.Getwd() // of the package under test, which is compiler or below it
	for up := filepath.Dir(dir); err == nil && filepath.Base(dir) != "compiler" && up != dir; up = filepath.Dir(dir) {
		dir = up
	}
	r, err := zip.OpenReader(filepath.Join(dir, "zone", "zoneinfo.zip"))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	for _, f := range r.File {
		if !strings.HasPrefix(f.Name, "+") { // the entry of the version
			out = append(out, f.Name)
		}
	}
	return out
}
