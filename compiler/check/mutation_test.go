package check_test

import (
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/check"
	"isocue.example/compiler/load"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Each number of each standard protocol is pushed across each limit of the rules that judge it directly: the rule fires on one
// side and is silent on the other, and no other rule changes its mind unless it reads that field. The quick check pushes each limit
// on the first protocol that it applies to.
func TestPushedPastEachLimit(t *testing.T) {
	c := engine(t)
	pushed := map[string]bool{}
	read := map[string]*load.File{}
	standard := func(id string) *load.File { // each file once: reading is the slow part
		if read[id] == nil {
			read[id] = c.Standard(id)
		}
		return read[id]
	}
	for _, id := range c.StandardIDs() {
		for _, r := range c.Check.Base.All() {
			done := !slices.ContainsFunc(r.Limits, func(name string) bool { return !pushed[r.ID+"/"+name] })
			if (r.About != "stage" && r.About != "protocol") || !direct(r) || done && !full {
				continue
			}
			path := strings.Split(r.At, ".")
			before, applies := judge(t, c.Check, standard, id, tree.NewRecord())
			if !applies[r.ID] {
				continue
			}
			for _, name := range r.Limits {
				limit := r.Limit[name]
				digit := lastDigit(limit.Raw)
				fires, silent := false, false
				for _, v := range []unit.Dec{limit.Num.Sub(digit), limit.Num, limit.Num.Add(digit)} {
					after, now := judge(t, c.Check, standard, id, nest(path, tree.Num(v)))
					if !now[r.ID] {
						continue
					}
					if after[r.ID] {
						fires = true
					} else {
						silent = true
					}
					for x := range after {
						if other := c.Check.Base.Rule(x); !before[x] && !reads(other, path) {
							t.Errorf("%s: %s at %s made %s fire, which does not read it", id, r.At, v, x)
						}
					}
				}
				if !fires || !silent {
					t.Errorf("%s: %s across limit %s %s of %s: fires %v, silent %v", id, r.At, name, limit.Raw, r.ID, fires, silent)
				}
				pushed[r.ID+"/"+name] = true
			}
		}
	}
	if len(pushed) < 50 {
		t.Errorf("only %d limits were pushed", len(pushed))
	}
	t.Logf("%d limits pushed on %d standard protocols", len(pushed), len(c.StandardIDs()))
}

// direct says whether a rule judges the very field that it points at.
func direct(r *rule.Rule) bool {
	g := nest(strings.Split(r.At, "."), tree.Num(unit.Int(1)))
	return len(r.Limits) > 0 && slices.ContainsFunc(r.Reads(), func(p []string) bool { return strings.Join(p, ".") == r.At }) && r.Judges(g)
}

// reads says whether a rule reads a field, or a fact that is worked out from it.
func reads(r *rule.Rule, path []string) bool {
	return slices.ContainsFunc(r.Reads(), func(p []string) bool {
		n := min(len(p), len(path))
		return slices.Equal(p[:n], path[:n]) || p[0] == "previous" || p[0] == "rampWeeks" || p[0] == "breaths" && slices.Contains(breaths, path[0])
	})
}

// breaths are the fields that the number of breaths of a session is counted from.
var breaths = []string{"sets", "breathsPerSet", "minutesPerSession", "breath"}

// judge is which rules fire, and which apply, on a standard protocol with a value laid over its main course; its ramp is left
// out, so that one stage is judged.
func judge(t *testing.T, c *check.Checker, standard check.Standards, id string, over *tree.Node) (fires, applies map[string]bool) {
	t.Helper()
	over.Set("ramp", &tree.Node{Kind: tree.Null})
	fires, applies = map[string]bool{}, map[string]bool{}
	for _, r := range c.Base.All() {
		if r.About != "stage" && r.About != "protocol" {
			continue
		}
		laid := *r
		laid.Example.Of = id
		gs, err := check.ExampleGivens(c.Base, standard, &laid, over)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range gs {
			if r.Applies(g.Node) {
				applies[r.ID] = true
				if _, ok := r.Judge(g); !ok {
					fires[r.ID] = true
				}
			}
		}
	}
	return fires, applies
}

func nest(path []string, v *tree.Node) *tree.Node {
	n := tree.NewRecord()
	if len(path) == 1 {
		return n.Set(path[0], v)
	}
	return n.Set(path[0], nest(path[1:], v))
}
