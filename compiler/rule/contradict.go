package rule

import (
	"fmt"
	"slices"
	"strings"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/format"
	"cuelang.org/go/cue/token"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/tree"
)

// A clinic may tighten two limits so far that nothing lies between them. Each is tighter than the base's, and both together refuse
// everybody for no reason that anyone gave: it is a slip, and is told where it stands.

// side is one bound of a rule: that of a limit, from under or from over.
type side struct {
	r     *Rule
	limit *tree.Node
	name  string
	open  bool // the limit itself does not pass
}

// sides are the bounds of a rule that hold together; none where its claim is a choice.
func (r *Rule) sides(dir int) (out []side) {
	if r.Verdict != finding.Unsafe && r.Verdict != finding.OutOfEvidence {
		return nil
	}
	var walk func(x ast.Expr) bool
	walk = func(x ast.Expr) bool {
		switch x := x.(type) {
		case *ast.ParenExpr:
			return walk(x.X)
		case *ast.BinaryExpr:
			return x.Op == token.AND && walk(x.X) && walk(x.Y)
		case *ast.UnaryExpr:
			if p := chain(x.X); len(p) == 2 && p[0] == "limit" && r.dir[p[1]] == dir {
				out = append(out, side{r, r.Limit[p[1]], p[1], x.Op == token.LSS || x.Op == token.GTR})
			}
		}
		return true
	}
	if !walk(r.claims) {
		return nil
	}
	return out
}

// Contradiction is a limit that leaves nothing beside another: each reads At, and no number passes both.
type Contradiction struct{ Rule, Limit, Says string }

// Contradictions are those of some rules with any rule of the base. Two rules contradict each other where they judge the same value,
// and one of them applies wherever the other does.
func (b *Base) Contradictions(ids []string) (out []Contradiction) {
	for _, id := range ids {
		r := b.Rule(id)
		if r == nil {
			continue
		}
		for _, l := range b.All() {
			if l.About != r.About || !sameValue(l, r) || !within(l, r) && !within(r, l) {
				continue
			}
			for _, low := range append(r.sides(+1), l.sides(+1)...) {
				for _, high := range append(l.sides(-1), r.sides(-1)...) {
					mine, other := low, high
					if low.r != r {
						mine, other = high, low
					}
					if mine.r == r && low.empty(high) {
						out = append(out, Contradiction{r.ID, mine.name, fmt.Sprintf("limit %s of %s is %s, and limit %s of %s is %s: no %s passes both", mine.name, r.ID, mine.limit.Raw, other.name, other.r.ID, other.limit.Raw, r.At)})
					}
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b Contradiction) int { return strings.Compare(a.Says, b.Says) })
	return slices.Compact(out)
}

// empty says whether no number lies over the lower side and under the upper one.
func (s side) empty(high side) bool {
	c := s.limit.Num.Cmp(high.limit.Num)
	return c > 0 || c == 0 && (s.open || high.open)
}

func sameValue(a, b *Rule) bool { return a == b || asWritten(a.judges) == asWritten(b.judges) }

// asWritten is what a rule judges, and the facts that it is worked out from, as they stand in its file.
func asWritten(xs []ast.Node) (s string) {
	for _, x := range xs {
		text, err := format.Node(x)
		if err != nil {
			return ""
		}
		s += string(text) + "\n"
	}
	return s
}

// within says whether a applies nowhere that b does not: each condition of b is one of a's.
func within(a, b *Rule) bool {
	key := func(c cond, r *Rule) string {
		if c.absent {
			return strings.Join(c.path, ".") + " absent"
		}
		return strings.Join(c.path, ".") + " " + c.claim.text(&env{limit: r.Limit})
	}
	for _, c := range b.when {
		if !slices.ContainsFunc(a.when, func(x cond) bool { return key(x, a) == key(c, b) }) {
			return false
		}
	}
	return true
}
