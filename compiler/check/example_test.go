package check_test

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler"
	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

func engine(t testing.TB) *compiler.Compiler {
	t.Helper()
	c, err := compiler.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// givens is the facts on which an example of r is judged: the standard protocol or the sample, with the case laid over.
func givens(t testing.TB, c *compiler.Compiler, r *rule.Rule, example *tree.Node) []rule.Given {
	t.Helper()
	gs, err := check.ExampleGivens(c.Check.Base, c.Standard, r, example)
	if err != nil {
		t.Fatalf("%s: %v", r.ID, err)
	}
	return gs
}

// What is read from a rule's text without compiling it is what the compiled rule says.
func TestRulesAreFoundByTheirText(t *testing.T) {
	b := engine(t).Check.Base
	if err := b.Check(); err != nil {
		t.Fatal(err)
	}
	for _, m := range []record.Modality{record.Handgrip, record.WallSquat, record.SlowBreathing, record.Inspiratory} {
		for _, about := range []string{"protocol", "stage", "answer", "medicine", "dose", "session"} {
			want := 0
			for _, r := range b.All() {
				if r.About == about && r.MayConcern(m) {
					want++
				}
			}
			if got := len(b.About(about, string(m))); got != want {
				t.Errorf("%d rules about %s are found for %s, want %d", got, about, m, want)
			}
		}
	}
}

// Every rule is silent on its pass cases and fires on its fail cases; no rule can be added untested.
func TestExamples(t *testing.T) {
	c := engine(t)
	for _, r := range c.Check.Base.All() {
		if len(r.Example.Pass) == 0 || len(r.Example.Fail) == 0 {
			t.Errorf("%s has no pass or no fail example", r.ID)
		}
		for i, ex := range r.Example.Pass {
			t.Run(fmt.Sprintf("%s/pass/%d", r.ID, i), func(t *testing.T) {
				for _, g := range givens(t, c, r, ex) {
					if f, ok := r.Judge(g); !ok {
						t.Errorf("fires: %s", f.Message)
					}
				}
			})
		}
		for i, ex := range r.Example.Fail {
			t.Run(fmt.Sprintf("%s/fail/%d", r.ID, i), func(t *testing.T) {
				fired := false
				for _, g := range givens(t, c, r, ex) {
					f, ok := r.Judge(g)
					if ok {
						continue
					}
					fired = true
					if f.Message == "" || strings.Contains(f.Message, "{") || strings.Contains(f.Message, "nothing") {
						t.Errorf("message has an unfilled hole: %q", f.Message)
					}
					if f.Path == "" {
						t.Error("finding has no path")
					}
				}
				if !fired {
					t.Error("is silent")
				}
			})
		}
	}
}

// lastDigit is one unit of the last digit of a number as it is written: 0.01 for 0.60.
func lastDigit(raw string) unit.Dec {
	d := unit.Int(1)
	if i := strings.IndexByte(raw, '.'); i >= 0 {
		for range len(raw) - i - 1 {
			d = d.Quo(unit.Int(10))
		}
	}
	return d
}

// At every limit stands a pass case, and a fail case at most one unit of its last written digit past it.
func TestExamplesStandAtTheLimits(t *testing.T) {
	c := engine(t)
	for _, r := range c.Check.Base.All() {
		for _, name := range r.Limits {
			limit := r.Limit[name]
			digit := lastDigit(limit.Raw)
			near := func(exs []*tree.Node) bool {
				for _, ex := range exs {
					for _, g := range givens(t, c, r, ex) {
						if v := r.Value(g.Node); v != nil && v.Kind == tree.Number {
							if d := v.Num.Sub(limit.Num).Abs(); !digit.Less(d) {
								return true
							}
						}
					}
				}
				return false
			}
			if !near(r.Example.Pass) {
				t.Errorf("%s: no pass example at limit %s %s", r.ID, name, limit.Raw)
			}
			if !near(r.Example.Fail) {
				t.Errorf("%s: no fail example one last digit past limit %s %s", r.ID, name, limit.Raw)
			}
		}
	}
}

// No limit can be changed by its last written digit, up or down, without an example that notices.
func TestLimitsAreHeldByExamples(t *testing.T) {
	c := engine(t)
	n := 0
	for _, r := range c.Check.Base.All() {
		for _, name := range r.Limits {
			limit := r.Limit[name]
			for _, v := range []unit.Dec{limit.Num.Sub(lastDigit(limit.Raw)), limit.Num.Add(lastDigit(limit.Raw))} {
				changed := *r
				changed.Limit = maps.Clone(r.Limit)
				changed.Limit[name] = tree.Num(v)
				if !disagrees(t, c, &changed) {
					t.Errorf("%s: limit %s may be %s instead of %s, and no example notices", r.ID, name, v, limit.Raw)
				}
				n++
			}
		}
	}
	t.Logf("%d changed limits, all noticed", n)
}

// disagrees says whether an example of r does not do what it is there for.
func disagrees(t *testing.T, c *compiler.Compiler, r *rule.Rule) bool {
	fires := func(ex *tree.Node) bool {
		return slices.ContainsFunc(givens(t, c, r, ex), func(g rule.Given) bool { _, silent := r.Judge(g); return !silent })
	}
	return slices.ContainsFunc(r.Example.Pass, fires) ||
		slices.ContainsFunc(r.Example.Fail, func(ex *tree.Node) bool { return !fires(ex) })
}

var numbers = regexp.MustCompile(`-?[0-9]+(\.[0-9]+)?`)

// The base holds together: sources exist and are cited, milder rules exist and are about the same thing, texts keep to
// the house style, and each unsafe rule rests on more than memory.
func TestRegistry(t *testing.T) {
	b := engine(t).Check.Base
	cited := map[string]bool{}
	for _, r := range b.All() {
		solid := false
		for _, s := range r.Sources {
			src, ok := b.Sources()[s]
			if !ok {
				t.Errorf("%s cites %q, which sources.cue does not have", r.ID, s)
			}
			cited[s] = true
			solid = solid || src.Seen != "memory"
		}
		if r.Verdict == finding.Unsafe && !solid {
			t.Errorf("%s is unsafe but rests on memory alone", r.ID)
		}
		for _, m := range r.Milder {
			x := b.Rule(m)
			if x == nil {
				t.Errorf("%s: milder rule %s does not exist", r.ID, m)
			} else if x.About != r.About || x.Verdict.Rank() < r.Verdict.Rank() {
				t.Errorf("%s cannot silence %s: another about, or graver", r.ID, m)
			}
		}
		if strings.HasSuffix(r.Title, ".") || strings.ToLower(r.Title[:1]) != r.Title[:1] {
			t.Errorf("%s: title is lower case without a full stop", r.ID)
		}
		if strings.HasSuffix(r.Message, ".") || strings.ToLower(r.Message[:1]) != r.Message[:1] {
			t.Errorf("%s: message is lower case without a full stop", r.ID)
		}
		for _, name := range r.Limits {
			if slices.Contains(numbers.FindAllString(rule.Holes.ReplaceAllString(r.RemedyText(), ""), -1), r.Limit[name].Raw) {
				t.Errorf("%s: remedy repeats the limit %s as %s, allowed: {limit.%s}", r.ID, name, r.Limit[name].Raw, name)
			}
		}
		if n := len([]rune(r.Rationale)); n < 40 || n > 240 {
			t.Errorf("%s: rationale has %d characters, allowed: 40 to 240", r.ID, n)
		}
	}
	for _, q := range b.Questions() {
		for _, s := range q.Sources {
			if _, ok := b.Sources()[s]; !ok {
				t.Errorf("question %s cites %q, which sources.cue does not have", q.ID, s)
			}
			cited[s] = true
		}
		if len(q.Effects) == 0 {
			t.Errorf("question %s does nothing", q.ID)
		}
		for m, e := range q.Effects {
			if e == "waits" && q.WaitDays == 0 {
				t.Errorf("question %s waits without days for %s", q.ID, m)
			}
		}
	}
	for k := range b.Sources() {
		if !cited[k] && !strings.Contains(dataText(t), k) {
			t.Errorf("source %s is cited by nothing", k)
		}
	}
}

// Standard protocols raise cautions at most, and each shapes up.
func TestStandardProtocols(t *testing.T) {
	c := engine(t)
	for _, id := range c.StandardIDs() {
		f := c.Standard(id)
		if len(f.Protocols) != 1 || f.Protocols[0].Record.ID != id {
			t.Errorf("%s: %v", id, f.Findings)
			continue
		}
		for _, fd := range c.Check.Protocol(&f.Protocols[0]) {
			if fd.Rejects() {
				t.Errorf("%s: %s [%s]", id, fd.Message, fd.Rule)
			}
			if !fd.Pos.IsValid() {
				t.Errorf("%s: finding without a place: %s", id, fd.Message)
			}
		}
	}
}
