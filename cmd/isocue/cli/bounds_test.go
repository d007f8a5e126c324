package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// bounded is a folder with a client who walks, and runs in it.
type bounded struct {
	*testing.T
	dir string
}

func newBounded(t *testing.T) bounded {
	b := bounded{t, t.TempDir()}
	src, err := os.ReadFile("../../../testdata/demo/client.yaml")
	if err != nil {
		t.Fatal(err)
	}
	b.write("client.yaml", strings.Replace(string(src), "\nmeasured:", "\nmeasured:\n  walking: [{date: 2027-01-02, minutesPerWeek: 100}]", 1))
	return b
}

func (b bounded) at(name string) string { return filepath.Join(b.dir, name) }

func (b bounded) write(name, text string) {
	b.Helper()
	if err := os.WriteFile(b.at(name), []byte(text), 0o600); err != nil {
		b.Fatal(err)
	}
}

// run wants an exit code and a text in what is said; it gives all that was said.
func (b bounded) run(why string, code int, want string, args ...string) string {
	b.Helper()
	var out, errw bytes.Buffer
	got := Run(append(args, "--now", "2027-01-03T09:00:00Z"), strings.NewReader(""), &out, &errw)
	said := out.String() + errw.String()
	if got != code || !strings.Contains(said, want) {
		b.Errorf("%s: %v ended with %d, want %d and %q:\n%.600s", why, args, got, code, want, said)
	}
	return said
}

func (b bounded) none(why, name string) {
	b.Helper()
	if _, err := os.Lstat(b.at(name)); err == nil {
		b.Errorf("%s: wrote %s", why, name)
	}
}

// walks is a file of n walking protocols.
func walks(n, perDay, weeks int) (text string) {
	for i := range n {
		text += fmt.Sprintf("\"walk-%d\": {id: \"walk-%d\", title: \"Walk\", revision: 1, modality: \"walking\", intensity: \"light\", minutesPerSession: 1, daysPerWeek: 7, sessionsPerDay: %d, weeks: %d}\n", i, i, perDay, weeks)
	}
	return text
}

// What a programme asks for is held to its bounds before any of it is made, and told with its number and the bound.
func TestProgrammesAreBounded(t *testing.T) {
	b := newBounded(t)
	record, err := os.ReadFile(b.at("client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(record), "hours:\n")
	slivers := head + "hours:\n"
	for m := 5 * 60; m < 23*60+45; m += 15 {
		slivers += fmt.Sprintf("  - {days: [mon, tue, wed, thu, fri, sat, sun], from: \"%02d:%02d\", to: \"%02d:%02d\"}\n", m/60, m%60, (m+15)/60, (m+15)%60)
	}
	b.write("slivers.yaml", slivers)
	for _, x := range []struct{ why, client, protocols, want string }{
		{"ten walks, twelve times a day for two years", "client.yaml", walks(10, 12, 104), "malformed: the programme asks for 87360 sessions, allowed: at most 5000 [bounds]"},
		{"one walk past the bound", "client.yaml", walks(1, 12, 60), "malformed: the programme asks for 5040 sessions, allowed: at most 5000 [bounds]"},
		{"more protocols than anybody trains", "client.yaml", walks(25, 12, 8), "malformed: the programme has 25 protocols, allowed: at most 24 [bounds]"},
		{"hours cut into slivers", "slivers.yaml", walks(1, 12, 59), "malformed: finding days and hours looks at more than 8000000 candidates, allowed: at most 8000000 [bounds]"},
	} {
		b.write("walks.cue", x.protocols)
		b.run(x.why, 1, x.want, "compile", "--why", b.at("walks.cue"), "--client", b.at(x.client), "--start", "2027-01-04", "-o", b.at("a.ics"))
		b.none(x.why, "a.ics")
	}
	b.write("walks.cue", walks(10, 12, 104))
	b.run("lint for a client", 1, "asks for 87360 sessions, allowed: at most 5000 [bounds]", "lint", "--why", b.at("client.yaml"), "--for", b.at("walks.cue"))
	b.write("walks.cue", walks(1, 12, 59))
	b.run("just below the bound of sessions", 0, "", "compile", b.at("walks.cue"), "--client", b.at("client.yaml"), "--start", "2027-01-04", "-o", b.at("a.ics"))
}

// A plan that somebody made large is refused before it is written out a thousand times: by another compile, by publish, by lint. A
// stop calls back what can be called back, and writes nothing else of it.
func TestPlansAreBounded(t *testing.T) {
	b := newBounded(t)
	b.run("a plan", 0, "", "compile", "handgrip-alternating", "--client", b.at("client.yaml"), "--start", "2027-01-04", "--as", "plan", "-o", b.at("plan.json"))
	src, err := os.ReadFile(b.at("plan.json"))
	if err != nil {
		t.Fatal(err)
	}
	edit := func(change func(plan, kind map[string]any)) string {
		var p map[string]any
		if err := json.Unmarshal(src, &p); err != nil {
			t.Fatal(err)
		}
		change(p, p["kinds"].(map[string]any)["handgrip-alternating/0"].(map[string]any))
		out, err := json.MarshalIndent(p, "", "  ")
		if err != nil {
			t.Fatal(err)
		}
		head := regexp.MustCompile(`(?s)"client": "[^"]*",|"version": [0-9],?`) // in which order a plan begins
		return "{\n  \"version\": 2,\n  \"client\": \"plover-12\"," + strings.TrimPrefix(head.ReplaceAllString(string(out), ""), "{")
	}
	times := func(x any, n int) any {
		all := x.([]any)
		for len(all) < n {
			all = append(all, all...)
		}
		return all[:n]
	}
	sessions := func(p map[string]any, n int) {
		var out []any
		for i := range n {
			s := map[string]any{}
			for k, v := range p["sessions"].([]any)[0].(map[string]any) {
				s[k] = v
			}
			s["uid"], s["slot"] = fmt.Sprintf("%08x-0000-5000-8000-000000000000", i), i+1
			out = append(out, s)
		}
		p["sessions"] = out
	}
	for _, x := range []struct {
		why, want string
		change    func(plan, kind map[string]any)
	}{
		{"steps that are written out for each session", "kind handgrip-alternating/0 of the plan has 5000 steps, allowed: at most 500", func(_, k map[string]any) { k["steps"] = times(k["steps"], 5000) }},
		{"loads that are written out for each session", "kind handgrip-alternating/0 of the plan has 2000 loads, allowed: at most 8", func(_, k map[string]any) { k["loads"] = times(k["loads"], 2000) }},
		{"a title that is written out for each session", "of the plan has 8000 bytes, allowed: at most 4096", func(_, k map[string]any) { k["title"] = strings.Repeat("A", 8000) }},
		{"more sessions than anybody trains", "allowed: at most 10000", func(p, _ map[string]any) { sessions(p, 10_001) }},
	} {
		b.write("large.json", edit(x.change))
		large := b.at("large.json")
		for _, args := range [][]string{
			{"compile", "--why", "handgrip-alternating", "--client", b.at("client.yaml"), "--previous", large, "-o", b.at("a.ics")},
			{"publish", large, "--to", "https://calendar.example/cal/"},
			{"lint", "--why", large},
		} {
			if said := b.run(x.why, 1, x.want, args...); !strings.Contains(said, "malformed") {
				t.Errorf("%s: %v says %.200s", x.why, args, said)
			}
			b.none(x.why, "a.ics")
		}
		b.run(x.why, 0, x.want, "compile", "--previous", large, "--stop", "2027-01-20", "-o", b.at("a.ics"))
		ics, err := os.ReadFile(b.at("a.ics"))
		if err != nil || len(ics) > 20<<20 || bytes.Contains(ics, []byte("AAAA")) || bytes.Contains(ics, []byte("kgf")) {
			t.Errorf("%s: the stop writes %d bytes (%v), want what is called back and nothing else of the plan", x.why, len(ics), err)
		}
		if err := os.Remove(b.at("a.ics")); err != nil {
			t.Fatal(err)
		}
	}
	b.write("long.json", edit(func(p, _ map[string]any) {
		sessions(p, 5000)
		p["cautions"] = times(p["cautions"], 50)
		for _, c := range p["cautions"].([]any) {
			c.(map[string]any)["text"] = strings.Repeat("A ", 2000)
		}
	}))
	b.run("each text within its bound, and all of them in each session", 0, "this plan cannot be trusted", "compile", "--previous", b.at("long.json"), "--stop", "2027-01-20", "-o", b.at("a.ics"))
	if ics, err := os.ReadFile(b.at("a.ics")); err != nil || len(ics) > 20<<20 || bytes.Contains(ics, []byte("A A A A")) {
		t.Errorf("a long calendar: the stop writes %d bytes (%v)", len(ics), err)
	}
}

// Of a spreadsheet whose rows are all malformed the first are told in full, whichever worker reads them, and the others by their line.
func TestRowsToldAreBounded(t *testing.T) {
	b := newBounded(t)
	text := "id,name,sex\n"
	for i := range 300 {
		text += fmt.Sprintf("c-%d,A,what\n", i)
	}
	b.write("clients.csv", text)
	b.run("300 malformed rows", 1, "", "roster", "handgrip-alternating", "--clients", b.at("clients.csv"), "--start", "2027-01-04", "--pack", b.at("packs"))
	got, err := os.ReadFile(filepath.Join(b.at("packs"), "roster.csv"))
	if err != nil {
		t.Fatal(err)
	}
	full, short := strings.Count(string(got), "column sex"), strings.Count(string(got), "as are 40 rows above it that are told in full")
	if lines := strings.Split(string(got), "\n"); full+short != 300 || short != 260 || !strings.Contains(lines[40], "column sex") || strings.Contains(lines[41], "column sex") {
		t.Errorf("%d rows are told in full and %d are not, want the first 40 of 300", full, short)
	}
}

// A roster writes no client's health through a link that somebody put into the folder of the packs.
func TestRosterFollowsNoLink(t *testing.T) {
	b := newBounded(t)
	for _, dir := range []string{"clients", "packs", "outside"} {
		if err := os.Mkdir(b.at(dir), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Rename(b.at("client.yaml"), b.at("clients/plover-12.yaml")); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(b.at("outside"), b.at("packs/plover-12")); err != nil {
		t.Fatal(err)
	}
	b.run("a link in place of a pack", 1, "is a link, allowed: a folder", "roster", "handgrip-alternating", "--clients", b.at("clients"), "--start", "2027-01-04", "--pack", b.at("packs"))
	if all, err := os.ReadDir(b.at("outside")); err != nil || len(all) > 0 {
		t.Error("wrote through the link", all, err)
	}
}
