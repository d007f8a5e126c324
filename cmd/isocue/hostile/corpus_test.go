//go:build unix

package hostile

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// a way is one verb, with one hostile file in one place of its command line.
type way struct {
	name string
	args func(file string) []string
	// findings says that what is wrong with the file is a finding, so that the exit code is 1; elsewhere it is 2.
	findings bool
	// writes is the place that a sound file makes it write to.
	writes string
}

var ways = []way{
	{"lint", func(f string) []string { return []string{"lint", f} }, true, ""},
	{"lint --for", func(f string) []string { return []string{"lint", demo(), "--for", f, "--now", now} }, true, ""},
	{"lint --format sarif", func(f string) []string { return []string{"lint", f, "--format", "sarif"} }, true, ""},
	{"lint --format junit", func(f string) []string { return []string{"lint", f, "--format", "junit"} }, true, ""},
	{"lint --format github", func(f string) []string { return []string{"lint", f, "--format", "github"} }, true, ""},
	{"lint --format json", func(f string) []string { return []string{"lint", f, "--format", "json"} }, true, ""},
	{"lint --policy", func(f string) []string { return []string{"lint", "handgrip-alternating", "--policy", f} }, true, ""},
	{"lint --waivers", func(f string) []string { return []string{"lint", "handgrip-alternating", "--waivers", f} }, true, ""},
	{"compile", func(f string) []string {
		return []string{"compile", f, "--client", demo(), "--start", "2027-01-04", "--now", now, "--pack", "pack"}
	}, true, "pack"},
	{"compile --client", func(f string) []string {
		return []string{"compile", "handgrip-alternating", "--client", f, "--start", "2027-01-04", "--now", now, "-o", "a.ics"}
	}, true, ""},
	{"compile --previous", func(f string) []string {
		return []string{"compile", "handgrip-alternating", "--client", demo(), "--previous", f, "--now", now, "-o", "a.ics"}
	}, false, ""},
	{"compile --stop", func(f string) []string {
		return []string{"compile", "--previous", f, "--stop", "2027-02-01", "--now", now, "-o", "a.ics"}
	}, false, "a.ics"},
	{"compile --closed", func(f string) []string {
		return []string{"compile", "--why", "handgrip-alternating", "--client", demo(), "--start", "2027-01-04", "--closed", f, "--now", now, "-o", "a.ics"}
	}, false, "a.ics"},
	{"compare", func(f string) []string { return []string{"compare", f, "handgrip-alternating"} }, false, ""},
	{"protocols", func(f string) []string { return []string{"protocols", f} }, false, ""},
	{"ledger", func(f string) []string { return []string{"ledger", f} }, false, ""},
	{"lint --record", func(f string) []string {
		return []string{"lint", "handgrip-alternating", "--record", f, "--by", "B"}
	}, false, ""},
}

func demo() string { return filepath.Join(root, "testdata", "demo", "client.yaml") }

// worst collects what the runs of a test took.
type worst struct {
	mu         sync.Mutex
	runs, peak int
	cpu        time.Duration
	wide, slow string
}

func (w *worst) add(name string, o outcome) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.runs++
	if o.cpu > w.cpu {
		w.cpu, w.slow = o.cpu, name
	}
	if o.peak > w.peak {
		w.peak, w.wide = o.peak, name
	}
}

func (w *worst) String() string {
	return fmt.Sprintf("%d runs; the longest took %.2f s of the processor (%s), the most memory was %d MB (%s)", w.runs, w.cpu.Seconds(), w.slow, w.peak, w.wide)
}

// attempt is one input on one way.
type attempt struct {
	way
	file, form, says string
	sound, stdin     bool
}

// check runs an attempt in a folder of its own and holds it to the law of this package: it ends within the bounds, says what is
// wrong in the right place with the right exit code, and writes nothing.
func (a attempt) check(t *testing.T, w *worst) {
	name := filepath.Base(a.file)
	dir, err := os.MkdirTemp(filepath.Dir(program), "run")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	a.into(t, filepath.Join(dir, name))
	c := call{dir: dir, args: a.args("./" + name)}
	if a.stdin {
		c.stdin, c.args = a.file, []string{"lint", "-", "--stdin-filename", name}
	}
	before := listing(t, dir)
	o := c.run(t)
	label := fmt.Sprintf("%s, %s", name, a.name)
	w.add(label, o)
	if bad := o.bounds(); bad != "" {
		t.Errorf("%s: %s", label, bad)
	}
	if a.writes != "" && o.code == 0 {
		if err := os.RemoveAll(filepath.Join(dir, a.writes)); err != nil {
			t.Error(err)
		}
	}
	if after := listing(t, dir); after != before {
		t.Errorf("%s: wrote something:\n%s\nbefore:\n%s", label, after, before)
	}
	said := o.out
	if strings.HasPrefix(a.name, "compile") || a.name == "compare" {
		if said = o.err; o.code != 0 && o.out != "" {
			t.Errorf("%s: refused, with %q on standard output", label, o.out[:min(len(o.out), 100)])
		}
	}
	judged := a.name == "lint" || a.name == "compile" || a.name == "compile --closed" && a.form == "days" || a.name == "lint --policy" && a.form == "policy"
	switch {
	case a.sound && judged && o.code != 0:
		t.Errorf("%s: exit code %d for a sound file\n%s%s", label, o.code, o.out, o.err)
	case !a.sound && a.findings && o.code != 1, !a.sound && !a.findings && a.name != "ledger" && o.code != 2 && !a.may(o):
		t.Errorf("%s: exit code %d\n%.300s%.300s", label, o.code, o.out, o.err)
	case !a.sound && a.findings && !strings.Contains(said, "malformed") && !strings.Contains(said, "unsafe") && !strings.Contains(said, "::error"):
		t.Errorf("%s: says %.300q", label, said)
	}
	if a.name == "lint" && !strings.Contains(said, a.says) {
		t.Errorf("%s: says %.400q, want in it %q", label, said, a.says)
	}
}

// may says that an input of these may end so, where others may not: closing days, read as they stand, may leave no day to train
// on; a stop works from what it can read; a protocol that rules refuse may be printed, and compared.
func (a attempt) may(o outcome) bool {
	if o.code == 1 && strings.Contains(o.err, "isocue: malformed: ") && strings.Contains(o.err, ", allowed: at most ") {
		return true // a bound was exceeded
	}
	switch a.name {
	case "compile --stop": // nothing stops a stop: what the client has is called back from whatever can be read of the plan
		return o.code == 0 && strings.Contains(o.err, "this plan cannot be trusted")
	case "compile --closed":
		return a.form == "days" && o.code == 1 && (strings.Contains(o.err, "[plan-empty]") || strings.Contains(o.err, "[bounds]"))
	case "protocols", "compare":
		name := filepath.Base(a.file)
		return o.code == 0 && (name == "hard-ramp.cue" || name == "many-protocols.cue")
	}
	return false
}

// into puts the file into place: a copy, so that whatever a run does to it is seen and does no harm, or where it is too large to
// copy again and again, a second name of the same.
func (a attempt) into(t *testing.T, name string) {
	t.Helper()
	fi, err := os.Stat(a.file)
	if err != nil {
		t.Fatal(err)
	}
	if fi.Size() > 1<<20 {
		if err := os.Link(a.file, name); err != nil {
			t.Fatal(err)
		}
		return
	}
	b, err := os.ReadFile(a.file)
	if err == nil {
		err = os.WriteFile(name, b, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// each runs attempts on all processors.
func each(t *testing.T, as []attempt, w *worst) {
	next := make(chan attempt)
	var wg sync.WaitGroup
	for range runtime.NumCPU() {
		wg.Go(func() {
			for a := range next {
				a.check(t, w)
			}
		})
	}
	for _, a := range as {
		next <- a
	}
	close(next)
	wg.Wait()
	t.Log(w)
}

// TestCorpus gives every file of testdata/hostile to lint, by name and by standard input, and to the other verbs, some in turn or all.
func TestCorpus(t *testing.T) {
	var as []attempt
	seen := map[string]bool{}
	files, err := filepath.Glob(filepath.Join(root, "testdata", "hostile", "*"))
	if err != nil {
		t.Fatal(err)
	}
	for i, file := range files {
		name, form, _ := strings.Cut(filepath.Base(file), ".")
		k := slices.IndexFunc(kinds, func(k struct {
			name, why, says string
			in              map[string]string
		}) bool {
			return k.name == name
		})
		if k < 0 || kinds[k].why == "" {
			t.Errorf("%s is not told of in this test, or not why it is there", file)
			continue
		}
		seen[name] = true
		a := attempt{file: file, form: form, says: kinds[k].says}
		if s, ok := kinds[k].in[form]; ok {
			a.says = s
		}
		a.sound = a.says == ""
		as = append(as, attempts(a, i)...)
	}
	for _, k := range kinds {
		if !seen[k.name] {
			t.Errorf("testdata/hostile has no %s", k.name)
		}
	}
	each(t, as, &worst{})
	if len(files) < 200 || len(as) < 2*len(files) {
		t.Errorf("only %d runs with %d files", len(as), len(files))
	}
}

// attempts is one input on its ways: lint, and one other in turn, or all; standard input is one of them.
func attempts(a attempt, i int) (out []attempt) {
	for n, w := range ways {
		if w.name == "lint --record" && strings.HasPrefix(filepath.Base(a.file), "empty.") {
			continue // an empty file is a ledger without a line
		}
		if a.way = w; n == 0 || full || n == i%len(ways) {
			out = append(out, a)
		}
	}
	if full || i%len(ways) == 0 || i%3 == 0 {
		a.way, a.stdin = ways[0], true
		out = append(out, a)
	}
	return out
}

// TestMade does the same with inputs that are made for it, each in every form that can carry it. They are the slow ones, so the
// quick check takes one form of each and one way.
func TestMade(t *testing.T) {
	dir, err := os.MkdirTemp(filepath.Dir(program), "made")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	var as []attempt
	w := &worst{}
	for i, m := range makers {
		if m.why == "" {
			t.Errorf("%s: not told why", m.name)
		}
		forms := strings.Fields(m.forms)
		if !full {
			forms = forms[i%len(forms):][:1]
		}
		for _, form := range forms {
			ending := map[string]string{"plan": "json", "days": "txt", "ledger": "jsonl", "policy": "cue"}[form]
			a := attempt{file: filepath.Join(dir, m.name+"-"+form+"."+ending), form: form, sound: m.sound}
			if ending == "" {
				a.file = filepath.Join(dir, m.name+"."+form)
			}
			m.file(t, a.file, form)
			switch form {
			case "cue", "yaml", "json":
				if full {
					as = append(as, attempts(a, i)...)
				} else {
					a.way = ways[i%2*(i/2%10)] // every other one lint, else one in turn of those that take such a file
					as = append(as, a)
				}
				continue
			}
			for _, x := range ways {
				if slices.Contains(map[string][]string{"plan": {"compile --previous", "compile --stop"}, "days": {"compile --closed"},
					"ledger": {"ledger", "lint --record"}, "policy": {"lint --policy"}}[form], x.name) {
					a.way = x
					as = append(as, a)
				}
			}
		}
	}
	each(t, as, w)
	if least := map[bool]int{true: 150, false: len(makers)}[full]; len(as) < least {
		t.Errorf("only %d runs", len(as))
	}
}
