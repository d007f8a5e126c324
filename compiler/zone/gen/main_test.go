package main

import (
	"archive/zip"
	"bytes"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

func source() fstest.MapFS {
	f := func(s string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(s)} }
	return fstest.MapFS{
		"tzdata.zi": f("# version 2026f\n# rest\n"), "Europe/Lisbon": f("TZif2 a"), "Africa/Abidjan": f("TZif2 b"),
		"posix/Europe/Lisbon": f("TZif2 c"), "right/Europe/Lisbon": f("TZif2 d"), "localtime": f("TZif2 e"),
		"posixrules": f("TZif2 f"), "Factory": f("TZif2 g"), "zone.tab": f("TZif"), "leapseconds": f("TZif"), "note": f("x"),
	}
}

func TestPackIsReproducibleAndLeavesOut(t *testing.T) {
	a, err := pack(source(), "2026f")
	if err != nil {
		t.Fatal(err)
	}
	b, err := pack(source(), "2026f")
	if err != nil || !bytes.Equal(a, b) {
		t.Fatalf("two runs differ, err %v", err)
	}
	r, err := zip.NewReader(bytes.NewReader(a), int64(len(a)))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range r.File {
		names = append(names, f.Name)
	}
	if want := []string{"+VERSION", "Africa/Abidjan", "Europe/Lisbon"}; !slices.Equal(names, want) {
		t.Errorf("entries %v, want %v", names, want)
	}
}

func TestPackRefusesAnotherRelease(t *testing.T) {
	for _, version := range []string{"", "2025b"} {
		if _, err := pack(source(), version); err == nil || !strings.Contains(err.Error(), "2026f") {
			t.Errorf("version %q: err %v, want one that names the found release", version, err)
		}
	}
}
