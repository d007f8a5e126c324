//go:build unix

package hostile

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// line is one command line with what it makes: files below the folder that it runs in.
type line struct {
	args  string
	code  int
	stdin string
	makes []string
}

// lines have every verb, and of the verbs that write every kind of output. They run one after the other in the scene below.
var lines = []line{
	{"lint handgrip-alternating", 0, "", nil},
	{"lint files clients --for handgrip-alternating --now " + now, 1, "", nil},
	{"lint files --format json", 1, "", nil},
	{"lint files --format sarif", 1, "", nil},
	{"lint files --format github", 1, "", nil},
	{"lint files --format junit --timings", 1, "", nil},
	{"lint - --stdin-filename a.cue", 1, "files/unsafe.cue", nil},
	{"lint files --policy house.cue --waivers forgiven.cue --fail-on caution", 1, "", nil},
	{"lint files --record ledger.jsonl --by B", 1, "", []string{"ledger.jsonl"}},
	{"lint handgrip-start --record ledger.jsonl", 0, "", []string{"ledger.jsonl"}},
	{"lint gone.cue", 2, "", nil},
	{"compile handgrip-alternating slow-breathing-even --client clients/plover-12.yaml --start 2027-01-04 --now " + now, 0, "", nil},
	{"compile handgrip-alternating --client clients/plover-12.yaml --start 2027-01-04 --as table --now " + now, 0, "", nil},
	{"compile handgrip-alternating --client - --start 2027-01-04 --as csv --now " + now, 0, "clients/plover-12.yaml", nil},
	{"compile handgrip-alternating --client clients/plover-12.yaml --start 2027-01-04 -o a.ics --now " + now, 0, "", []string{"a.ics"}},
	{"compile handgrip-alternating --client clients/plover-12.yaml --start 2027-01-04 -o a.json --gather --remind 10 --now " + now, 0, "", []string{"a.json"}},
	{"compile handgrip-alternating --client clients/plover-12.yaml --start 2027-01-04 --pack packs/plover-12 --closed closed.txt --record ledger.jsonl --now " + now, 0, "",
		[]string{"ledger.jsonl", "packs", "packs/plover-12", "packs/plover-12/calendar.ics", "packs/plover-12/handout.html", "packs/plover-12/plan.json", "packs/plover-12/session.html"}},
	{"compile handgrip-alternating --client clients/plover-12.yaml --previous packs/plover-12/plan.json --pause 2027-02-01..2027-02-04 --pack packs/plover-12 --now " + now, 0, "",
		[]string{"packs/plover-12", "packs/plover-12/calendar.ics", "packs/plover-12/handout.html", "packs/plover-12/plan.json", "packs/plover-12/session.html"}},
	{"compile --previous packs/plover-12/plan.json --stop 2027-02-08 --pack packs/plover-12 --now " + now, 0, "",
		[]string{"packs/plover-12", "packs/plover-12/calendar.ics", "packs/plover-12/handout.html", "packs/plover-12/plan.json", "packs/plover-12/session.html"}},
	{"compile handgrip-alternating --client clients/plover-12.yaml --start 2027-01-04 --log clients/plover-12.log.csv --sessions clients/plover-12.sessions.csv -o c.ics --now " + now, 0, "", []string{"c.ics"}},
	{"compile files/unsafe.cue --client clients/plover-12.yaml --start 2027-01-04 -o b.ics --now " + now, 1, "", nil},
	{"progress --client clients/plover-12.yaml --log clients/plover-12.log.csv --sessions clients/plover-12.sessions.csv --plan a.json --now " + now, 0, "", nil},
	{"progress --client clients/plover-12.yaml --log clients/plover-12.log.csv --report followed.html --letter letter.html --now " + now, 0, "", []string{"followed.html", "letter.html"}},
	{"progress --client clients/plover-12.yaml --log clients/plover-12.log.csv --report followed.json --format json --now " + now, 0, "", []string{"followed.json"}},
	{"today clients --now " + now, 0, "", nil},
	{"roster handgrip-alternating --clients clients --start 2027-01-04 --pack roster --now " + now, 0, "",
		[]string{"roster", "roster/plover-12", "roster/plover-12/calendar.ics", "roster/plover-12/handout.html", "roster/plover-12/plan.json", "roster/plover-12/session.html", "roster/roster.csv", "roster/roster.json"}},
	{"enter clients/plover-12.yaml ill fever --by B --now " + now, 0, "", []string{"clients", "clients/plover-12.diary.yaml"}},
	{"enter clients/plover-12.yaml well --by B --now " + now, 0, "", []string{"clients/plover-12.diary.yaml"}},
	{"enter clients/plover-12.yaml condition none-such --by B --now " + now, 1, "", nil},
	{"today clients --now " + now, 0, "", nil},
	{"compare handgrip-alternating handgrip-start", 0, "", nil},
	{"compare handgrip-alternating files/unsafe.cue --format json", 0, "", nil},
	{"explain grip-load-ceiling", 0, "", nil},
	{"rules --format json", 0, "", nil},
	{"rules --modality handgrip", 0, "", nil},
	{"protocols", 0, "", nil},
	{"protocols handgrip-start", 0, "", nil},
	{"ledger ledger.jsonl", 0, "", nil},
	{"ledger --format json", 0, "", nil},
	{"new protocol ours.cue", 0, "", []string{"ours.cue"}},
	{"new client heron-07.yaml", 0, "", []string{"heron-07.yaml"}},
	{"new client -", 0, "", nil},
	{"new rule clinic-ours.cue", 0, "", []string{"clinic-ours.cue"}},
	{"version", 0, "", nil},
	{"completion bash", 0, "", nil},
	{"completion zsh", 0, "", nil},
	{"completion fish", 0, "", nil},
	{"completion powershell", 0, "", nil},
	{"__complete lint handgrip-al", 0, "", nil},
	{"help", 0, "", nil},
	{"help compile", 0, "", nil},
	{"lnit", 2, "", nil},
}

// scene makes the folder that the lines run in.
func scene(t testing.TB, dir string) {
	t.Helper()
	put(t, dir, "files/unsafe.cue", text(t, "testdata/demo/unsafe.cue"))
	put(t, dir, "files/percent.yaml", text(t, "testdata/demo/percent.yaml"))
	put(t, dir, "clients/plover-12.yaml", text(t, "testdata/demo/client.yaml"))
	put(t, dir, "clients/plover-12.log.csv", text(t, "testdata/demo/plover-12.log.csv"))
	put(t, dir, "clients/plover-12.sessions.csv", text(t, "testdata/demo/plover-12.sessions.csv"))
	put(t, dir, "house.cue", "reviewers: [\"B\"]\nlimits: \"grip-load-ceiling\": ceiling: 0.50\n")
	put(t, dir, "forgiven.cue", "waivers: []\n")
	put(t, dir, "closed.txt", "2027-01-18\n")
}

// play runs a line in a folder.
func (l line) play(t testing.TB, dir string, env ...string) outcome {
	t.Helper()
	c := call{dir: dir, args: strings.Fields(l.args), env: env}
	if l.stdin != "" {
		c.stdin = filepath.Join(dir, l.stdin)
	}
	o := c.run(t)
	if o.code != l.code {
		t.Errorf("%s: exit code %d, want %d\n%s%s", l.args, o.code, l.code, o.out, o.err)
	}
	return o
}

// Every verb that help lists is among the lines, so that what is shown of the lines is shown of every verb.
func TestEveryVerb(t *testing.T) {
	o := plain(t, t.TempDir(), 0, "help")
	_, list, ok := strings.Cut(o.out, "Available Commands:\n")
	if !ok {
		t.Fatal(o.out)
	}
	list, _, _ = strings.Cut(list, "\n\n")
	n := 0
	for _, m := range regexp.MustCompile(`(?m)^  ([a-z]+) `).FindAllStringSubmatch(list, -1) {
		if n++; m[1] != "publish" && !slices.ContainsFunc(lines, func(l line) bool { return strings.HasPrefix(l.args+" ", m[1]+" ") }) {
			t.Errorf("no line has %s", m[1])
		}
	}
	if n < 10 {
		t.Errorf("help lists %d verbs", n)
	}
}

// Nothing is left outside the folders that a verb was given, with an empty environment, and with one whose places must not be
// written and stay as they were. What a verb makes is what it was told to make. The quick check gives the places to every eighth.
func TestNothingLeftBehind(t *testing.T) {
	t.Parallel()
	for _, given := range []bool{false, true} {
		if !full && !given {
			continue
		}
		dir, err := os.MkdirTemp(filepath.Dir(program), "left")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		work := filepath.Join(dir, "scene")
		scene(t, work)
		var env []string
		if given {
			for _, v := range []string{"HOME", "TMPDIR", "TMP", "TEMP", "XDG_CACHE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR", "CUE_CACHE_DIR", "CUE_CONFIG_DIR", "GOCACHE", "GOTMPDIR", "APPDATA", "LOCALAPPDATA"} {
				place := filepath.Join(dir, "ambient", v)
				if err := os.MkdirAll(place, 0o700); err != nil {
					t.Fatal(err)
				}
				if err := os.Chmod(place, 0o555); err != nil {
					t.Fatal(err)
				}
				env = append(env, v+"="+place)
			}
			env = append(env, "CUE_DEBUG=http", "CUE_REGISTRY=evil.example", "GOTRACEBACK=crash")
		}
		for i, l := range lines {
			before, env := files(t, dir), env
			if !full && i%8 > 0 {
				env = nil
			}
			if o := l.play(t, work, env...); o.bounds() != "" {
				t.Errorf("%s: %s", l.args, o.bounds())
			}
			for name, now := range files(t, dir) {
				if was := before[name]; was != now && !slices.Contains(l.makes, strings.TrimPrefix(name, "/scene/")) && name != "/scene" {
					t.Errorf("%s: made or changed %s", l.args, name)
				}
				delete(before, name)
			}
			for name := range before {
				t.Errorf("%s: removed %s", l.args, name)
			}
			for _, m := range l.makes {
				if fi, err := os.Stat(filepath.Join(work, m)); err != nil {
					t.Errorf("%s: did not make %s", l.args, m)
				} else if fi.Mode().Perm()&0o077 != 0 {
					t.Errorf("%s: %s can be read by others: %v", l.args, m, fi.Mode())
				}
			}
		}
	}
}

// files is the listing by name.
func files(t testing.TB, dir string) map[string]string {
	out := map[string]string{}
	for _, l := range strings.Split(strings.TrimSpace(listing(t, dir)), "\n") {
		name, rest, _ := strings.Cut(l, " ")
		out[name] = rest
	}
	return out
}

// What docs/security.md says of erasing a client: with the record, the pack and what else was compiled for the client gone, the
// name stands nowhere, and the id in the ledger alone. The calendar never had either.
func TestErasing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	scene(t, dir)
	for _, l := range lines {
		l.play(t, dir)
	}
	holders := func(word string) (out []string) {
		for name := range files(t, dir) {
			b, err := os.ReadFile(filepath.Join(dir, name))
			if err == nil && strings.Contains(strings.ReplaceAll(string(b), "\r\n ", ""), word) { // a calendar folds its lines anywhere
				out = append(out, strings.TrimPrefix(name, "/"))
			}
		}
		slices.Sort(out)
		return out
	}
	for word, want := range map[string]string{
		"Quill": "clients/plover-12.yaml letter.html roster/plover-12/handout.html",
		// the coach's, for a first squeeze that fails
		"+1 555 0142": "a.ics a.json c.ics clients/plover-12.yaml packs/plover-12/calendar.ics packs/plover-12/plan.json packs/plover-12/session.html roster/plover-12/calendar.ics roster/plover-12/plan.json roster/plover-12/session.html",
		"plover-12":   "a.json clients/plover-12.yaml followed.html followed.json ledger.jsonl letter.html packs/plover-12/handout.html packs/plover-12/plan.json roster/plover-12/plan.json roster/roster.csv roster/roster.json",
	} {
		if got := strings.Join(holders(word), " "); got != want {
			t.Errorf("%q stands in %s, want %s", word, got, want)
		}
	}
	for _, gone := range []string{"clients/plover-12.yaml", "clients/plover-12.log.csv", "clients/plover-12.sessions.csv", "clients/plover-12.diary.yaml", "packs/plover-12", "roster/plover-12",
		"a.ics", "a.json", "c.ics", "followed.html", "followed.json", "letter.html"} {
		if err := os.RemoveAll(filepath.Join(dir, gone)); err != nil {
			t.Fatal(err)
		}
	}
	put(t, dir, "clients/lark-03.yaml", strings.Replace(strings.Replace(text(t, "testdata/demo/client.yaml"), "plover-12", "lark-03", 1), "Dara Quill", "Another", 1))
	l := line{"roster handgrip-alternating --clients clients --start 2027-01-04 --pack roster --now " + now, 0, "", nil} // the client's lines go with the next run
	l.play(t, dir)
	if left := holders("plover-12"); !slices.Equal(left, []string{"ledger.jsonl"}) {
		t.Errorf("the id is left in %v", left)
	}
	for _, reading := range []string{"Quill", "Dara", "38.5", "systolic", "kgf"} {
		left := slices.DeleteFunc(holders(reading), func(name string) bool { return strings.Contains(name, "lark-03") || name == "heron-07.yaml" })
		if len(left) > 0 {
			t.Errorf("%q is left in %v", reading, left)
		}
	}
}
