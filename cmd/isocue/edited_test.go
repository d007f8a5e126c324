package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"isocue.example/compiler/record"
)

const (
	beforeStart = "2027-01-03T09:00:00Z"
	inCourse    = "2027-01-08T09:00:00Z"
)

// bench is a folder with a client, a roster's pack of the client and the plan as it was written.
type packBench struct {
	clients, packs, pack, client, plan string
	src                                []byte
}

func newPackBench(t *testing.T) packBench {
	t.Helper()
	dir := t.TempDir()
	b := packBench{clients: filepath.Join(dir, "clients"), packs: filepath.Join(dir, "packs")}
	b.pack, b.client = filepath.Join(b.packs, "plover-12"), filepath.Join(b.clients, "plover-12.yaml")
	b.plan = filepath.Join(b.pack, "plan.json")
	src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err == nil {
		err = os.MkdirAll(b.clients, 0o755)
	}
	if err == nil {
		err = os.WriteFile(b.client, src, 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
	if code, out, errw := b.roster(beforeStart); code != 0 {
		t.Fatalf("%d %s%s", code, out, errw)
	}
	if b.src, err = os.ReadFile(b.plan); err != nil {
		t.Fatal(err)
	}
	return b
}

func (b packBench) roster(now string) (int, string, string) {
	return run("roster", "handgrip-alternating", "slow-breathing-even", "--clients", b.clients, "--start", "2027-01-04", "--pack", b.packs, "--now", now)
}

func (b packBench) write(t *testing.T, src []byte) {
	t.Helper()
	if err := os.WriteFile(b.plan, src, 0o644); err != nil {
		t.Fatal(err)
	}
}

// readers are the ways in which a plan is read, each with the exit code with which it tells of an edited one.
func (b packBench) readers() map[string]func() (int, string, string) {
	return map[string]func() (int, string, string){
		"lint": func() (int, string, string) { return run("lint", b.plan, "--now", inCourse) },
		"compile --previous": func() (int, string, string) {
			return run("compile", "handgrip-alternating", "slow-breathing-even", "--client", b.client, "--previous", b.plan, "-o", filepath.Join(b.clients, "..", "again.ics"), "--now", inCourse)
		},
		"publish": func() (int, string, string) {
			return run("publish", b.plan, "--to", "https://calendar.invalid/heron/", "--dry-run", "--now", inCourse)
		},
		"progress": func() (int, string, string) {
			return run("progress", "--client", b.client, "--log", filepath.Join("..", "..", "testdata", "demo", "plover-12.log.csv"), "--plan", b.plan, "--now", inCourse)
		},
		"today": func() (int, string, string) {
			return run("today", filepath.Dir(b.clients), "--why", "--now", inCourse)
		},
		"roster": func() (int, string, string) { return b.roster(inCourse) },
	}
}

// told says whether a reader said that the plan is an edited one, or that it cannot be read.
var toldOfEdit = regexp.MustCompile(`edited-plan|the plan was edited|the plan has no seal|contradict|cannot be trusted|the session of|the load |not a plan|of the plan|the plan |plan\.json`)

// edits are changes of a plan's text, as somebody makes them in an editor.
var textEdits = []struct{ why, old, new string }{
	{"a load", `"target": 12,`, `"target": 36,`},
	{"a share", `"share": 0.3,`, `"share": 0.9,`},
	{"a target of 1e60", `"target": 10.5,`, `"target": 1e60,`},
	{"a line of the gate", `"systolic": 180,`, `"systolic": 250,`},
	{"seconds of work", `"workSeconds": 1200,`, `"workSeconds": 2400,`},
	{"seconds of a step", `"seconds": 120,`, `"seconds": 600,`},
	{"another client", `"client": "plover-12"`, `"client": "wren-3"`},
	{"a date", `"start": "2027-01-11T07:00"`, `"start": "2027-01-12T07:00"`},
	{"an emergency number", `"emergency": "911"`, `"emergency": "119"`},
	{"a caution", "Never hold your breath", "Always hold your breath"},
	{"a title", "Alternating handgrip", "Hardest handgrip"},
	{"a stop", `"zone": "America/Halifax"`, `"stopped": "2027-01-05", "zone": "America/Halifax"`},
	{"another zone", `"zone": "America/Halifax"`, `"zone": "Asia/Tokyo"`},
	{"a status", `"status": "confirmed"`, `"status": "cancelled"`},
	{"a protocol", `"fraction": 0.3`, `"fraction": 0.6`},
	{"the gate before a session", `"gate": true`, `"gate": false`},
}

// Every edit of a plan, as an editor leaves it, is told by every reader of plans; what publishes, compiles or lints refuses. With the
// seal taken away it is told at least.
func TestAnEditedPlanIsToldByEveryReader(t *testing.T) {
	b := newPackBench(t)
	for name, read := range b.readers() {
		if code, out, errw := read(); name != "publish" && code != 0 && !strings.Contains(out+errw, "2027-01") || strings.Contains(out+errw, "edited") || strings.Contains(out+errw, "seal") {
			t.Errorf("%s of a sound plan: %d %s%s", name, code, out, errw)
		}
		b.write(t, b.src)
	}
	for i, x := range textEdits {
		text := strings.Replace(string(b.src), x.old, x.new, 1)
		if text == string(b.src) {
			t.Errorf("%s: %s does not stand in the plan", x.why, x.old)
			continue
		}
		bare := text[:strings.LastIndex(text, ",\n  \"seal\"")] + "\n}\n"
		for form, src := range map[string]string{"edited": text, "edited, without the seal": bare} {
			for name, read := range b.readers() {
				if !full && form != "edited" && i%3 > 0 { // the quick check takes a third
					continue
				}
				b.write(t, []byte(src))
				code, out, errw := read()
				if said := out + errw; !toldOfEdit.MatchString(said) || (form == "edited" || name == "publish") && code == 0 {
					t.Errorf("%s (%s), %s: %d %s", x.why, form, name, code, said)
				}
				if now, err := os.ReadFile(b.plan); form == "edited" && (err != nil || string(now) != src) {
					t.Errorf("%s, %s: the plan was written over", x.why, name)
				}
			}
		}
	}
}

var scalar = regexp.MustCompile(`(?m)(": |^ +)("[^"\n]*"|-?[0-9.]+|true|false)(,?)$`)

// Law: whatever single number, text or truth of a plan is changed, every reader tells.
func TestAnySingleChangeOfAPlanIsTold(t *testing.T) {
	b := newPackBench(t)
	all := scalar.FindAllSubmatchIndex(b.src, -1)
	rnd, tries := rand.New(rand.NewPCG(1, 2)), 40
	if full {
		tries = 1500
	}
	for range tries {
		m := all[rnd.IntN(len(all))]
		was := string(b.src[m[4]:m[5]])
		now := map[bool]string{true: `"x"`, false: "7"}[was[0] == '"']
		switch {
		case was == "true":
			now = "false"
		case was == "false":
			now = "true"
		case was[0] == '"' && len(was) > 3 && rnd.IntN(2) == 0:
			now = was[:len(was)-2] + "1\""
		case was[0] != '"' && rnd.IntN(2) == 0:
			now = was + "1"
		}
		if now == was {
			continue
		}
		src := string(b.src[:m[4]]) + now + string(b.src[m[5]:])
		for name, read := range b.readers() {
			if !full && name != "lint" && name != "publish" && rnd.IntN(5) > 0 {
				continue
			}
			b.write(t, []byte(src))
			if code, out, errw := read(); code == 0 {
				t.Errorf("%s, with %s in place of %s at byte %d: nothing is told: %s%s", name, now, was, m[4], out, errw)
			}
		}
	}
}

// A stop works from whatever is left of a plan: every session to come is cancelled under a higher number, and no load, edited or not,
// stands in anything that is written.
func TestAStopWorksFromAnEditedPlan(t *testing.T) {
	b := newPackBench(t)
	var sound record.Plan
	if err := json.Unmarshal(b.src, &sound); err != nil {
		t.Fatal(err)
	}
	broken := []struct{ why, old, new string }{
		{"a load that is no number", `"target": 12,`, `"target": "as hard as you can",`},
		{"a kind that is none", `"kinds": {`, `"kinds": 7, "other": {`},
		{"sheet and loads as texts", `"loads": [`, `"loads": {"x": 77777}, "were": [`},
		{"protocols that cannot be read", `"protocols": [`, `"protocols": [7, `},
		{"another zone that is none", `"zone": "America/Halifax"`, `"zone": "America/Nowhere"`},
		{"a session of no length", `"seconds": 1620,`, `"seconds": -5,`},
		{"a number of the calendar", `"sequence": 0,`, `"sequence": 99999999999,`},
		{"a week that is none", `"week": 1,`, `"week": "first",`},
	}
	later := ""
	for _, s := range sound.Sessions {
		if s.Start.String() >= "2027-01-20" {
			later = s.UID
			break
		}
	}
	broken = append(broken, []struct{ why, old, new string }{
		{"a uid of a day to come", later, "x" + later[1:]},
		{"days to come, put behind today", `"start": "2027-01-2`, `"start": "2026-01-2`},
		{"weeks to come, put behind today", `"week": 4,`, `"week": 1,`},
	}...)
	for _, x := range textEdits {
		broken = append(broken, struct{ why, old, new string }{x.why, x.old, x.new})
	}
	for i, x := range broken {
		for k, all := range []int{1, -1} {
			if !full && i%2 == k && !strings.Contains(x.why, "to come") {
				continue
			}
			text := strings.Replace(string(b.src), x.old, x.new, all)
			if text == string(b.src) {
				t.Errorf("%s: %s does not stand in the plan", x.why, x.old)
				continue
			}
			b.write(t, []byte(text))
			out := filepath.Join(t.TempDir(), "stopped")
			code, said, errw := run("compile", "--previous", b.plan, "--stop", "2027-01-20", "--pack", out, "--now", inCourse)
			if code != 0 || !strings.Contains(errw, "cannot be trusted") {
				t.Errorf("%s: %d %s%s", x.why, code, said, errw)
				continue
			}
			checkStopped(t, x.why, out, &sound)
			if code, said, errw := run("lint", filepath.Join(out, "plan.json"), "--now", inCourse); code != 0 {
				t.Errorf("%s: the stopped plan is refused: %s%s", x.why, said, errw)
			}
		}
	}
}

func checkStopped(t *testing.T, why, dir string, sound *record.Plan) {
	t.Helper()
	src, err := os.ReadFile(filepath.Join(dir, "plan.json"))
	if err != nil {
		t.Fatal(err)
	}
	var p record.Plan
	if err := json.Unmarshal(src, &p); err != nil {
		t.Fatalf("%s: %v", why, err)
	}
	off := map[string]int{}
	for _, s := range p.Sessions {
		if s.Status == record.Cancelled {
			off[s.UID] = s.Sequence
		}
	}
	for _, s := range sound.Sessions {
		if n, ok := off[s.UID]; s.Start.String() >= "2027-01-09" && (!ok || n <= s.Sequence) {
			t.Errorf("%s: the session of %s is not called back", why, s.Start)
		}
	}
	ics, err := os.ReadFile(filepath.Join(dir, "calendar.ics"))
	if err != nil {
		t.Fatal(err)
	}
	if n, m := bytes.Count(ics, []byte("BEGIN:VEVENT")), bytes.Count(ics, []byte("STATUS:CANCELLED")); n != m || n == 0 {
		t.Errorf("%s: %d of %d entries are cancelled", why, m, n)
	}
	for _, name := range []string{"calendar.ics", "plan.json", "handout.html", "session.html"} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		if m := regexp.MustCompile(`kgf|as hard as|Hardest|1e60|77777|\b36 `).Find(text); m != nil {
			t.Errorf("%s: %s holds %q", why, name, m)
		}
	}
}

// A calendar of a pack that somebody edited is made anew, of whatever length and time it is, by the list of the run before and by the plan
// alone.
func TestRosterSeesAnEditedCalendar(t *testing.T) {
	b := newPackBench(t)
	for i, name := range []string{"calendar.ics", "handout.html", "session.html", "calendar.ics"} {
		if i == 3 { // without the list of the run before
			if err := os.Remove(filepath.Join(b.packs, "roster.json")); err != nil {
				t.Fatal(err)
			}
		}
		file := filepath.Join(b.pack, name)
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		was, err := os.Stat(file)
		if err != nil {
			t.Fatal(err)
		}
		edited := bytes.Replace(src, []byte("12 kgf"), []byte("92 kgf"), 1)
		if bytes.Equal(edited, src) {
			edited = bytes.Replace(src, []byte("911"), []byte("119"), 1)
		}
		if bytes.Equal(edited, src) {
			t.Fatalf("%s: nothing to edit", name)
		}
		if err := os.WriteFile(file, edited, 0o644); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(file, was.ModTime(), was.ModTime()); err != nil {
			t.Fatal(err)
		}
		code, out, errw := b.roster(beforeStart)
		now, err := os.ReadFile(file)
		if err != nil || code != 0 || !bytes.Equal(now, src) {
			t.Errorf("%s: %d %s%s, made anew: %v", name, code, out, errw, bytes.Equal(now, src))
		}
		if code, out, _ := b.roster(beforeStart); code != 0 || !strings.Contains(out, "unchanged") {
			t.Errorf("%s: a run after it: %d %s", name, code, fmt.Sprint(out))
		}
	}
}
