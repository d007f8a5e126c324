package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"isocue.example/compiler/record"
)

// A stop works whatever became of a plan and of the pack around it: everything to come is called back, and nothing of somebody else's is
// lost.
func TestAStopAlwaysWorks(t *testing.T) {
	b := newPackBench(t)
	var sound record.Plan
	if err := json.Unmarshal(b.src, &sound); err != nil {
		t.Fatal(err)
	}
	wide := func(order [2]int) []byte {
		var out []byte
		for _, u := range utf16.Encode([]rune("\ufeff" + string(b.src))) {
			pair := [2]byte{byte(u >> 8), byte(u)}
			out = append(out, pair[order[0]], pair[order[1]])
		}
		return out
	}
	padded := func() []byte {
		var p map[string]any
		if err := json.Unmarshal(b.src, &p); err != nil {
			t.Fatal(err)
		}
		var all []any
		for i := range 12000 {
			all = append(all, map[string]any{"uid": fmt.Sprintf("00000000-0000-5000-8000-%012d", i), "start": "2027-02-01T07:00", "protocol": "x", "week": 3, "slot": 1, "sequence": 0, "seconds": 600})
		}
		p["sessions"] = append(all, p["sessions"].([]any)...)
		out, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	write := func(name, text string) func(*testing.T, string) {
		return func(t *testing.T, dir string) {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	calendar, err := os.ReadFile(filepath.Join(b.pack, "calendar.ics"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		why   string
		plan  []byte
		pack  func(t *testing.T, dir string)
		says  string
		keeps string // a file that holds what was in the way
	}{
		{"a byte order mark", append([]byte("\ufeff"), b.src...), nil, "cannot be trusted", "plan.json.old"},
		{"UTF-16", wide([2]int{1, 0}), nil, "cannot be trusted", "plan.json.old"},
		{"UTF-16, the other way", wide([2]int{0, 1}), nil, "cannot be trusted", "plan.json.old"},
		{"cut in half", b.src[:len(b.src)/2], nil, "cannot be trusted", ""},
		{"the end missing", b.src[:len(b.src)-3], nil, "cannot be trusted", ""},
		{"the head missing", b.src[len(b.src)/3:], nil, "cannot be trusted", "plan.json.old"},
		{"empty", nil, nil, "cannot be trusted", ""},
		{"no plan at all", []byte("see the calendar\n"), nil, "cannot be trusted", "plan.json.old"},
		{"cut in half, without its calendar's end", b.src[:len(b.src)/2], write("calendar.ics", string(calendar[:len(calendar)-40])), "cannot be trusted", ""},
		{"other ends of lines", bytes.ReplaceAll(b.src, []byte("\n"), []byte("\r\n")), nil, "", "plan.json.old"},
		{"a padded plan", padded(), nil, "cannot be trusted", ""},
		{"a calendar of other ends of lines", b.src, write("calendar.ics", strings.ReplaceAll(string(calendar), "\r\n", "\n")), "calendar.ics.old", "calendar.ics.old"},
		{"a calendar of another program", b.src, write("calendar.ics", strings.Replace(string(calendar), "//isocue//isocue", "//other//other", 1)), "calendar.ics.old", "calendar.ics.old"},
		{"somebody's own sheet", b.src, write("handout.html", "my own notes\n"), "handout.html.old", "handout.html.old"},
		{"a folder in the place of the session page", b.src, func(t *testing.T, dir string) {
			name := filepath.Join(dir, "session.html")
			if err := os.Remove(name); err != nil {
				t.Fatal(err)
			}
			if err := os.Mkdir(name, 0o700); err != nil {
				t.Fatal(err)
			}
		}, "session.html is no file and is left as it is", ""},
	} {
		dir := filepath.Join(t.TempDir(), "pack")
		if err := os.CopyFS(dir, os.DirFS(b.pack)); err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(dir, "plan.json")
		if err := os.WriteFile(name, c.plan, 0o600); err != nil {
			t.Fatal(err)
		}
		if c.pack != nil {
			c.pack(t, dir)
		}
		code, out, errw := run("compile", "--previous", name, "--stop", "2027-01-01", "--pack", dir, "--now", inCourse)
		if code != 0 || !strings.Contains(errw, c.says) || !strings.Contains(errw, "2027-01-01 is past: the programme is stopped from today on") {
			t.Errorf("%s: %d %s%.600s", c.why, code, out, errw)
			continue
		}
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var p record.Plan
		if err := json.Unmarshal(src, &p); err != nil {
			t.Fatal(err)
		}
		off := map[string]int{}
		for _, s := range p.Sessions {
			if s.Status == record.Cancelled {
				off[s.UID] = s.Sequence
			}
		}
		missing := 0
		for _, s := range sound.Sessions {
			if n, ok := off[s.UID]; s.Start.String() >= "2027-01-09" && (!ok || n <= s.Sequence) {
				missing++
			}
		}
		if missing > 0 {
			t.Errorf("%s: %d sessions are not called back", c.why, missing)
		}
		if c.keeps != "" {
			if _, err := os.Stat(filepath.Join(dir, c.keeps)); err != nil {
				t.Errorf("%s: what was in the way is lost: %v", c.why, err)
			}
		}
	}
}
