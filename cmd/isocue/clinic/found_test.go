package clinic

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/report"
)

// draft is a file that a person wrote, and what it is called at first.
type draft struct{ id, end, text string }

// sound stands in every folder, so that none is empty.
var sound = draft{"sound", ".yaml", "id: sound\ntitle: Sound\nrevision: 1\nmodality: slow-breathing\nbreath: {inhaleSeconds: 5, exhaleSeconds: 5}\n" +
	"minutesPerSession: 10\nsessionsPerDay: 1\ndaysPerWeek: 7\nweeks: 8\n"}

// way calls a file otherwise, or puts it elsewhere. Each keeps what stands in it.
type way struct {
	name string
	why  string
	do   func(r *rand.Rand, f draft) (name string)
}

var ways = []way{
	{"capitals of the ending", "systems write either", func(_ *rand.Rand, f draft) string { return f.id + strings.ToUpper(f.end) }},
	{"capitals of the name", "so do people", func(_ *rand.Rand, f draft) string { return strings.ToUpper(f.id) + f.end }},
	{"mixed case", "a phone's first capital", func(_ *rand.Rand, f draft) string {
		return strings.ToUpper(f.id[:1]) + f.id[1:] + strings.ToUpper(f.end[:2]) + f.end[2:]
	}},
	{"another name", "a record is known by its id", func(r *rand.Rand, f draft) string { return fmt.Sprintf("%08x", r.Uint32()) + f.end }},
	{"another order", "the order of files decides nothing", func(r *rand.Rand, f draft) string {
		return fmt.Sprintf("%d-", r.IntN(1000)) + f.id + f.end
	}},
	{"a folder below", "somebody sorts them", func(r *rand.Rand, f draft) string {
		return filepath.Join(fmt.Sprintf("sub%d", r.IntN(4)), f.id+f.end)
	}},
	{"spaces and letters of elsewhere", "names of people", func(_ *rand.Rand, f draft) string { return "Zoë Ångström " + f.id + f.end }},
	{"a copy's name that is read", "a browser's download in place of the file", func(_ *rand.Rand, f draft) string { return f.id + " (1)" + f.end }},
	{"a copy's name that is not read", "a sync program's", func(_ *rand.Rand, f draft) string { return f.id + f.end + ".sync-conflict-20270101" }},
	{"an ending hidden", "a system's", func(_ *rand.Rand, f draft) string { return f.id + f.end + ".txt" }},
	{"no ending", "a person's", func(_ *rand.Rand, f draft) string { return f.id }},
	{"a backup's name", "an editor's", func(_ *rand.Rand, f draft) string { return f.id + f.end + "~" }},
}

// drawn makes records and protocols, some of which the rules refuse.
func drawn(t *testing.T, r *rand.Rand, eng *compiler.Compiler, n int) (out []draft) {
	t.Helper()
	demo, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	swap := func(s string, pairs ...string) string {
		for i := 0; i < len(pairs); i += 2 {
			if r.IntN(3) == 0 {
				s = strings.ReplaceAll(s, pairs[i], pairs[i+1])
			}
		}
		return s
	}
	for i := range n {
		id := fmt.Sprintf("drawn-%d", i)
		text := strings.Replace(string(demo), "plover-12", id, 1)
		text = swap(text, `fainted-lately: "no"`, `fainted-lately: "yes"`, "systolic: 13", "systolic: 18", "born: 1971", "born: 2015", `ill-now: "no"`, `ill-now: "unanswered"`,
			"zone: America/Halifax", "zone: Nowhere", "trials: [38.5, 40.0, 39.5]", "trials: [38.5, 20.0, 39.5]", "[38.5", "[[38.5")
		out = append(out, draft{id, ".yaml", text})
		from := eng.Standard(eng.StandardIDs()[i%len(eng.StandardIDs())])
		pid := fmt.Sprintf("ours-%d", i)
		text = strings.ReplaceAll(string(from.Source), from.Protocols[0].Record.ID, pid)
		out = append(out, draft{pid, ".cue", swap(text, "fraction: 0.30", "fraction: 0.90", "daysPerWeek: 3", "daysPerWeek: 9", "weeks:", "weks:", "holdSeconds: 120", "holdSeconds: 900")})
	}
	return out
}

// lay writes files under the names that a way gives them, in a folder of its own.
func lay(t *testing.T, r *rand.Rand, all []draft, w *way) (dir string, names map[string]string) {
	t.Helper()
	dir, names = t.TempDir(), map[string]string{}
	for i, f := range append(all[:len(all):len(all)], sound) {
		name := f.id + f.end
		if w != nil && i < len(all) {
			name = w.do(r, f)
		}
		name = filepath.Join(dir, name)
		names[f.id] = name
		err := os.MkdirAll(filepath.Dir(name), 0o700)
		if err == nil {
			err = os.WriteFile(name, []byte(f.text), 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return dir, names
}

func judging(eng *compiler.Compiler) *Judging {
	front := Front{Engine: func() *compiler.Compiler { return eng }, Say: func(string, ...any) {}}
	return &Judging{Front: front, Under: eng, Now: time.Date(2027, 1, 3, 21, 0, 0, 0, time.UTC)}
}

// answers are the findings about each file, by its name, without the name.
func answers(fs []finding.Finding) map[string]string {
	lines := map[string][]string{}
	for _, f := range fs {
		lines[f.Pos.File] = append(lines[f.Pos.File], fmt.Sprintf("%d:%d %s %s %s", f.Pos.Line, f.Pos.Column, f.Verdict, f.Rule, f.Path))
	}
	out := map[string]string{}
	for name, l := range lines {
		slices.Sort(l)
		out[name] = strings.Join(slices.Compact(l), "\n")
	}
	return out
}

// Law: whatever a file is called and wherever in the folder it stands, lint says of it what it says under its own name, or names it as
// one that was not looked at. Nothing is silent, and nothing is milder.
func TestNamesDecideNothing(t *testing.T) {
	eng, err := compiler.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(7, 11))
	all := drawn(t, r, eng, sample(100))
	lint := func(dir string) (*Judging, map[string]string) {
		j := judging(eng)
		j, err := j.Begin(j.Now, Places{Folders: []string{dir}}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := j.Lint(Lint{Named: []string{dir}}); err != nil {
			t.Fatal(err)
		}
		return j, answers(j.Found)
	}
	dir, names := lay(t, r, all, nil)
	_, want := lint(dir)
	if len(want) < len(all)*2/5 {
		t.Fatalf("only %d of %d files have a finding: the law would hold of nothing", len(want), len(all))
	}
	for _, w := range ways {
		dir, now := lay(t, r, all, &w)
		j, got := lint(dir)
		same, told := 0, 0
		for _, f := range all {
			at := now[f.id]
			switch says := got[at]; {
			case j.Files[at] != nil && says == want[names[f.id]]:
				same++
			case j.Files[at] == nil && (strings.Contains(says, string(finding.Malformed)) || namedIn(j.Passed, at)):
				told++
			default:
				t.Errorf("%s (%s): of %s is said\n%s\nand under its own name\n%s", w.name, w.why, at, says, want[names[f.id]])
			}
		}
		if same+told != len(all) || same > 0 && told > 0 {
			t.Errorf("%s: %d the same, %d told", w.name, same, told)
		}
	}
}

func namedIn(ps []report.Passed, name string) bool {
	return slices.ContainsFunc(ps, func(p report.Passed) bool { return p.Named && p.File == filepath.ToSlash(name) })
}

// Law: a log that closes training closes it under whatever name it stands beside its record, or is named as one that nobody read.
func TestNamesOfLogsDecideNothing(t *testing.T) {
	eng, err := compiler.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(5, 3))
	demo, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	const log = "at,systolic,diastolic\n2027-01-03T07:00,206,126\n2027-01-03T07:02,205,125\n"
	var records, logs []draft
	for i := range sample(20) {
		id := fmt.Sprintf("drawn-%d", i)
		records = append(records, draft{id, ".yaml", strings.Replace(string(demo), "plover-12", id, 1)})
		logs = append(logs, draft{id, logEnd, log})
	}
	for _, w := range append([]way{{name: "its own name", do: func(_ *rand.Rand, f draft) string { return f.id + f.end }}}, ways...) {
		dir, _ := lay(t, r, records, nil)
		now := map[string]string{}
		for _, f := range logs {
			now[f.id] = filepath.Join(dir, w.do(r, f))
			if err := cmp.Or(os.MkdirAll(filepath.Dir(now[f.id]), 0o700), os.WriteFile(now[f.id], []byte(f.text), 0o600)); err != nil {
				t.Fatal(err)
			}
		}
		j := judging(eng)
		j.Files = map[string]*load.File{}
		out, err := j.Today(Rooms{Clients: dir})
		if err != nil {
			t.Fatal(err)
		}
		if len(out.Clients) != len(records) {
			t.Errorf("%s: %d clients", w.name, len(out.Clients))
		}
		for _, s := range out.Clients {
			id := strings.TrimSuffix(filepath.Base(s.File), ".yaml")
			file := filepath.ToSlash(now[id])
			named := namedIn(out.Passed, now[id]) || slices.ContainsFunc(out.Trouble, func(p report.Passed) bool { return p.File == file }) ||
				slices.ContainsFunc(s.Matters, func(m progress.Matter) bool { return filepath.ToSlash(m.File) == file })
			switch {
			case s.Matters[0].Need.Rings():
			case named:
			default:
				t.Errorf("%s: the log %s is passed over in silence", w.name, file)
			}
		}
		if !out.Calls() {
			t.Errorf("%s: nobody is to be rung", w.name)
		}
	}
}

// full is set by the tag full; the quick check takes a quarter.
var full bool

func sample(n int) int {
	if full {
		return n
	}
	return n / 4
}
