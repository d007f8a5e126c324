// Command mutants shows that the tests have teeth: it breaks the program in one place at a time, as list.txt says, and runs the tests
// of every package that depends on the broken one until one of them fails. The files themselves are not touched: the go command
// reads the mutant in place of a file.
//
//	go run ./.ci/mutants                  all of them, against the quick check
//	go run ./.ci/mutants -sample 6        six of them, spread over the list
//	go run ./.ci/mutants -find            builds none: each must still be found
//	go run ./.ci/mutants -only 'waiver' -tags full -skip 'Browser|Readers|ByAnother|Vet|Editor'
//
// It ends with 1 where a mutant survives that the list does not say survives, does not build, or is no longer found.
package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

func main() {
	in := flag.String("in", ".", "the checkout whose program is broken")
	list := flag.String("list", filepath.Join(".ci", "mutants", "list.txt"), "the mutants")
	sample := flag.Int("sample", 0, "how many, spread over the list; 0 is all")
	only := flag.String("only", "", "a regular expression for what the mutants break")
	tags := flag.String("tags", "", "tags of the tests, such as full")
	skip := flag.String("skip", "", "tests to leave out, as of go test -skip")
	find := flag.Bool("find", false, "only look whether each is found in the program")
	flag.Parse()
	if err := run(*in, *list, *only, *tags, *skip, *sample, *find); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(in, list, only, tags, skip string, sample int, find bool) error {
	text, err := os.ReadFile(list)
	if err != nil {
		return err
	}
	wanted, err := regexp.Compile(only)
	if err != nil {
		return err
	}
	all, err := parse(string(text))
	if err != nil {
		return err
	}
	all = slices.DeleteFunc(all, func(m mutant) bool { return !wanted.MatchString(m.breaks) })
	if sample > 0 && sample < len(all) {
		some := make([]mutant, sample)
		for i := range some {
			some[i] = all[i*len(all)/sample]
		}
		all = some
	}
	if len(all) == 0 {
		return fmt.Errorf("no mutant to try")
	}
	p, err := program(in, tags, skip)
	if err != nil {
		return err
	}
	count, bad := map[string]int{}, 0
	for _, m := range all {
		at, v := p.find(m)
		if find && v.word == "" {
			continue
		}
		if v.word == "" {
			v = p.try(m, at)
		}
		count[v.word]++
		mark := ""
		if v.word != killed && (m.survives == "" || v.word != survived) {
			bad++
			mark = "!! "
		}
		fmt.Printf("%s%s: %s%s\n", mark, m.breaks, v.word, v.how)
		if v.word == survived && m.survives != "" {
			fmt.Printf("   as the list says: %s\n", m.survives)
		}
	}
	if find {
		fmt.Printf("%d mutants, %d not found\n", len(all), bad)
	} else {
		fmt.Printf("%d mutants: %d killed, %d survived, %d of no use\n", len(all), count[killed], count[survived], count[useless])
	}
	if bad > 0 {
		return fmt.Errorf("%d mutants are not as the list says", bad)
	}
	return nil
}

// mutant is one of the list.
type mutant struct {
	breaks, old, new string
	survives         string // why the quick check lets it live, "" where it must not
}

// parse reads the list: what a mutant breaks, lines from "- " that stand in the program, lines from "+ " in their place, and perhaps
// one from "~ " that says why it survives; an empty line after each.
func parse(text string) (out []mutant, err error) {
	for block := range strings.SplitSeq(text, "\n\n") {
		var m mutant
		var old, new []string
		for line := range strings.Lines(block) {
			line = strings.TrimSuffix(line, "\n")
			switch {
			case strings.HasPrefix(line, "#"), line == "":
			case strings.HasPrefix(line, "-"):
				old = append(old, strings.TrimPrefix(line[1:], " "))
			case strings.HasPrefix(line, "+"):
				new = append(new, strings.TrimPrefix(line[1:], " "))
			case strings.HasPrefix(line, "~ "):
				m.survives = line[2:]
			default:
				m.breaks += line
			}
		}
		if m.breaks == "" && len(old) == 0 {
			continue
		}
		if m.old, m.new = strings.Join(old, "\n"), strings.Join(new, "\n"); m.breaks == "" || m.old == "" || m.old == m.new {
			return nil, fmt.Errorf("a mutant lacks what it breaks, or changes nothing: %q", block)
		}
		out = append(out, m)
	}
	return out, nil
}

// What became of a mutant.
const (
	killed   = "killed"
	survived = "survived"
	useless  = "of no use"
)

type verdict struct{ word, how string }

// checkout is the program that is broken.
type checkout struct {
	dir, tags, skip string
	files           map[string]string   // Go files without tests, by full name
	tested          []string            // packages with tests, those with fewer packages beneath them first
	beneath         map[string][]string // what a package's tests are linked with
	pkg             map[string]string   // folder -> package
}

func program(dir, tags, skip string) (*checkout, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	c := &checkout{dir: abs, tags: tags, skip: skip, files: map[string]string{}, beneath: map[string][]string{}, pkg: map[string]string{}}
	out, err := c.golang("list", "-test", "-tags", tags, "-f", "{{.ImportPath}}\t{{.Dir}}\t{{join .Deps \" \"}}\t{{join .GoFiles \" \"}}", "./...").Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	for line := range strings.Lines(string(out)) {
		f := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		switch path, isTest := strings.CutSuffix(f[0], ".test"); {
		case isTest:
			c.tested = append(c.tested, path)
			for d := range strings.FieldsSeq(f[2]) {
				c.beneath[path] = append(c.beneath[path], d)
			}
		case !strings.Contains(f[0], " "):
			c.pkg[f[1]] = path
			for name := range strings.FieldsSeq(f[3]) {
				b, err := os.ReadFile(filepath.Join(f[1], name))
				if err != nil {
					return nil, err
				}
				c.files[filepath.Join(f[1], name)] = string(b)
			}
		}
	}
	slices.SortStableFunc(c.tested, func(a, b string) int { return len(c.beneath[a]) - len(c.beneath[b]) })
	return c, nil
}

func (c *checkout) golang(args ...string) *exec.Cmd {
	cmd := exec.Command("go", args...)
	cmd.Dir = c.dir
	return cmd
}

// find is the file in which a mutant's text stands, which must be one and once.
func (c *checkout) find(m mutant) (at string, v verdict) {
	n := 0
	for name, text := range c.files {
		if k := strings.Count(text, m.old); k > 0 {
			at, n = name, n+k
		}
	}
	if n != 1 {
		return "", verdict{useless, fmt.Sprintf(": its text stands %d times in the program, allowed: once", n)}
	}
	return at, verdict{}
}

// try builds a mutant and lets the tests at it: those of its own package first.
func (c *checkout) try(m mutant, at string) verdict {
	dir, err := os.MkdirTemp("", "mutant")
	if err != nil {
		return verdict{useless, ": " + err.Error()}
	}
	defer os.RemoveAll(dir)
	broken, overlay := filepath.Join(dir, filepath.Base(at)), filepath.Join(dir, "overlay.json")
	about, err := json.Marshal(map[string]any{"Replace": map[string]string{at: broken}})
	if err == nil {
		err = os.WriteFile(broken, []byte(strings.Replace(c.files[at], m.old, m.new, 1)), 0o600)
	}
	if err == nil {
		err = os.WriteFile(overlay, about, 0o600)
	}
	if err != nil {
		return verdict{useless, ": " + err.Error()}
	}
	own := c.pkg[filepath.Dir(at)]
	run := func(args ...string) (string, error) {
		cmd := c.golang(args...)
		cmd.Env = append(os.Environ(), "GOFLAGS=-overlay="+overlay) // for a go command that a test runs too
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := run("build", own); err != nil {
		return verdict{useless, ": it does not build\n" + out}
	}
	tried := 0
	for _, pkg := range append([]string{own}, c.tested...) {
		if pkg == own && (tried > 0 || !slices.Contains(c.tested, own)) || pkg != own && !slices.Contains(c.beneath[pkg], own) {
			continue
		}
		tried++
		args := []string{"test", "-vet=off", "-count=1", "-failfast", "-timeout=20m", "-tags", c.tags}
		if c.skip != "" {
			args = append(args, "-skip", c.skip)
		}
		if out, err := run(append(args, pkg)...); err != nil {
			by := "its tests end in an error: " + out[:min(len(out), 400)]
			if f := regexp.MustCompile(`--- FAIL: (\S+)`).FindAllStringSubmatch(out, -1); f != nil {
				by = f[len(f)-1][1]
			} else if strings.Contains(out, "panic: ") {
				by = "a panic"
			}
			return verdict{killed, " by " + strings.TrimPrefix(pkg, "isocue.example/") + " " + by}
		}
	}
	return verdict{survived, fmt.Sprintf(" the tests of %d packages", tried)}
}
