package compiler

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// reader is a program or library that reads calendars.
type reader struct {
	name    string
	version string // "" for one that go.mod pins
	read    func(*testing.T, []written) [][]reading
}

// full says that the tag full is given; its counts are those of `.ci/run`.
var full bool

// outsideDir is the folder that .ci/readers/install made, which ISOCUE_READERS names. The tag full asks for it; "" without the tag,
// where the outside readers have no part.
var outsideDir = func(testing.TB) string { return "" }

// readers are two in every run, and the outside ones.
func readers(t testing.TB) []reader {
	out := []reader{{"ours", "", readOurs}, {"golang-ical", "", readGolangICal}}
	if dir := outsideDir(t); dir != "" {
		for _, p := range outside(dir) {
			out = append(out, reader{p.name, p.version, p.events})
		}
	}
	return out
}

// program is an outside reader that prints what it read.
type program struct {
	name, version string
	refuses       int      // of the seeded defects
	command       []string // python is Debian's, where its packages are
}

func outside(dir string) []program {
	return []program{
		{"libical", "3.0.16", 22, []string{filepath.Join(dir, "read")}},
		{"ical.js", "2.2.1", 14, []string{"node", filepath.Join(dir, "read.mjs")}},
		{"python-icalendar", "4.0.3", 15, []string{"/usr/bin/python3", filepath.Join(dir, "read.py"), "icalendar"}},
		{"vobject", "0.9.6.1", 26, []string{"/usr/bin/python3", filepath.Join(dir, "read.py"), "vobject"}},
	}
}

// run gives the lines that the program prints after the one with its version.
func (p program) run(t *testing.T, args ...string) [][]byte {
	t.Helper()
	cmd := exec.Command(p.command[0], append(p.command[1:len(p.command):len(p.command)], args...)...)
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", p.name, err, complaint.Bytes())
	}
	lines := bytes.Split(bytes.TrimSuffix(out, []byte("\n")), []byte("\n"))
	var about struct{ Reader, Version string }
	if err := json.Unmarshal(lines[0], &about); err != nil || about.Reader != p.name || about.Version != p.version {
		t.Errorf("the reader says it is %+v (%v); %s %s was compared last", about, err, p.name, p.version)
	}
	return lines[1:]
}

func (p program) events(t *testing.T, ws []written) [][]reading {
	dir, args := t.TempDir(), []string{"events"}
	at := map[string]int{} // file -> index
	for i, w := range ws {
		name := filepath.Join(dir, w.name+".ics")
		if err := os.WriteFile(name, w.text, 0o600); err != nil {
			t.Fatal(err)
		}
		at[name] = i
		args = append(args, name)
	}
	out := make([][]reading, len(ws))
	for _, l := range p.run(t, args...) {
		var r reading
		if err := json.Unmarshal(l, &r); err != nil {
			t.Fatalf("%s: %v: %s", p.name, err, l)
		}
		i, ok := at[r.Calendar]
		if !ok {
			t.Fatalf("%s: an event of no file: %s", p.name, l)
		}
		r.Calendar = ""
		out[i] = append(out[i], r)
	}
	return out
}

// escapedTwice is how python-icalendar 4 reads s: it undoes escapes in the content line, by way of percent codes, and
// then once more in the value, each kind after the other (icalendar/parser.py, escape_string and unescape_char). So a
// backslash or a percent code in a text is lost. Nothing that we write of our own has one.
func escapedTwice(s string) string {
	s = strings.NewReplacer(`\`, `\\`, ",", `\,`, ";", `\;`, "\n", `\n`).Replace(s) // as it stands in the file
	for _, step := range [][2]string{{`\,`, "%2C"}, {`\:`, "%3A"}, {`\;`, "%3B"}, {`\\`, "%5C"}, {"%2C", ","}, {"%3A", ":"}, {"%3B", ";"}, {"%5C", `\`},
		{`\N`, `\n`}, {`\n`, "\n"}, {`\,`, ","}, {`\;`, ";"}, {`\\`, `\`}} {
		s = strings.ReplaceAll(s, step[0], step[1])
	}
	return s
}

// Every reader agrees with the plan on every event of every calendar: its start (what the clock shows, and the moment),
// its end, title, description, UID, sequence and status.
func TestReadersAgreeWithPlan(t *testing.T) {
	ws := compiled(t)
	ours := readOurs(t, ws)
	n, statuses := 0, map[string]int{}
	for i, w := range ws {
		n += len(ours[i])
		tail := ""
		for _, c := range w.plan.Cautions {
			tail += "\n" + w.as(c.Text)
		}
		for _, r := range ours[i] {
			statuses[fmt.Sprint(r.Status, " day ", r.Until != "")]++
			if !strings.HasSuffix(r.Description, tail) || len(r.Description) < len(tail)+20 {
				t.Errorf("%s %s: the description is %q, want at its end %q", w.name, r.UID, r.Description, tail)
			}
		}
	}
	if len(statuses) != 6 {
		t.Errorf("sessions and days are %v, want three statuses of each", statuses)
	}
	for _, r := range readers(t) {
		t.Run(r.name, func(t *testing.T) {
			start := time.Now()
			got := r.read(t, ws)
			for i, w := range ws {
				want := w.wanted(t)
				for j := range min(len(want), len(ours[i])) {
					want[j].Description = ours[i][j].Description
					if x := &want[j]; r.name == "python-icalendar" {
						if w.name != "hostile" && escapedTwice(x.Summary+x.Description) != x.Summary+x.Description {
							t.Errorf("%s %s: a text of ours that this reader garbles: %q %q", w.name, x.UID, x.Summary, x.Description)
						}
						x.Summary, x.Description = escapedTwice(x.Summary), escapedTwice(x.Description)
					}
				}
				if d := cmp.Diff(want, got[i]); d != "" {
					t.Errorf("%s of %s (-want +got):\n%s", w.name, w.plan.Zone, d)
				}
			}
			t.Logf("%s %s: %d events of %d calendars in %d ms", r.name, r.version, n, len(ws), time.Since(start).Milliseconds())
			if r.version != "" {
				takesZoneOfFile(t, r, ws[slices.IndexFunc(ws, func(w written) bool { return w.name == "lisbon" })])
			}
		})
	}
	if full {
		t.Run("calcurse", func(t *testing.T) { imports(t, ws) })
	}
}

// takesZoneOfFile: what an outside reader makes of a start comes from the calendar's own VTIMEZONE, not from data of the
// machine. With an hour more of summer in the file, it reads the sessions of summer an hour earlier; so a wrong zone of
// ours would show.
func takesZoneOfFile(t *testing.T, r reader, w written) {
	moved := w
	moved.text = bytes.Replace(w.text, []byte("TZOFFSETFROM:+0000\r\nTZOFFSETTO:+0100"), []byte("TZOFFSETFROM:+0000\r\nTZOFFSETTO:+0200"), 1)
	if bytes.Equal(moved.text, w.text) {
		t.Fatal("the calendar has no summer time")
	}
	got, want, summer := r.read(t, []written{moved})[0], w.wanted(t), 0
	for i := range w.plan.Sessions {
		if w.offset(t, i) != 0 {
			summer++
			want[i].Start -= 3600
		}
		if got[i].Start != want[i].Start || got[i].Wall != want[i].Wall {
			t.Errorf("%s: session %d starts at %d, %s, want %d, %s", r.name, i, got[i].Start, got[i].Wall, want[i].Start, want[i].Wall)
		}
	}
	if summer < 20 {
		t.Errorf("%d sessions in summer", summer)
	}
}

const calcurse = "4.7.1"

// imports: a calendar program for the terminal imports every event, and passes over none.
func imports(t *testing.T, ws []written) {
	start := time.Now()
	about, err := exec.Command("calcurse", "--version").Output()
	if err != nil || !bytes.Contains(about, []byte("calcurse "+calcurse+" ")) {
		t.Errorf("calcurse says it is %q (%v); %s was compared last", about, err, calcurse)
	}
	n := 0
	for _, w := range ws {
		dir, file := t.TempDir(), filepath.Join(t.TempDir(), w.name+".ics")
		if err := os.WriteFile(file, w.text, 0o600); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command("calcurse", "-q", "-D", dir, "-C", dir, "-i", file).CombinedOutput(); err != nil || len(out) > 0 {
			t.Fatalf("%s: %v: %s", w.name, err, out)
		}
		b, err := os.ReadFile(filepath.Join(dir, "apts"))
		if err != nil {
			t.Fatal(err)
		}
		got, want := bytes.Count(b, []byte("\n")), len(w.plan.Sessions)+len(w.plan.Others)
		if got != want {
			t.Errorf("%s: %d events imported of %d", w.name, got, want)
		}
		n += got
	}
	t.Logf("calcurse %s: %d events of %d calendars in %d ms", calcurse, n, len(ws), time.Since(start).Milliseconds())
}
