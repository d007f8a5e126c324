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

	"isocue.example/cmd/isocue/cli"
)

// In a real browser every sheet of one protocol or two prints on at most three pages of A4 and of Letter, of three on four, its gate is whole on the first page, it fetches
// nothing, obeys its own policy and fits a phone; axe-core and html-validate find nothing. Names and titles that are markup
// change none of it.
func TestPagesInABrowserOfSheets(t *testing.T) {
	dir := pagesDir(t)
	out := t.TempDir()
	demo, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	client := filepath.Join(out, "client.yaml")
	hostile := filepath.Join(out, "hostile.yaml")
	name := `"</h1><script>alert(1)</script>\" onload=x & Łukasz"`
	for file, src := range map[string][]byte{client: demo, hostile: bytes.Replace(demo, []byte("name: Dara Quill"), []byte("name: "+name), 1)} {
		if err := os.WriteFile(file, src, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	own := filepath.Join(out, "own.cue")
	_, src, _ := run("protocols", "handgrip-alternating")
	src = strings.Replace(src, `"Alternating handgrip"`, `"<b onclick='x'>&amp; \"grip\"</b>"`, 1)
	if err := os.WriteFile(own, []byte(src), 0o600); err != nil {
		t.Fatal(err)
	}
	var files []string
	for _, x := range []struct {
		pack, client string
		protocols    []string
	}{
		{"main", client, []string{"handgrip-alternating", "slow-breathing-even"}},
		{"ramp", client, []string{"handgrip-start", "slow-breathing-short-pause"}},
		{"long", client, []string{"handgrip-start", "slow-breathing-even"}},
		{"guideline", client, []string{"handgrip-guideline", "slow-breathing-even"}},
		{"squat", client, []string{"wall-squat-home"}},
		{"strength", client, []string{"inspiratory-strength"}},
		{"paced", client, []string{"inspiratory-light-paced"}},
		{"companions", client, []string{"walking-start", "strength-home"}},
		{"three", client, []string{"slow-breathing-even", "walking-start", "strength-home"}},
		{"three-grip", client, []string{"handgrip-alternating", "slow-breathing-even", "walking-start"}},
		{"hostile", hostile, []string{own}},
	} {
		for _, lang := range []string{"en", "de"} {
			pack := filepath.Join(out, x.pack+"-"+lang)
			args := append([]string{"compile"}, x.protocols...)
			args = append(args, "--client", x.client, "--start", "2027-01-04", "--now", "2027-01-03T09:00:00Z", "--lang", lang, "--pack", pack)
			if code, _, errw := run(args...); code != cli.ExitOK {
				t.Fatalf("%s: %s", x.pack, errw)
			}
			files = append(files, filepath.Join(pack, "handout.html"))
		}
	}
	ended := filepath.Join(out, "ended")
	if code, _, errw := run("compile", "--previous", filepath.Join(out, "main-en", "plan.json"), "--stop", "2027-01-20", "--now", "2027-01-19T09:00:00Z", "--pack", ended); code != cli.ExitOK {
		t.Fatal(errw)
	}
	files = append(files, filepath.Join(ended, "handout.html"))
	form := filepath.Join(out, "first-visit.html") // it may take as many pages as its questions need
	if code, _, errw := run("new", "form", form); code != cli.ExitOK {
		t.Fatal(errw)
	}
	files = append(files, form)
	look := exec.Command("node", append([]string{filepath.Join(dir, "sheets.mjs")}, files...)...)
	var complaint bytes.Buffer
	look.Stderr = &complaint
	b, err := look.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, complaint.Bytes())
	}
	seen := 0
	for _, line := range strings.Split(strings.TrimSpace(string(b)), "\n") {
		var p struct {
			File                              string
			Pages                             map[string]int
			Gate                              map[string]float64
			Requests, Complaints, Found, HTML []string
			Overflow                          int
			Letters                           float64 // pixels
		}
		if err := json.Unmarshal([]byte(line), &p); err != nil {
			t.Fatal(err)
		}
		seen++
		if len(p.Requests)+len(p.Complaints)+len(p.Found)+len(p.HTML) > 0 || p.Overflow > 0 {
			t.Errorf("%s", line)
		}
		if p.File == form {
			continue
		}
		if p.Letters < 12 { // 9 points: what typographers' handbooks call the least for running print, common practice
			t.Errorf("%s: a drawing prints letters of %.1f pixels", p.File, p.Letters)
		}
		for _, paper := range []string{"A4", "Letter"} {
			isEnded := strings.HasSuffix(filepath.Dir(p.File), "ended")
			most := 3
			if strings.HasPrefix(filepath.Base(filepath.Dir(p.File)), "three") {
				most = 4
			}
			if src, err := os.ReadFile(p.File); err != nil || strings.HasSuffix(filepath.Dir(p.File), "three-en") && bytes.Count(src, []byte("<tr><td></td><td></td>")) < 12 { // rows of the log, and the walks
				t.Errorf("%s leaves its last page empty: few rows of the log (%v)", p.File, err)
			}
			if n := p.Pages[paper]; n < 1 || n > most || isEnded && n > 1 {
				t.Errorf("%s prints on %d pages of %s", p.File, n, paper)
			}
			if at := p.Gate[paper]; at > 1 || at <= 0 && !isEnded {
				t.Errorf("%s: the gate ends at %.2f of the first page of %s", p.File, at, paper)
			}
		}
	}
	if seen != len(files) {
		t.Errorf("%d sheets were looked at, want %d", seen, len(files))
	}
}
