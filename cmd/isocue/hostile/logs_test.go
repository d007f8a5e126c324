//go:build unix

package hostile

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// heading opens a pressure log; the rows below it are the demo client's days.
const heading = "at,systolic,diastolic,pulse,arm,posture,note\n"

type hostileLog struct {
	name, text string
	code       int
	says       string
}

// logs are what a client's own table may hold, or somebody may have put there. code is how progress ends; says stands in what it
// says. They are made when they are asked for: this binary is started as the program too.
func logs() []hostileLog {
	return []hostileLog{
		{"bom", "\ufeff" + heading + "2027-01-01T07:30,138,85,69,left,sitting,\n", 0, ""},
		{"semicolons", "at;systolic;diastolic;pulse\n2027-01-01T07:30;138,0;85;69\n", 0, ""},
		{"nul", heading + "2027-01-01T07:30,13\x008,85,69,left,sitting,\n", 2, "UTF-8"},
		{"not-utf8", heading + "2027-01-01T07:30,138,85,69,left,sitting,\xff\xfe\n", 0, "not all UTF-8"},
		{"utf16", "\xff\xfea\x00t\x00,\x00", 2, "UTF-8"},
		{"quote-open", heading + "2027-01-01T07:30,138,85,69,left,sitting,\"never closed\n2027-01-01T07:32,136,84,68,left,sitting,\n", 0, "quote"},
		{"formula", heading + "2027-01-01T07:30,138,85,69,left,sitting,=HYPERLINK(\"\"http://evil.example\"\")\n", 0, ""},
		{"formula-number", heading + "2027-01-01T07:30,=138+1,85,69,left,sitting,\n", 0, "systolic"},
		{"huge-number", heading + "2027-01-01T07:30," + strings.Repeat("9", 5000) + ",85,69,left,sitting,\n", 1, "systolic"},
		{"exponent", heading + "2027-01-01T07:30,1e999999999,85,69,left,sitting,\n", 1, "systolic"},
		{"sequence", heading + "2027-01-01T07:30,138,85,69,left,sitting,\x1b[2Jgone\n", 0, ""},
		{"sequence-heading", "at,systolic,diastolic,\x1b]0;gone\x07\n2027-01-01T07:30,138,85,1\n", 0, ""},
		{"direction", heading + "2027-01-01T07:30,138,85,69,left,sitting,a\u202eb\n", 0, ""},
		{"year", heading + "99999-01-01T07:30,138,85,69,left,sitting,\n", 0, "at"},
		{"columns", strings.Repeat("a,", 200_000) + "\n", 2, "200001 headings, allowed: at most"},
		{"columns-below", heading + strings.Repeat("a,", 200_000) + "\n", 1, "time text"},
		{"columns-twice", "at,systolic,systolic,diastolic\n2027-01-01T07:30,138,120,85\n", 0, "not read: column 3"},
		{"rows", heading + strings.Repeat("2027-01-01T07:30,138,85,69,left,sitting,\n", less(19_000)), 0, ""},
		{"rows-more", heading + strings.Repeat("2027-01-01T07:30,138,85,69,left,sitting,\n", 45_000), 1, "more than 20000 rows"},
		{"bad-rows", heading + strings.Repeat("x\n", less(19_000)), 0, ""},
		{"bad-rows-more", heading + strings.Repeat("x\n", 500_000), 1, "more than 20000 rows"},
		{"note", heading + "2027-01-01T07:30,138,85,69,left,sitting," + strings.Repeat("starke Kopfschmerzen ", less(90_000)) + "\n", 1, ""},
		{"note-without", heading + "2027-01-01T07:30,138,85,69,left,sitting," + strings.Repeat("kein Schwindel oder ", less(90_000)) + "\n", 0, ""},
		{"note-nor", heading + "2027-01-01T07:30,138,85,69,left,sitting," + strings.Repeat("weder noch ", less(170_000)) + "\n", 0, ""},
		{"line", heading + strings.Repeat("a", 1_900_000) + "\n", 0, ""},
		{"ten-megabytes", heading + strings.Repeat("a", 10<<20), 1, "2097152 bytes"},
		{"nothing", "", 2, ""},
		{"carriage-returns", "at,systolic,diastolic\r2027-01-01T07:30,138,85\r2027-01-01T07:32,136,84\r", 0, ""},
		{"words-only", "lorem ipsum\n", 2, ""},
		{"bundle-entries", bundleOf(strings.Repeat("{},", 690_000) + "{}"), 1, "more than 60000 entries"},
		{"bundle-entries-allowed", bundleOf(strings.Repeat("\n{},", less(59_000)) + "{}"), 0, "no blood pressure or pulse"},
		{"bundle-deep", bundleOf(strings.Repeat(`{"resource":`, 100_000)), 2, ""},
		{"bundle-deep-lists", bundleOf(strings.Repeat("[", 9_000) + strings.Repeat("]", 9_000)), 2, ""},
		{"bundle-long", bundleOf(`{"resource": {"resourceType": "` + strings.Repeat("never closed ", less(150_000)) + `"}}`), 0, ""},
		{"bundle-names", bundleOf(`{"resource": {"resourceType": "Patient", "name": [{"text": "gone <script>"}]}}`), 0, ""},
		{"bundle-half", `{"resourceType": "Bundle", "entry": [`, 2, ""},
		{"bundle-twice", `{"resourceType": "Bundle", "entry": [], "entry": []}`, 2, "one list"},
		{"fhir-xml", `<?xml version="1.0"?><Bundle xmlns="http://hl7.org/fhir"><type value="gone"/></Bundle>`, 2, "the log is FHIR as XML, allowed: CSV in UTF-8, or a FHIR Bundle as JSON; ask for the Bundle as JSON"},
		{"xml-entities", `<!DOCTYPE x [<!ENTITY a "gone"><!ENTITY b "` + strings.Repeat("&a;", 50_000) + `">]><x>&b;</x>`, 2, "the log is XML"},
		{"page", "<!DOCTYPE html>\n<html><script>gone</script></html>", 2, "the log is a page of the web (HTML)"},
		{"zip", "PK\x03\x04\x14\x00\x00\x00gone", 2, "the log is a spreadsheet in its program's own format, or another zip archive"},
		{"zip-large", "PK\x03\x04" + strings.Repeat("\x00", 10<<20), 2, "another zip archive"},
		{"old-spreadsheet", "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1gone", 2, "a spreadsheet in an old format"},
		{"pdf", "%PDF-1.7\ngone", 2, "the log is a PDF"},
		{"json-list", `[{"systolic": 138, "note": "gone"}]`, 2, "the log is a list in JSON"},
		{"json-other", `{"resourceType": "gone"}`, 2, "JSON and no Bundle"},
		{"markup", heading + "2027-01-01T07:30,138,85,69,left,sitting,</td><script>alert(1)</script>\n", 0, ""},
	}
}

// bundleOf is a Bundle of FHIR with these entries.
func bundleOf(entries string) string { return `{"resourceType": "Bundle", "entry": [` + entries + `]}` }

// A client's table, whatever it holds, is read within the bounds as pressure log and as session log, by progress, by compile and by
// a roster; what is said of it has no control character and no cell that was not a number or a time, and nothing is written beside
// what was asked for.
func TestLogs(t *testing.T) {
	t.Parallel()
	w := &worst{}
	for i, l := range logs() {
		dir := t.TempDir()
		put(t, dir, "plover-12.yaml", text(t, "testdata/demo/client.yaml"))
		put(t, dir, "log.csv", l.text)
		before := listing(t, dir)
		run := func(args ...string) outcome {
			t.Helper()
			o := call{dir: dir, args: append(args, "--now", now)}.run(t)
			label := l.name + ", " + strings.Join(args, " ")
			w.add(label, o)
			if bad := o.bounds(); bad != "" {
				t.Errorf("%s: %s", label, bad)
			}
			for _, cell := range []string{"never closed", "HYPERLINK", "gone", "script"} {
				if strings.Contains(o.out+o.err, cell) {
					t.Errorf("%s: quotes a client's words: %.300s%.300s", label, o.out, o.err)
				}
			}
			return o
		}
		o := run("progress", "--client", "plover-12.yaml", "--log", "log.csv")
		if o.code != l.code || !strings.Contains(o.out+o.err, l.says) {
			t.Errorf("%s: exit code %d, want %d, says %.400q%.400q, want in it %q", l.name, o.code, l.code, o.out, o.err, l.says)
		}
		again := [][]string{
			{"compile", "handgrip-alternating", "--client", "plover-12.yaml", "--start", "2027-01-04", "--log", "log.csv", "--as", "table"},
			{"progress", "--client", "plover-12.yaml", "--log", "log.csv", "--format", "json"},
			{"progress", "--client", "plover-12.yaml", "--log", filepath.Join(root, "testdata/demo/plover-12.log.csv"), "--sessions", "log.csv"},
			{"compile", "handgrip-alternating", "--client", "plover-12.yaml", "--start", "2027-01-04", "--sessions", "log.csv", "--as", "table"},
		}
		if !full { // one in turn
			again = again[i%len(again):][:1]
		}
		for _, args := range again {
			if o := run(args...); o.code == 0 && l.code == 2 && args[0] == "compile" && slices.Contains(args, "--log") {
				t.Errorf("%s: compile passes over a log that cannot be read", l.name)
			}
		}
		if after := listing(t, dir); after != before {
			t.Errorf("%s: something was written:\n%s\nbefore:\n%s", l.name, after, before)
		}
	}
	t.Log(w)
}

// A folder with one sound record among hostile ones, links, pipes and devices: the roster compiles the one, tells of each of the
// others, and writes nothing outside the pack.
func TestRosterOfStrangers(t *testing.T) {
	t.Parallel()
	dir, clients := t.TempDir(), ""
	clients = filepath.Join(dir, "clients")
	put(t, clients, "plover-12.yaml", text(t, "testdata/demo/client.yaml"))
	files, err := filepath.Glob(filepath.Join(root, "testdata", "hostile", "*"))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for i, file := range files {
		if !full && i%4 != 0 {
			continue
		}
		b, err := os.ReadFile(file)
		if err == nil {
			err = os.WriteFile(filepath.Join(clients, filepath.Base(file)), b, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
		n++
	}
	sound := text(t, "testdata/demo/client.yaml")
	for id, name := range map[string]string{"../up": "up.yaml", "/etc/x": "root.yaml", "con": "con.yaml", "wren-3": "again.yaml"} {
		put(t, clients, name, strings.Replace(sound, "id: plover-12", fmt.Sprintf("id: %q", id), 1))
	}
	for name, to := range map[string]string{"zero.yaml": "/dev/zero", "passwd.yaml": "/etc/passwd"} {
		if err := os.Symlink(to, filepath.Join(clients, name)); err != nil {
			t.Fatal(err)
		}
	}
	o := call{dir: dir, args: []string{"roster", "handgrip-alternating", "--clients", "clients", "--start", "2027-01-04", "--pack", "pack", "--now", now}}.run(t)
	if o.code != 1 {
		t.Errorf("exit code %d\n%.2000s%.2000s", o.code, o.out, o.err)
	}
	if o.peak > maxMB {
		t.Errorf("%d MB", o.peak)
	}
	csv, err := os.ReadFile(filepath.Join(dir, "pack", "roster.csv"))
	if err != nil {
		t.Fatal(err)
	}
	rows := string(csv)
	if got := strings.Count(rows, "\n"); got < n {
		t.Errorf("the roster has %d lines for %d files", got, n)
	}
	for _, r := range rows {
		if r < ' ' && r != '\n' && r != '\r' || r == '\u202e' || r == '\u009b' {
			t.Errorf("the roster holds a control character %q", r)
		}
	}
	for _, made := range []string{"pack/plover-12/plan.json", "pack/plover-12/calendar.ics"} {
		if _, err := os.Stat(filepath.Join(dir, made)); err != nil {
			t.Errorf("the sound client has no %s\n%.2000s", made, o.err)
		}
	}
	es, err := os.ReadDir(dir)
	if err != nil || len(es) != 2 {
		t.Errorf("beside clients and pack there is something: %v %v", es, err)
	}
	t.Logf("%d files, %d MB", n, o.peak)
}
