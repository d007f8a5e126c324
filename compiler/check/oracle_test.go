package check_test

import (
	"io/fs"
	"math/rand/v2"
	"regexp"
	"slices"
	"testing"
	"testing/fstest"

	"cuelang.org/go/cue"

	"isocue.example/compiler/internal/cueval"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
	"isocue.example/schema"
)

// full says that the tag full is given; its counts are those of `.ci/run`.
var full bool

// CUE is the oracle: for random facts, the Go predicate and the evaluator agree on every rule, and every rule is seen
// both firing and silent. The quick check judges each rule's own examples and a few pairs more.
func TestPredicatesAgreeWithCUE(t *testing.T) {
	pairs := 800
	if full {
		pairs = 100_000
	}
	c := engine(t)
	rules := statements(t)
	ctx := rules.Context()
	rules2 := c.Check.Base.All()
	bases := map[string][2][]*tree.Node{} // facts on which the rule is silent, and on which it fires
	for _, r := range rules2 {
		for _, ex := range slices.Concat(r.Example.Pass, r.Example.Fail) {
			for _, g := range givens(t, c, r, ex) {
				b, i := bases[r.ID], 0
				if _, ok := r.Judge(g); !ok {
					i = 1
				}
				b[i] = append(b[i], g.Node)
				bases[r.ID] = b
			}
		}
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	fired, silent := map[string]int{}, map[string]int{}
	n, bad := 0, 0
	for round := 0; n < pairs; round++ {
		for _, r := range rules2 {
			side := rnd.IntN(2)
			if round < 2 { // the examples themselves first: every rule is seen silent and firing
				side = round
			}
			b := bases[r.ID][side]
			g := b[rnd.IntN(len(b))]
			if round >= 2 && rnd.IntN(8) > 0 {
				g = mutate(rnd, r, g)
			}
			_, ok := r.Judge(rule.Given{Node: g})
			want := oracle(ctx, rules, r.ID, g)
			n++
			if ok {
				silent[r.ID]++
			} else {
				fired[r.ID]++
			}
			if ok != want {
				if bad++; bad < 6 {
					t.Errorf("%s: Go silent %v, CUE silent %v on %v", r.ID, ok, want, ctx.BuildExpr(cueval.Expr(g, nil, nil)))
				}
			}
		}
	}
	for _, r := range rules2 {
		if fired[r.ID] == 0 || silent[r.ID] == 0 {
			t.Errorf("%s: fired %d times, silent %d times; both must be seen", r.ID, fired[r.ID], silent[r.ID])
		}
	}
	t.Logf("%d pairs, %d rules, %d differ", n, len(rules2), bad)
}

// statements are the rules for CUE to evaluate, with facts of any type: pairs past the type are judged too, and a wrong type of one
// fact must not decide about another (that facts are of their type is a test of its own). They are no definition here, which would
// close what when names inside a record.
func statements(t testing.TB) cue.Value {
	t.Helper()
	open := fstest.MapFS{}
	err := fs.WalkDir(schema.FS, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(schema.FS, name)
		for _, x := range opened {
			b = x.re.ReplaceAll(b, []byte(x.by))
		}
		open[name] = &fstest.MapFile{Data: b}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	rules, _, err := cueval.Build(open, schema.Path, schema.Path+"/rules")
	if err != nil {
		t.Fatal(err)
	}
	return rules
}

var opened = []struct {
	re *regexp.Regexp
	by string
}{
	{regexp.MustCompile(`(?m)^(\tgiven: +)schema\.#Given\.[a-z]+`), "$1{...}"},
	{regexp.MustCompile(`(?m)^#rules: `), "rules: "},
	{regexp.MustCompile(`(?m)^#([A-Z][A-Za-z]*: schema)`), "_$1"}, // a statement
	{regexp.MustCompile(`": #([A-Z][A-Za-z]* & \{)`), `": _$1`},   // its rows
}

// What is handed to a rule is what given.cue says of it, and nothing more: an editor shows that type to whoever writes a rule.
func TestFactsAreOfTheirType(t *testing.T) {
	c := engine(t)
	lang, _, err := cueval.Build(schema.FS, schema.Path, schema.Path)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range c.Check.Base.All() {
		shape := lang.LookupPath(cue.MakePath(cue.Def("#Given"), cue.Str(r.About)))
		for _, ex := range slices.Concat(r.Example.Pass, r.Example.Fail) {
			for _, g := range givens(t, c, r, ex) {
				if err := shape.Unify(lang.Context().BuildExpr(cueval.Expr(g.Node, nil, nil))).Validate(); err != nil {
					t.Errorf("%s: an example about a %s: %v", r.ID, r.About, err)
				}
			}
		}
	}
}

// oracle lets CUE decide: true when the rule is silent.
func oracle(ctx *cue.Context, rules cue.Value, id string, g *tree.Node) bool {
	d := ctx.BuildExpr(cueval.Expr(g, nil, nil))
	v := rules.LookupPath(cue.MakePath(cue.Str("rules"), cue.Str(id)))
	if w := v.LookupPath(cue.ParsePath("when")); w.Exists() && w.Subsume(d, cue.Final()) != nil {
		return true
	}
	f := v.FillPath(cue.ParsePath("given"), d)
	return f.LookupPath(cue.ParsePath("value")).Unify(f.LookupPath(cue.ParsePath("must"))).Validate(cue.Concrete(true)) == nil
}

// BenchmarkJudge is one rule on one protocol's facts, by our predicate and by CUE.
func BenchmarkJudge(b *testing.B) {
	c := engine(b)
	r := c.Check.Base.Rule("grip-hold-ceiling")
	g := givens(b, c, r, r.Example.Fail[0])[0]
	rules := statements(b)
	ctx := rules.Context()
	b.Run("predicate", func(b *testing.B) {
		for b.Loop() {
			r.Judge(g)
		}
	})
	b.Run("cue", func(b *testing.B) {
		for b.Loop() {
			oracle(ctx, rules, r.ID, g.Node)
		}
	})
}

// mutate changes one or two of the facts that a rule reads: to a value near one of its limits, of another kind, or
// missing.
func mutate(rnd *rand.Rand, r *rule.Rule, g *tree.Node) *tree.Node {
	reads := r.Reads()
	for range 1 + rnd.IntN(2) {
		g = put(g, reads[rnd.IntN(len(reads))], value(rnd, r))
	}
	return g
}

func value(rnd *rand.Rand, r *rule.Rule) *tree.Node {
	var around []unit.Dec
	for _, n := range r.Limit {
		around = append(around, n.Num)
	}
	around = append(around, unit.Int(0), unit.Int(1), unit.Int(2), unit.MustDec("0.5"), unit.Int(60))
	v := around[rnd.IntN(len(around))]
	switch rnd.IntN(12) {
	case 0:
		return nil
	case 1:
		return tree.Str([]string{"x", "yes", "no", "handgrip", "slow-breathing", "grip", "pressure", "blocks", "latest"}[rnd.IntN(9)])
	case 2:
		return tree.Truth(rnd.IntN(2) == 0)
	case 3:
		return tree.Num(v.Add(unit.MustDec("0.01")))
	case 4:
		return tree.Num(v.Sub(unit.MustDec("0.01")))
	case 5:
		return tree.Num(v.Add(unit.Int(1)))
	case 6:
		return tree.Num(v.Mul(unit.Int(2)))
	case 7:
		return tree.Num(v.Neg())
	case 8:
		return tree.Num(v.Quo(unit.Int(4)))
	}
	return tree.Num(v)
}

// put is a copy of g with one place changed; nil takes it away. Records on the way are made where they are missing.
func put(g *tree.Node, path []string, v *tree.Node) *tree.Node {
	out := &tree.Node{Kind: tree.Record, Field: map[string]*tree.Node{}}
	if g != nil && g.Kind == tree.Record {
		for _, k := range g.Keys {
			if k != path[0] {
				out.Link(k, g.Field[k])
			}
		}
	}
	if len(path) > 1 {
		out.Link(path[0], put(g.Get(path[0]), path[1:], v))
	} else if v != nil {
		out.Link(path[0], v)
	}
	return out
}
