//go:build full

package main

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// pagesDir is the folder that .ci/pages/install made.
func pagesDir(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("ISOCUE_PAGES")
	if dir == "" {
		t.Fatal("ISOCUE_PAGES names no folder; .ci/pages/install makes one")
	}
	return dir
}

// In a real browser report and letter fetch nothing, obey their own policy, and axe-core finds nothing; a letter is one A4 page.
func TestPagesInABrowser(t *testing.T) {
	dir := pagesDir(t)
	var files []string
	for _, s := range stories {
		t.Run(s.name, func(t *testing.T) {
			out := t.TempDir() // lives as long as this story
			s.setting(t)
			letter, report := filepath.Join(out, "letter.html"), filepath.Join(out, "report.html")
			s.follow(t, "--letter", letter, "--report", report)
			look := exec.Command("node", filepath.Join(dir, "look.mjs"), letter, report)
			var complaint bytes.Buffer
			look.Stderr = &complaint
			b, err := look.Output()
			if err != nil {
				t.Fatalf("%v\n%s", err, complaint.Bytes())
			}
			for _, line := range strings.Split(strings.TrimSpace(string(b)), "\n") {
				var p struct {
					File                        string
					Pages, Width, Height        int
					Requests, Complaints, Found []string
					Styled                      bool
				}
				if err := json.Unmarshal([]byte(line), &p); err != nil {
					t.Fatal(err)
				}
				files = append(files, p.File)
				if len(p.Requests)+len(p.Complaints)+len(p.Found) > 0 || !p.Styled {
					t.Errorf("%s: %s", s.name, line)
				}
				if p.Width != 595 || p.Height != 842 { // A4 in points, ISO 216
					t.Errorf("%s is printed on %d x %d points", p.File, p.Width, p.Height)
				}
				if strings.HasSuffix(p.File, "letter.html") && p.Pages != 1 {
					t.Errorf("%s: the letter prints on %d pages", s.name, p.Pages)
				}
			}
		})
	}
	if len(files) != 2*len(stories) {
		t.Errorf("%d pages were looked at, want %d", len(files), 2*len(stories))
	}
}
