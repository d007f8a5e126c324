// Package rule holds the rule base: each rule one claim, read from its CUE file and compiled to a predicate.
//
// A rule applies where its when fits the given facts; then its value is held against its must. The Go predicate is
// made from the file's syntax tree alone, so that every judgement keeps the author's places; CUE remains the only
// statement of the rule, and a test judges both ways. Anything outside the subset of the language that rules may use
// is an error when the base is loaded, never a rule that silently does not apply.
package rule

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"cuelang.org/go/cue/ast"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/near"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
)

// Rule is one claim. It is immutable; Narrow makes a stricter copy.
type Rule struct {
	ID, Title, About string
	Verdict          finding.Verdict
	Message          string
	Rationale        string
	Remedy           string // with its holes filled as far as that needs no facts
	Since            string
	At               string
	Milder           []string
	Sources          []string
	Limits           []string              // names, in written order
	Limit            map[string]*tree.Node // the numbers
	WhenText         string                // the condition as written, for people
	Tell             Tell                  // of a rule about a log; zero for every other
	Holds            bool                  // a running course is held for it, where a first one is refused
	Example          Examples
	File             string
	Pos              finding.Pos // of its name

	at    []string
	reads []read         // given paths that the rule judges by
	also  []read         // those that its remedy reads and writes
	dir   map[string]int // limit -> -1 where lower is tighter, +1 where higher is
	when  []cond
	facts []fact
	value expr
	must  claim

	remedy string // as written, with holes
	write  []written

	judges []ast.Node // value and the facts before it, as written
	claims ast.Expr   // must, as written

	own  []string // limits that a clinic narrowed, with their numbers
	ours string   // the clinic's reason, with its place
	base *Rule    // the rule before a clinic narrowed it
	wide string   // the remedy of the rule base, which names numbers of its own; "" where nothing was narrowed
}

// Tell says whom a rule about a log tells, and how soon.
type Tell struct {
	Who, HowSoon string
	Narrow       bool // it closes some modalities alone, those of Only
	Only         []record.Modality
	DayAlone     bool // what it closes it closes on that day alone
}

// Closes says whether what the rule finds closes training until a clinician opens it again.
func (t Tell) Closes() bool {
	return (t.HowSoon == "now" || t.HowSoon == "today") && (!t.Narrow || len(t.Only) > 0)
}

// Shuts says whether what closes training closes a modality.
func (t Tell) Shuts(m record.Modality) bool {
	return t.Closes() && (!t.Narrow || slices.Contains(t.Only, m))
}

// Examples are cases laid over a standard protocol or a sample.
type Examples struct {
	Of         string
	Pass, Fail []*tree.Node
}

// Given is what a rule is judged on. Node holds the facts that given.cue lists for the rule's about. A value that was
// borrowed from an author's file knows its place; for the others, Places names the author's node by the rule's at,
// and Anchor is the node to point at where nothing better is known.
type Given struct {
	Node   *tree.Node
	Places map[string]*tree.Node
	Anchor *tree.Node
}

// Applies says whether the rule has anything to say about g.
func (r *Rule) Applies(g *tree.Node) bool {
	e := env{given: g, limit: r.Limit}
	return applies(r.when, g, &e)
}

// Judge holds the claim against g; ok is true when the rule is silent.
func (r *Rule) Judge(g Given) (f finding.Finding, ok bool) {
	e, v, silent := r.eval(g.Node)
	if silent {
		return finding.Finding{}, true
	}
	f = finding.Finding{Rule: r.ID, Verdict: r.Verdict, Rationale: r.Rationale, Remedy: r.advice(e, v), Sources: r.Sources,
		Allowed: r.must.text(e)}
	if r.base != nil {
		if _, ok := r.base.Judge(g); ok { // the clinic alone refuses it, and says why
			f.Rationale, f.Sources = r.ours, nil
		}
	}
	if v != nil {
		f.Found = show(v)
	}
	n, path := r.place(g)
	if n != nil {
		f.Pos = n.Pos
	}
	f.Path = path
	f.Message = r.say(e, v, path)
	return f, false
}

// Value is what the rule would judge, nil when it is missing or the rule does not apply.
func (r *Rule) Value(g *tree.Node) *tree.Node {
	_, v, _ := r.eval(g)
	return v
}

func (r *Rule) eval(g *tree.Node) (*env, *tree.Node, bool) {
	e := &env{given: g, limit: r.Limit}
	if !applies(r.when, g, e) {
		return e, nil, true
	}
	if len(r.facts) > 0 {
		e.facts = make(map[string]*tree.Node, len(r.facts))
		for _, f := range r.facts { // in file order; a forward reference is a load error
			e.facts[f.name] = f.x(e)
		}
	}
	v := r.value(e)
	return e, v, r.must.test(e, v)
}

// place finds the author's node that the finding points at: the deepest one on the way to at.
func (r *Rule) place(g Given) (*tree.Node, string) {
	if n := g.Places[r.At]; n != nil {
		return n, n.Path()
	}
	for i := len(r.at); i > 0; i-- {
		if n := g.Node.Get(r.at[:i]...); n != nil && n.Pos.IsValid() {
			return n, n.Join(r.at[i:]...)
		}
	}
	if g.Anchor != nil {
		if p := g.Anchor.Path(); p != "" {
			return g.Anchor, p
		}
		return g.Anchor, r.At // a field that is missing at the top
	}
	return g.Node, r.At
}

func (r *Rule) say(e *env, v *tree.Node, path string) string {
	if v == nil && strings.Contains(r.Message, "{value}") {
		return path + " is missing, allowed: " + r.must.text(e)
	}
	return r.fill(r.Message, e, v)
}

// measuredBy is the kind of measurement that a modality's load stands on.
var measuredBy = map[record.Modality]string{record.Handgrip: "grip", record.Inspiratory: "inspiratory", record.WallSquat: "squat", record.Walking: "walking"}

// Judges says whether the rule's value is a number of g as it stands, not one worked out from several.
func (r *Rule) Judges(g *tree.Node) bool {
	return len(r.facts) == 0 && r.value(&env{given: g, limit: r.Limit}) != nil
}

// MayConcern says whether the rule's condition leaves room for a modality.
func (r *Rule) MayConcern(m record.Modality) bool {
	e := &env{limit: r.Limit}
	for _, c := range r.when {
		if len(c.path) != 1 || c.absent {
			continue
		}
		fits := func(s string) bool { return c.claim.test(e, tree.Str(s)) }
		switch c.path[0] {
		case "modality":
			if !fits(string(m)) {
				return false
			}
		case "kind": // of a measurement: pressure concerns every modality
			if !fits("pressure") && !fits(measuredBy[m]) {
				return false
			}
		}
	}
	return true
}

// Reads lists the given paths that the rule looks at.
func (r *Rule) Reads() (out [][]string) {
	for _, x := range r.reads {
		out = append(out, x.path)
	}
	return out
}

// Trouble is what is wrong with a rule, and where.
type Trouble struct {
	Pos  finding.Pos
	Says string
}

func (t Trouble) String() string { return fmt.Sprintf("%v: %s", t.Pos, t.Says) }

// one is what a rule is about, as a sentence says it.
func one(about string) string {
	if about == "answer" {
		return "an answer"
	}
	return "a " + about
}

// Refused is a rule that is outside the rule language: the error says all of it, and Troubles each with its place.
type Refused struct {
	ID       string
	Troubles []Trouble
}

func (r *Refused) Error() string {
	var all []string
	for _, t := range r.Troubles {
		all = append(all, t.String())
	}
	return fmt.Sprintf("rule %s: %s", r.ID, strings.Join(all, "; "))
}

// Misread says, with its place, of each fact that the rule reads and that nobody hands over; known finds the first unknown name on a path and
// those that could stand there. A misspelt fact would make a rule silent for ever.
func (r *Rule) Misread(known func(about string, path []string) (wrong string, beside []string)) (out []Trouble) {
	for _, x := range slices.Concat(r.reads, r.also) {
		if wrong, beside := known(r.About, x.path); wrong != "" {
			out = append(out, Trouble{x.pos, fmt.Sprintf("a rule about %s has no fact given.%s%s", one(r.About), strings.Join(x.path, "."), near.Hint(wrong, beside))})
		}
	}
	return out
}

// Narrow is the rule with a tighter number for one limit. A wider number, an unknown name or a value that is no number
// is an error at the place of n.
func (r *Rule) Narrow(name string, n *tree.Node) (*Rule, error) {
	have, d := r.Limit[name], r.dir[name]
	at := ""
	if n.Pos.IsValid() {
		at = n.Pos.String() + ": "
	}
	switch {
	case have == nil:
		return nil, fmt.Errorf("%srule %s has no limit %q, allowed: %s%s", at, r.ID, name, cmp.Or(strings.Join(r.Limits, ", "), "none"), near.Hint(name, r.Limits))
	case n.Kind != tree.Number:
		return nil, fmt.Errorf("%slimit %s of %s is %s, allowed: a number", at, name, r.ID, n.Kind)
	case n.Num.Cmp(have.Num)*d < 0:
		w := map[int]string{-1: "at most", 1: "at least"}[d]
		return nil, fmt.Errorf("%slimit %s of %s is widened to %s, allowed: %s %s", at, name, r.ID, n.Raw, w, have.Raw)
	}
	s := *r
	s.Limit = maps.Clone(r.Limit)
	s.Limit[name] = n
	if n.Num.Cmp(have.Num) != 0 && r.Tell.Who == "" {
		s.own = append(slices.Clip(r.own), fmt.Sprintf("%s %s", name, n.Raw))
		s.wide = cmp.Or(r.wide, r.Remedy)
		s.Remedy = fmt.Sprintf("keep to the clinic's own limit (%s); where the rule base alone holds: %s", strings.Join(s.own, ", "), s.wide)
	}
	return &s, nil
}

// Because is a narrowed rule with the clinic's reason, which stands at pos; why may be empty.
func (r *Rule) Because(base *Rule, pos finding.Pos, why string) *Rule {
	if len(r.own) == len(base.own) { // the same numbers again narrow nothing
		return r
	}
	s := *r
	s.base, s.ours = base, fmt.Sprintf("the clinic's own limit (%s:%d)", pos.File, pos.Line)
	if why != "" {
		s.ours += ": " + why
	}
	return &s
}

// Ours is what a clinic says of a limit of its own, "" where it has none.
func (r *Rule) Ours() string { return r.ours }

// show prints a value as its author wrote it; a computed number with at most three decimals.
func show(n *tree.Node) string {
	switch {
	case n == nil:
		return "nothing"
	case n.Kind == tree.Text:
		return n.Str
	case n.Kind == tree.Number && n.Raw == "":
		return n.Num.Text(3)
	case n.Kind == tree.List || n.Kind == tree.Record:
		return n.Kind.String()
	}
	return n.Raw
}
