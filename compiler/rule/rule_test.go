package rule

import (
	"strings"
	"testing"

	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

const head = `package rules
import "isocue.example/schema"
#rules: "r-one": schema.#Rule & {
	title: "t", about: "stage", verdict: "caution", message: "m {value}", rationale: "r", remedy: "x", since: "v0.1", at: "weeks", given: {...}
	`

// What the rule language refuses, so that no rule can silently fail to apply. Source: the rule subset in
// docs/architecture.md.
func TestLoadRefuses(t *testing.T) {
	for _, c := range []struct{ body, says, why string }{
		{`when: modality!: "x", value: given.weeks, must: <=4`, "a marker is not allowed in when", "CUE's Subsume ignores !"},
		{`when: weeks: <given.days, value: given.weeks, must: <=4`, "the operand of < is a number", "Subsume says no to any reference"},
		{`value: [for x in given.ramp {x.weeks}], must: <=4`, "outside what a rule may compute", "no loops"},
		{`limit: a: 4, value: given.weeks, must: <=limit.b`, "rule has no limit b", "an unknown name"},
		{`limit: {a: 4, b: 5}, value: given.weeks, must: <=limit.a`, "limit b stands in no bound", "a limit that does not apply"},
		{`limit: a: 4, value: given.weeks, must: <=limit.a & >=limit.a`, "operand of two bounds", "its direction would be unclear"},
		{`limit: a: 4, value: given.weeks, must: !=limit.a`, "limit a stands behind !=", "no direction to narrow"},
		{`value: "\(given.weeks)", must: "4"`, "outside what a rule may compute", "no interpolation"},
		{`facts: {a: facts.b, b: given.weeks}, value: facts.a, must: <=4`, "fact b is not defined above its use", "a forward reference"},
		{`value: given.weeks, must: strings.MinRunes(3)`, "outside what a claim may say", "no validators"},
		{`value: given.weeks`, "the rule lacks must", "a rule without a claim"},
		{`value: given.weeks, must: <=4, extra: 1`, "extra is not a field of a rule", "a misspelt field"},
		{`value: given.weeks, must: <=4, value: given.days`, "value is written twice", "two values"},
		{`value: given.weeks, must: =~"("`, "=~ needs a regular expression", "a pattern that cannot be read"},
	} {
		_, err := Parse("r.cue", []byte(head+c.body+"\n}"))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %q gave %v, want %q", c.why, c.body, err, c.says)
		}
		if err != nil && c.body[0] == 'w' && !strings.Contains(err.Error(), "r.cue:5:") {
			t.Errorf("%q: the place is missing: %v", c.body, err)
		}
	}
	for _, src := range []string{"", "x: 1\ny: 2", "a: 1", "let x = 1", "a: {"} {
		if _, err := Parse("r.cue", []byte(src)); err == nil {
			t.Errorf("%q was read as a rule", src)
		}
	}
	if _, err := Parse("r.cue", []byte(strings.Replace(head, "{value}", "{limit.z}", 1)+"value: given.weeks, must: <=4\n}")); err == nil || !strings.Contains(err.Error(), "hole {limit.z}") {
		t.Errorf("a hole that nothing fills: %v", err)
	}
}

// A clinic can only narrow: the direction follows the bound. Source: docs/architecture.md, refusal 2.
func TestNarrow(t *testing.T) {
	r, err := Parse("r.cue", []byte(head+"limit: {floor: 2, ceiling: 0.60}, value: given.weeks, must: >=limit.floor & <=limit.ceiling\n}"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		limit, to, says string
	}{
		{"ceiling", "0.50", ""}, {"ceiling", "0.60", ""}, {"ceiling", "0.61", "is widened to 0.61, allowed: at most 0.60"},
		{"floor", "3", ""}, {"floor", "1", "is widened to 1, allowed: at least 2"}, {"celing", "0.5", `has no limit "celing", allowed: floor, ceiling`},
	} {
		n := tree.Num(unit.MustDec(c.to))
		n.Raw = c.to
		s, err := r.Narrow(c.limit, n)
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s to %s: %v, want %q", c.limit, c.to, err, c.says)
		}
		if err == nil && (s.Limit[c.limit].Raw != c.to || r.Limit[c.limit].Raw == "0.50") {
			t.Errorf("%s to %s: the copy has %s, the rule %s", c.limit, c.to, s.Limit[c.limit].Raw, r.Limit[c.limit].Raw)
		}
	}
	if _, err := r.Narrow("ceiling", tree.Str("x")); err == nil || !strings.Contains(err.Error(), "allowed: a number") {
		t.Errorf("text as a limit: %v", err)
	}
}

// The narrowed number is what is judged and printed.
func TestNarrowedRuleJudges(t *testing.T) {
	r, err := Parse("r.cue", []byte(strings.Replace(head, "m {value}", "{value} over {limit.ceiling}", 1)+"limit: ceiling: 0.60, value: given.weeks, must: <=limit.ceiling\n}"))
	if err != nil {
		t.Fatal(err)
	}
	n := tree.Num(unit.MustDec("0.4"))
	s, err := r.Narrow("ceiling", n)
	if err != nil {
		t.Fatal(err)
	}
	g := tree.NewRecord()
	g.Set("weeks", tree.Num(unit.MustDec("0.5")))
	if _, ok := r.Judge(Given{Node: g}); !ok {
		t.Error("the wide rule fires at 0.5")
	}
	f, ok := s.Judge(Given{Node: g})
	if ok || f.Message != "0.5 over 0.4" || f.Allowed != "at most 0.4" {
		t.Errorf("%v %q %q", ok, f.Message, f.Allowed)
	}
}

// Law: Parse never panics, and gives a rule or an error; a rule's numbers and regular expressions keep their bounds, so that it
// judges quickly.
func FuzzParse(f *testing.F) {
	f.Add(head + "limit: a: 4, when: x: list.MatchN(>0, {y: 1}), facts: q: *given.z | 0, value: facts.q * 2, must: <=limit.a\n}")
	f.Add(head + "value: given.weeks, must: (1 | 2) & number\n}")
	for _, b := range []string{`when: {[string]: 4}, value: given.x, must: 1`, `limit: a: "x", value: given.x, must: <=limit.a`, `facts: {a: 1, a: 2}, value: facts.a, must: -1`,
		`value: *given.x | *given.y | 1, must: =~"a" | !=1`, `examples: {of: "a", pass: [{b: null}]}, value: given.x, must: _`, `when: {a: b?: _|_}, value: 1 / 0, must: >=1 & <=2`} {
		f.Add(head + b + "\n}")
	}
	for _, b := range []string{`facts: {a: given.x, b: a * a, c: b * b}, value: facts.c, must: >=1`, `value: given.modality, must: =~"(a{1,20}){1,20}"`, `value: given.x` + strings.Repeat(" + given.x", 70) + `, must: 1`} {
		f.Add(head + b + "\n}")
	}
	f.Fuzz(func(t *testing.T, src string) {
		if len(src) > 4000 {
			return
		}
		r, err := Parse("r.cue", []byte(src))
		if (r == nil) == (err == nil) {
			t.Fatal("neither a rule nor an error")
		}
		if r == nil {
			return
		}
		// Law: what was read judges anything without a panic, and says something where it fires.
		g := tree.NewRecord()
		for i, n := range []*tree.Node{nil, tree.Num(unit.MustDec("0.5")), tree.Str("a"), tree.NewList(tree.Int(1)), tree.NewRecord(), {}} {
			if n != nil {
				for _, k := range []string{"x", "weeks", "modality"} {
					g.Set(k, n)
				}
			}
			if v := r.Value(g); v != nil && v.Kind == tree.Number && v.Num.Rat().Num().BitLen()+v.Num.Rat().Denom().BitLen() > maxNumbers*600 {
				t.Fatalf("case %d: a value of %d bits", i, v.Num.Rat().Num().BitLen())
			}
			if f, silent := r.Judge(Given{Node: g, Anchor: g}); !silent && (f.Rule != r.ID || f.Verdict != r.Verdict) {
				t.Fatalf("case %d: %+v", i, f)
			}
		}
	})
}
