package check_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"cuelang.org/go/cue"

	"isocue.example/compiler"
	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/cueval"
	"isocue.example/compiler/load"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
	"isocue.example/schema"
)

// acts are rules about a protocol whose remedy is something to do, which no value of the file replaces.
var acts = map[string]string{
	"maintenance-after-course": "whether a course was completed is not in the protocol: the reviewer is told",
}

// Every rule about what an author writes says what to write instead, and every such remedy is true: on each failing example, in the
// facts and in the protocol as a whole, the finding is gone and no graver one has come.
func TestRemediesOfExamples(t *testing.T) {
	c := engine(t)
	followed := 0
	for _, r := range c.Check.Base.All() {
		if r.About != "protocol" && r.About != "stage" {
			continue
		}
		for i, ex := range r.Example.Fail {
			for k, g := range givens(t, c, r, ex) {
				if _, silent := r.Judge(g); silent {
					continue
				}
				w := r.Write(g.Node)
				if w == nil {
					if acts[r.ID] == "" {
						t.Errorf("%s, example %d: the remedy cannot be followed: it has no write", r.ID, i)
					}
					continue
				}
				repaired(t, c, r, g.Node, w)
				inFile(t, c, r, ex, k, w)
				followed++
			}
		}
	}
	if followed < 120 {
		t.Errorf("only %d remedies were followed", followed)
	}
	t.Logf("%d followed", followed)
}

// The same on random facts that fit their type. Past it the schema refuses first.
func TestRemediesOfRandomFailures(t *testing.T) {
	want := 200
	if full {
		want = 20_000
	}
	c := engine(t)
	lang, _, err := cueval.Build(schema.FS, schema.Path, schema.Path)
	if err != nil {
		t.Fatal(err)
	}
	var rules []*rule.Rule
	bases := map[string][]*tree.Node{}
	for _, r := range c.Check.Base.All() {
		for _, ex := range slices.Concat(r.Example.Pass, r.Example.Fail) {
			for _, g := range givens(t, c, r, ex) {
				if _, silent := r.Judge(g); !silent && r.Write(g.Node) != nil && !slices.Contains(rules, r) {
					rules = append(rules, r)
				}
				bases[r.ID] = append(bases[r.ID], g.Node)
			}
		}
	}
	rnd := rand.New(rand.NewPCG(3, 4))
	for n, tries := 0, 0; n < want; tries++ {
		if tries > 60*want {
			t.Fatalf("%d of %d failures found in %d tries", n, want, tries)
		}
		r := rules[tries%len(rules)]
		g := mutate(rnd, r, bases[r.ID][rnd.IntN(len(bases[r.ID]))])
		if _, silent := r.Judge(rule.Given{Node: g}); silent {
			continue
		}
		shape := lang.LookupPath(cue.MakePath(cue.Def("#Given"), cue.Str(r.About)))
		if shape.Unify(lang.Context().BuildExpr(cueval.Expr(g, nil, nil))).Validate(cue.Concrete(true)) != nil {
			continue
		}
		if prev := g.Get("previous"); prev != nil && finding.Rejected(c.Check.Judge(r.About, rule.Given{Node: tree.Merge(put(g, []string{"previous"}, nil), prev)})) {
			continue // the stage before is itself refused, and repaired first
		}
		n++
		if w := r.Write(g); w == nil {
			t.Errorf("%s: the remedy cannot be followed on %v", r.ID, show(g))
		} else {
			repaired(t, c, r, g, w)
		}
	}
}

// repaired wants the finding gone from the facts once they are as the remedy says, and no graver one beside it.
func repaired(t *testing.T, c *compiler.Compiler, r *rule.Rule, g, w *tree.Node) {
	t.Helper()
	after := tree.Merge(g, w)
	if x := w.Get("exercises"); x != nil {
		after.Set("exerciseCount", tree.Int(len(x.Elem))) // as the facts of a stage are made; a remedy names each once
		after.Set("exerciseTimes", tree.Int(1))
	}
	recount(after)
	if prev := g.Get("previous"); prev != nil && strings.Contains(r.RemedyText(), "lead there by a ramp") {
		after.Set("previous", tree.Merge(prev, w)) // the stage before is raised too, as the text says, and is judged in its own turn
	}
	if f, silent := r.Judge(rule.Given{Node: after}); !silent {
		t.Errorf("%s: followed, and it fires still: %s; %s\n%s", r.ID, f.Message, f.Remedy, show(after))
		return
	}
	graver(t, r, c.Check.Judge(r.About, rule.Given{Node: g}), c.Check.Judge(r.About, rule.Given{Node: after}), after)
}

// recount works out again the loaded breaths of a session, which the facts of a stage hold beside the fields that they come from.
func recount(g *tree.Node) {
	if g.Get("breaths") == nil {
		return
	}
	number := func(path ...string) unit.Dec {
		if n := g.Get(path...); n != nil && n.Kind == tree.Number {
			return n.Num
		}
		return unit.Dec{}
	}
	breaths := number("sets").Mul(number("breathsPerSet"))
	if breaths.Sign() == 0 {
		cycle := unit.Int(4) // the pace that is meant where none is written
		if g.Get("breath") != nil {
			cycle = unit.Dec{}
			for _, k := range []string{"inhaleSeconds", "pauseSeconds", "exhaleSeconds", "restSeconds"} {
				cycle = cycle.Add(number("breath", k))
			}
		}
		breaths = number("minutesPerSession").Mul(unit.Int(60)).Quo(cycle)
	}
	g.Set("breaths", tree.Num(breaths))
}

// graver reports findings that came with a remedy and are graver than what it repaired.
func graver(t *testing.T, r *rule.Rule, before, after []finding.Finding, on *tree.Node) {
	t.Helper()
	var had []string
	var note func(fs []finding.Finding)
	note = func(fs []finding.Finding) {
		for _, f := range fs {
			had = append(had, f.Rule)
			note(f.Covers)
		}
	}
	note(before)
	for _, f := range after {
		if f.Verdict.Rank() < r.Verdict.Rank() && !slices.Contains(had, f.Rule) {
			t.Errorf("%s (%s): followed, and %s (%s) comes in its place: %s\n%s", r.ID, r.Verdict, f.Rule, f.Verdict, f.Message, show(on))
		}
	}
}

// inFile follows the remedy in the k-th stage of the protocol that an example makes, as its author would, and judges all of it again.
func inFile(t *testing.T, c *compiler.Compiler, r *rule.Rule, ex *tree.Node, k int, w *tree.Node) {
	t.Helper()
	n := tree.Merge(c.Standard(r.Example.Of).Protocols[0].Node, ex)
	before, err := load.Lay(n)
	if err != nil {
		t.Fatalf("%s: %v", r.ID, err)
	}
	fixed := tree.Merge(n, w)
	inherited := false // the one field that the stage has of the course: there the finding points, and there its author repairs it
	if r.About == "stage" && len(w.Keys) == 1 {
		f, _ := r.Judge(c.Check.StageGiven(before, k))
		inherited = !strings.HasPrefix(f.Path, "ramp[")
	}
	if ramp := n.Get("ramp").Items(); r.About == "stage" && k < len(ramp) && !leavesOut(w) && !inherited {
		fixed = tree.Merge(n, nil)
		entry := tree.Merge(ramp[k], nil)
		for _, key := range w.Keys {
			entry = put(entry, []string{key}, tree.Merge(before.Stages[k].Field[key], w.Field[key]))
		}
		list := &tree.Node{Kind: tree.List}
		for i, e := range ramp {
			if i == k {
				e = entry
			}
			list.Append(tree.Merge(tree.NewRecord(), e))
		}
		fixed = put(n, []string{"ramp"}, list)
	}
	after, err := load.Lay(fixed)
	if err != nil {
		t.Errorf("%s: followed, the protocol cannot be read: %v", r.ID, err)
		return
	}
	given := check.ProtocolGiven(after)
	if r.About == "stage" {
		given = c.Check.StageGiven(after, k)
	}
	if f, silent := r.Judge(given); !silent {
		t.Errorf("%s: followed in the file, and it fires still: %s", r.ID, f.Message)
	}
	graver(t, r, c.Check.Protocol(before), c.Check.Protocol(after), fixed)
}

// leavesOut says whether a field is to be left out: a ramp entry cannot do that with a field of the course, so it is left out there.
func leavesOut(w *tree.Node) bool {
	return slices.ContainsFunc(w.Keys, func(k string) bool { return w.Field[k].Kind == tree.Null })
}

func show(n *tree.Node) string {
	b, _ := n.MarshalJSON()
	return string(b)
}
