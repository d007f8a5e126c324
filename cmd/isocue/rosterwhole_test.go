package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"isocue.example/cmd/isocue/cli"
)

// rosterDesk is a folder with records of the demo scenario, by id, and the run over it.
type rosterDesk struct {
	t              *testing.T
	clients, packs string
	demo           string
}

func newRosterDesk(t *testing.T, ids ...string) rosterDesk {
	t.Helper()
	demo, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	d := rosterDesk{t, filepath.Join(dir, "clients"), filepath.Join(dir, "packs"), string(demo)}
	if err := os.Mkdir(d.clients, 0o700); err != nil {
		t.Fatal(err)
	}
	for _, id := range ids {
		d.keep(filepath.Join(d.clients, id+".yaml"), strings.ReplaceAll(d.demo, "plover-12", id))
	}
	return d
}

func (d rosterDesk) keep(name, text string) {
	d.t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		d.t.Fatal(err)
	}
}

func (d rosterDesk) read(name string) string {
	d.t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		d.t.Fatal(err)
	}
	return string(b)
}

// run is one run on a day of January 2027; what it prints must match each pattern.
func (d rosterDesk) run(code, day int, wants ...string) string {
	d.t.Helper()
	got, out, errw := run("roster", "handgrip-alternating", "--clients", d.clients, "--start", "2027-01-04",
		"--now", fmt.Sprintf("2027-01-%02dT21:00:00Z", day), "--pack", d.packs)
	if got != code {
		d.t.Fatalf("exit %d, want %d\n%s%s", got, code, out, errw)
	}
	for _, want := range wants {
		if !regexp.MustCompile("(?m)" + want).MatchString(out) {
			d.t.Fatalf("does not say %s:\n%s%s", want, out, errw)
		}
	}
	return out
}

// A file of a pack that is gone, cut, or changed in place is made anew and named, though nothing of the client changed; with and
// without the list of the run before. One that somebody else put there stays.
func TestRosterMakesBrokenFilesAnew(t *testing.T) {
	d := newRosterDesk(t, "plover-12")
	d.run(cli.ExitOK, 3, "^1 client: 1 compiled")
	pack := filepath.Join(d.packs, "plover-12")
	calendar, page := filepath.Join(pack, "calendar.ics"), filepath.Join(pack, "session.html")
	ics, html := d.read(calendar), d.read(page)
	later := time.Now().Add(time.Minute) // a hand that edits comes later than the run's clock can tell
	for _, lose := range []bool{false, true} {
		for what, harm := range map[string]func(){
			"calendar.ics was not as isocue wrote it": func() { d.keep(calendar, ics[:len(ics)/2]) },
			"session.html was missing": func() {
				if err := os.Remove(page); err != nil {
					t.Fatal(err)
				}
			},
			"session.html was not as isocue wrote it": func() {
				d.keep(page, html[:len(html)-2]+"!\n")
				if err := os.Chtimes(page, later, later); err != nil {
					t.Fatal(err)
				}
			},
		} {
			harm()
			if lose {
				os.Remove(filepath.Join(d.packs, "roster.json"))
			}
			d.run(cli.ExitOK, 3, "^compiled: plover-12: "+what+" and is made anew$", "^1 client: 1 compiled")
			if d.read(calendar) != ics || d.read(page) != html {
				t.Errorf("%s: not the same again", what)
			}
			d.run(cli.ExitOK, 3, "^1 client: 1 unchanged")
		}
	}
	if err := os.Chtimes(calendar, later, later); err != nil { // a copy of the same bytes is no damage
		t.Fatal(err)
	}
	d.run(cli.ExitOK, 3, "^1 client: 1 unchanged")
	d.keep(calendar, "somebody's own\n")
	d.run(cli.ExitRefused, 3, "^failed: .*calendar.ics is there and was not written by isocue, allowed: another name, or --force")
	if d.read(calendar) != "somebody's own\n" {
		t.Error("a file that isocue did not write was overwritten")
	}
}

// The cautions of a client who is left alone are counted where the list of the run before is gone, too.
func TestRosterCountsCautionsWithoutItsList(t *testing.T) {
	d := newRosterDesk(t, "plover-12")
	d.run(cli.ExitOK, 3, "^1 client: 1 compiled")
	row := regexp.MustCompile(`(?m)^plover-12,.*,(\d+),[^,]*\r?$`)
	was := row.FindStringSubmatch(d.read(filepath.Join(d.packs, "roster.csv")))
	if was == nil || was[1] == "0" {
		t.Fatalf("the demo client has no caution: %q", was)
	}
	if err := os.Remove(filepath.Join(d.packs, "roster.json")); err != nil {
		t.Fatal(err)
	}
	d.run(cli.ExitOK, 5, "^1 client: 1 unchanged")
	if got := row.FindStringSubmatch(d.read(filepath.Join(d.packs, "roster.csv"))); got == nil || got[1] != was[1] {
		t.Errorf("cautions %q, want %q", got, was)
	}
}

// A pack of nobody on the list is told by the id of its plan while it may be trained by, and by nothing of its folder's name; other
// folders are not.
func TestRosterTellsWhoIsOffTheList(t *testing.T) {
	d := newRosterDesk(t, "plover-12", "wren-3", "heron-07")
	if out := d.run(cli.ExitOK, 3, "^3 clients: 3 compiled"); strings.Contains(out, "not on this list") {
		t.Error(out)
	}
	for _, name := range []string{"notes", "Wren-3"} {
		if err := os.Mkdir(filepath.Join(d.packs, name), 0o700); err != nil {
			t.Fatal(err)
		}
		d.keep(filepath.Join(d.packs, name, "plan.json"), "{\"client\": \"somebody\"}")
	}
	if err := os.Remove(filepath.Join(d.clients, "wren-3.yaml")); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(d.packs, "heron-07"), filepath.Join(d.packs, "Dara Old")); err != nil {
		t.Fatal(err)
	}
	was := d.read(filepath.Join(d.packs, "wren-3", "plan.json"))
	out := d.run(cli.ExitOK, 5, `^not on this list, and an earlier plan may be trained by: heron-07 \(in a folder of another name\), wren-3; to end one`, "^2 clients: 1 compiled, 1 unchanged")
	list := d.read(filepath.Join(d.packs, "roster.json"))
	if strings.Contains(out+list, "Dara") || strings.Contains(list, "somebody") || !regexp.MustCompile(`"unlisted": \[\s*\{\s*"id": "heron-07",\s*"renamed": true\s*\},\s*\{\s*"id": "wren-3"\s*\}`).MatchString(list) {
		t.Error(out, list)
	}
	if d.read(filepath.Join(d.packs, "wren-3", "plan.json")) != was {
		t.Error("a pack of nobody on the list was touched")
	}
	d.keep(filepath.Join(d.clients, "broken.yaml"), "screening: [\n")
	d.run(cli.ExitRefused, 5, "^not on this list, unless of one whose record could not be read, and ")
	if err := os.Remove(filepath.Join(d.clients, "broken.yaml")); err != nil {
		t.Fatal(err)
	}
	d.keep(filepath.Join(d.clients, "plover-12.yaml"), "id: plover-12\nscreening: [\n") // broken, but known whose
	if out := d.run(cli.ExitRefused, 5); strings.Contains(out, ", plover-12") || strings.Contains(out, "unless") {
		t.Error(out)
	}
	d.keep(filepath.Join(d.clients, "plover-12.yaml"), d.demo)
	pack := filepath.Join(d.packs, "wren-3")
	if code, out, errw := run("compile", "--previous", filepath.Join(pack, "plan.json"), "--stop", "2027-01-08", "--now", "2027-01-06T21:00:00Z", "--pack", pack); code != cli.ExitOK {
		t.Fatal(out, errw)
	}
	if out := d.run(cli.ExitOK, 6, "heron-07"); strings.Contains(out, "wren-3") {
		t.Error(out)
	}
	// a course that is over is nobody's to train by; the record is too old by then, which is another matter
	if _, out, errw := run("roster", "handgrip-alternating", "--clients", d.clients, "--start", "2027-01-04", "--now", "2028-01-04T09:00:00Z", "--pack", d.packs); !strings.Contains(out, "2 clients: ") || strings.Contains(out, "not on this list") {
		t.Error(out, errw)
	}
}

// A plan that was cut off fails its client, and one that is gone beside its calendar is begun anew: both are told.
func TestRosterTellsOfBrokenPlans(t *testing.T) {
	d := newRosterDesk(t, "plover-12")
	d.run(cli.ExitOK, 3, "^1 client: 1 compiled")
	name := filepath.Join(d.packs, "plover-12", "plan.json")
	plan := d.read(name)
	d.keep(name, plan[:len(plan)/2])
	d.run(cli.ExitRefused, 3, "^failed: .*plan.json: not a plan that isocue wrote")
	d.keep(name, plan)
	d.run(cli.ExitOK, 3, "^1 client: 1 unchanged")
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	d.run(cli.ExitOK, 3, "^compiled: plover-12: plan.json was missing beside calendar.ics: the plan begins anew", "^1 client: 1 compiled")
}
