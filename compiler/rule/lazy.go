package rule

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"
	"sync"

	"isocue.example/compiler/finding"
)

// lazy is a rule that is compiled when it is first needed: a start takes about as long as what it compiles, and a
// protocol is judged by a fifth of the rules. What the rule is about, and for which modality, is read from its text; a test
// compares that with the compiled rule.
type lazy struct {
	id, file, about string
	modalities      []string // those named in its when; none = any
	statements, src []byte
	once            sync.Once
	rule            *Rule
	err             error
}

var (
	begins   = regexp.MustCompile(`(?m)^#rules: "([a-z0-9-]+)":`)
	states   = regexp.MustCompile(`(?m)^#[A-Z][A-Za-z]*:`)
	modality = regexp.MustCompile(`\bmodality:\s+((?:"[a-z-]+"(?: \| )?)+)`)
	quoted   = regexp.MustCompile(`"([a-z-]+)"`)
)

// scan reads the rule files without compiling them.
func scan(fsys fs.FS) ([]*lazy, error) {
	names, err := fs.Glob(fsys, "rules/*.cue") // sorted
	if err != nil {
		return nil, err
	}
	var out []*lazy
	for _, n := range names {
		src, err := fs.ReadFile(fsys, n)
		if err != nil {
			return nil, err
		}
		rs := rows(src)
		if len(rs) == 0 { // to be told when it is compiled
			rs = []row{{id: strings.TrimSuffix(path.Base(n), ".cue"), src: src}}
		}
		if base := strings.TrimSuffix(path.Base(n), ".cue"); len(rs) == 1 && rs[0].id != base {
			return nil, fmt.Errorf("schema/%s holds rule %s: file name and id differ", n, rs[0].id)
		}
		for _, r := range rs {
			out = append(out, lazyRow(path.Join("schema", n), r))
		}
	}
	slices.SortFunc(out, func(a, b *lazy) int { return strings.Compare(a.id, b.id) })
	for i := range out[:max(len(out)-1, 0)] {
		if out[i].id == out[i+1].id {
			return nil, fmt.Errorf("%s and %s both hold rule %s", out[i].file, out[i+1].file, out[i].id)
		}
	}
	return out, nil
}

// lazyRow reads from the text of a row and its statement what is needed to know whether to compile it.
func lazyRow(file string, r row) *lazy {
	l := &lazy{id: r.id, file: file, statements: r.statements, src: r.src}
	about, when := after(r.src, "about"), after(r.src, "when")
	if about == nil {
		about = after(r.statements, "about")
	}
	if when == nil {
		when = after(r.statements, "when")
	}
	l.about, _, _ = strings.Cut(strings.TrimPrefix(strings.TrimLeft(string(about), " "), `"`), `"`)
	for _, next := range []string{"limit", "facts", "value"} {
		when = when[:len(when)-len(after(when, next))]
	}
	if bytes.Contains(when, []byte("modality: #modality")) {
		when = r.src // the row fills that blank
	}
	if m := modality.FindSubmatch(when); m != nil {
		for _, q := range quoted.FindAllSubmatch(m[1], -1) {
			l.modalities = append(l.modalities, string(q[1]))
		}
	}
	return l
}

// after is what stands behind a field of a rule, nil where the rule has none of that name on a line of its own.
func after(src []byte, field string) []byte {
	_, rest, _ := bytes.Cut(src, []byte("\n\t"+field+":"))
	return rest
}

func (l *lazy) compile() (*Rule, error) {
	l.once.Do(func() {
		l.rule, l.err = parse(l.file, l.statements, l.src)
		switch {
		case l.err != nil:
		case l.rule.About != l.about:
			l.err = fmt.Errorf("%s: about is %q, allowed: on a line of its own, so that it can be read without compiling", l.file, l.rule.About)
		}
	})
	return l.rule, l.err
}

// must compiles; a rule of ours that cannot be read is a defect of the program.
func (l *lazy) must() *Rule {
	r, err := l.compile()
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	return r
}

// Check compiles every rule and says everything that is wrong with any, or else with the changelog.
func (b *Base) Check() error {
	var errs []error
	for _, l := range b.rules {
		_, err := l.compile()
		errs = append(errs, err)
	}
	if err := errors.Join(errs...); err != nil {
		return err
	}
	b.deferred.readAll()
	return errors.Join(append(slices.Concat(b.privileges(), b.checkRoles(), b.checkQuestions()), b.checkChanges())...)
}

// All lists every rule, sorted by id.
func (b *Base) All() []*Rule { return b.pick(func(*lazy) bool { return true }) }

// About lists the rules about one kind of thing that can concern a modality, by what their when names; "" is any modality.
func (b *Base) About(about, modality string) []*Rule {
	return b.pick(func(l *lazy) bool {
		return l.about == about && (modality == "" || len(l.modalities) == 0 || slices.Contains(l.modalities, modality))
	})
}

func (b *Base) pick(want func(*lazy) bool) (out []*Rule) {
	for _, l := range b.rules {
		if want(l) {
			out = append(out, l.must())
		}
	}
	return out
}

// Len is how many rules there are.
func (b *Base) Len() int { return len(b.rules) }

// IDs lists the ids of the rules, sorted.
func (b *Base) IDs() (out []string) {
	for _, l := range b.rules {
		out = append(out, l.id)
	}
	return out
}

// Abouts lists what rules of the base are about, sorted.
func (b *Base) Abouts() (out []string) {
	for _, l := range b.rules {
		out = append(out, l.about)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Rule finds a rule by id; nil when there is none.
func (b *Base) Rule(id string) *Rule {
	i, ok := slices.BinarySearchFunc(b.rules, id, func(l *lazy, id string) int { return strings.Compare(l.id, id) })
	if !ok {
		return nil
	}
	return b.rules[i].must()
}
