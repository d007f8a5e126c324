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

// kinds says of every file in testdata/hostile, by its name without the ending, why it is there and what is said of it; "" where
// it is a sound protocol, whose hostile text is only text. in says it by the ending, where notations differ.
var kinds = []struct {
	name, why, says string
	in              map[string]string
}{
	{"aliases", "nine of nine of nine", "the anchor &a is not data", nil},
	{"aliases-of-itself", "a list inside itself", "the anchor &a is not data", nil},
	{"attribute-if", "CUE drops the whole file in silence", "an attribute is not data", nil},
	{"attribute-tag", "a value from the command line", "attribute @tag(weeks) is not data", nil},
	{"bidi-comment", "a comment that reads as something else", "a comment holds the control character U+202E", nil},
	{"bidi-note", "text that is shown turned round", "note is \"A\\u202eB\", allowed: one line of text", nil},
	{"bidi-raw", "the same as a bare character", "title is \"So\\u202ednu\", allowed: one line of text", nil},
	{"bidi-title", "text that is shown turned round", "title is \"A\\u202eB\", allowed: one line of text", nil},
	{"bom", "a mark that readers show, skip or refuse", "file starts with a byte order mark, allowed: UTF-8 without one", nil},
	{"carriage-return", "lines as old machines end them", "", map[string]string{"cue": "cannot be read as CUE", "json": "", "yaml": "line ends with U+000D"}},
	{"command-text", "commands of a workflow's log", "", nil},
	{"comment", "a comment in JSON", "cannot be read as JSON", nil},
	{"constraint", "a bound is no value", "a constraint (<=…) is not data", nil},
	{"control-c1-note", "a terminal's sequence in one character", "note is \"A\\u009b31mB\", allowed: one line of text", nil},
	{"control-c1-title", "a terminal's sequence in one character", "title is \"A\\u009b31mB\", allowed: one line of text", nil},
	{"control-note", "a terminal's sequence", "note is \"A\\x1b]0;gone\\aB\", allowed: one line of text", nil},
	{"control-title", "a terminal's sequence", "title is \"A\\x1b]0;gone\\aB\", allowed: one line of text", nil},
	{"deep", "records in records", "nested deeper than 16 levels", nil},
	{"deep-indent", "records in records, by indentation", "nested deeper than 16 levels", nil},
	{"deep-list", "lists in lists", "nested deeper than 16 levels", nil},
	{"deep-names", "names in a row", "nested deeper than 16 levels", nil},
	{"default", "a default is a choice", "an operation is not data", nil},
	{"directive", "a tag of somebody's own", "cannot be read as YAML: cannot unmarshal tag", nil},
	{"documents", "a second document, with other weeks", "stands where a field is allowed", nil},
	{"embed", "another file's content", "an attribute is not data", nil},
	{"empty", "nothing", "file is empty", nil},
	{"entity-text", "markup that stands for a control character", "", nil},
	{"escape-raw", "a bare escape character", "", map[string]string{"cue": "title is \"So\\x1b[2Jund\", allowed: one line of text", "json": "cannot be read as JSON", "yaml": "control characters are not allowed"}},
	{"experiment", "another language", "an attribute is not data", nil},
	{"explosive-choices", "a choice of sixteen million", "#C0 is a hidden field or a definition", nil},
	{"explosive-cycle", "a record inside itself", "a reference is not data", nil},
	{"explosive-lists", "a list of 2^128", "a comprehension (for or if) is not data", nil},
	{"explosive-loops", "a hundred million numbers", "import \"list\" is not allowed", nil},
	{"explosive-pattern", "every field, and every field of it", "a list or pattern is not a field name", nil},
	{"explosive-repeat", "a text of two gigabytes", "import \"strings\" is not allowed", nil},
	{"explosive-sort", "a million texts", "import \"list\" is not allowed", nil},
	{"explosive-text", "a text of 2^40", "a text with \\( ) is not data", nil},
	{"extern", "code", "an attribute is not data", nil},
	{"format-text", "verbs of programs that print", "", nil},
	{"formula-at-text", "a spreadsheet's command", "", nil},
	{"formula-minus-text", "a spreadsheet's sum", "", nil},
	{"formula-text", "a spreadsheet's link", "", nil},
	{"half", "the beginning of a file", "", map[string]string{"cue": "stands where a field is allowed", "json": "cannot be read as JSON", "yaml": "cannot be read as YAML"}},
	{"hidden", "fields that do not show", "_weeks is a hidden field or a definition", nil},
	{"ics-text", "a calendar's own signs", "", nil},
	{"id-absolute", "a path in place of an id", "id is \"/etc/passwd\", allowed: an id", nil},
	{"id-backslash", "a path of Windows", "id is \"..\\\\up\", allowed: an id", nil},
	{"id-dollar", "a variable", "id is \"$HOME\", allowed: an id", nil},
	{"id-dots", "the folder above", "id is \"..\", allowed: an id", nil},
	{"id-drive", "a drive", "id is \"C:up\", allowed: an id", nil},
	{"id-hidden", "a hidden file", "id is \".profile\", allowed: an id", nil},
	{"id-long", "a name that no file can have", "id is \"aaaa", nil},
	{"id-newline", "two lines", "id is \"a\\nb\", allowed: an id", nil},
	{"id-nothing", "no name", "id is \"\", allowed: an id", nil},
	{"id-parent", "two folders up", "id is \"../../up\", allowed: an id", nil},
	{"id-percent", "a path in disguise", "id is \"%2e%2e%2f\", allowed: an id", nil},
	{"id-space", "two words", "id is \"a b\", allowed: an id", nil},
	{"id-stream", "a stream of Windows", "id is \"a:b\", allowed: an id", nil},
	{"id-tilde", "somebody's own folder", "id is \"~root\", allowed: an id", nil},
	{"id-upper", "one name to some file systems, two to others", "id is \"UP\", allowed: an id", nil},
	{"import-exec", "a command", "import \"tool/exec\" is not allowed", nil},
	{"import-file", "another file", "import \"tool/file\" is not allowed", nil},
	{"import-foreign", "somebody's module", "import \"evil.example/x\" is not allowed", nil},
	{"import-near", "a module that is nearly ours", "import \"isocue.example/schema2\" is not allowed", nil},
	{"import-network", "a web page", "import \"tool/http\" is not allowed", nil},
	{"import-relative", "a folder beside", "import \"./up\" is not allowed", nil},
	{"isolate-note", "text that is shown in another order", "note is \"A\\u2066B\\u2069\", allowed: one line of text", nil},
	{"isolate-title", "text that is shown in another order", "title is \"A\\u2066B\\u2069\", allowed: one line of text", nil},
	{"line-break-note", "a line of a calendar", "note is \"A\\nEND:VEVENT\\nBEGIN:VEVENT\", allowed: one line of text", nil},
	{"line-break-title", "a line of a calendar", "title is \"A\\nEND:VEVENT\\nBEGIN:VEVENT\", allowed: one line of text", nil},
	{"line-separator-note", "a line's end to some", "note is \"A\\u2028B\", allowed: one line of text", nil},
	{"line-separator-title", "a line's end to some", "title is \"A\\u2028B\", allowed: one line of text", nil},
	{"markup-text", "markup of pages and of XML", "", nil},
	{"merge", "weeks from elsewhere", "the anchor &a is not data", nil},
	{"merge-of-itself", "the reader beneath never ends", "the anchor &a is not data", nil},
	{"next-line", "a line's end to some", "", map[string]string{"cue": "cannot be read as CUE", "json": "cannot be read as JSON", "yaml": "line ends with U+0085"}},
	{"not-utf8", "a byte that is no text", "byte 0xff is not UTF-8 text", nil},
	{"nul", "the end of a text to some", "file holds a NUL byte", nil},
	{"number-binary", "three hundred binary digits", "number is longer than 24 characters", nil},
	{"number-digits", "four hundred digits", "", map[string]string{"cue": "number is longer than 24 characters", "json": "number is longer than 24 characters", "yaml": "weeks is \"1000000000"}},
	{"number-endless", "minus infinity", "Inf is not a number", nil},
	{"number-exponent", "a billion digits", "", map[string]string{"cue": "exponent of 1e999999999 is out of range", "json": "exponent of 1e999999999 is out of range", "yaml": "weeks is \"1e999999999\", allowed: a whole number"}},
	{"number-fraction", "four hundred decimals", "number is longer than 24 characters", nil},
	{"number-none", "not a number", "NaN is not a number", nil},
	{"number-sixty", "a number in sixties, to some", "weeks is \"1:30:00\", allowed: a whole number", nil},
	{"number-small", "a billion decimals", "exponent of 1e-999999999 is out of range", nil},
	{"number-suffix", "an exbi", "cannot be read as CUE", nil},
	{"open", "a record that takes more", "… is not data", nil},
	{"optional", "a field that vanishes", "the marker ? makes a constraint", nil},
	{"overlong", "a full stop in two bytes", "byte 0xc0 is not UTF-8 text", nil},
	{"quotes-text", "quotes", "", nil},
	{"second", "a second document", "cannot be read as JSON", nil},
	{"secret", "a file of somebody else's", "file has none of the fields that tell its kind", nil},
	{"shell-text", "a shell's own signs", "", nil},
	{"spaces", "nothing that shows", "file is empty", nil},
	{"sql-text", "a database's own signs", "", nil},
	{"surrogate", "half a character", "byte 0xed is not UTF-8 text", nil},
	{"tag-binary", "bytes", "'hello' is bytes", nil},
	{"tag-code", "a call in another language", "title is a list, allowed: one line of text", nil},
	{"trailing", "a comma too many", "cannot be read as JSON", nil},
	{"twice", "one field with two values", "field \"weeks\" is written twice", nil},
	{"twice-equal", "one field twice", "field \"weeks\" is written twice", nil},
	{"twice-merged", "one record in two halves", "field \"load\" is written twice", nil},
	{"two-kinds", "a protocol that is a client record and waivers too", "measured is not a field here", nil},
	{"utf16", "text in units of two bytes", "byte 0xff is not UTF-8 text", nil},
	{"yes-and-no", "a word that is a truth value to some", "", nil},
}

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
	}, false, ""},
	{"compile --closed", func(f string) []string {
		return []string{"compile", "handgrip-alternating", "--client", demo(), "--start", "2027-01-04", "--closed", f, "--now", now, "-o", "a.ics"}
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
	mu              sync.Mutex
	runs            int
	cpu, clock      time.Duration
	peak            int
	slow, wide, lag string
}

func (w *worst) add(name string, o outcome) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.runs++
	if o.cpu > w.cpu {
		w.cpu, w.slow = o.cpu, name
	}
	if o.clock > w.clock {
		w.clock, w.lag = o.clock, name
	}
	if o.peak > w.peak {
		w.peak, w.wide = o.peak, name
	}
}

func (w *worst) String() string {
	return fmt.Sprintf("%d runs; the longest took %.2f s of the processor (%s), by the clock %.2f s (%s); the most memory was %d MB (%s)",
		w.runs, w.cpu.Seconds(), w.slow, w.clock.Seconds(), w.lag, w.peak, w.wide)
}

// all says that every input goes every way, as .ci/run wants it; else each goes a few, in turn.
func all() bool { return os.Getenv("ISOCUE_HOSTILE") == "all" }

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
// on; a protocol that rules refuse may be printed, and compared.
func (a attempt) may(o outcome) bool {
	switch a.name {
	case "compile --closed":
		return a.form == "days" && o.code == 1 && strings.Contains(o.err, "[plan-empty]")
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
	if len(files) < 200 || len(as) < 3*len(files) {
		t.Errorf("only %d runs with %d files", len(as), len(files))
	}
}

// attempts is one input on its ways: lint by name and by standard input, and one other in turn, or all.
func attempts(a attempt, i int) (out []attempt) {
	for n, w := range ways {
		if w.name == "lint --record" && strings.HasPrefix(filepath.Base(a.file), "empty.") {
			continue // an empty file is a ledger without a line
		}
		if a.way = w; n == 0 || all() || n == 1+i%(len(ways)-1) {
			out = append(out, a)
		}
	}
	a.way, a.stdin = ways[0], true
	return append(out, a)
}

// TestMade does the same with inputs that are made for it, each in every form that can carry it.
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
		for _, form := range strings.Fields(m.forms) {
			ending := map[string]string{"plan": "json", "days": "txt", "ledger": "jsonl", "policy": "cue"}[form]
			a := attempt{file: filepath.Join(dir, m.name+"-"+form+"."+ending), form: form, sound: m.sound}
			if ending == "" {
				a.file = filepath.Join(dir, m.name+"."+form)
			}
			m.file(t, a.file, form)
			switch form {
			case "cue", "yaml", "json":
				as = append(as, attempts(a, i)...)
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
	if len(as) < 200 {
		t.Errorf("only %d runs", len(as))
	}
}
