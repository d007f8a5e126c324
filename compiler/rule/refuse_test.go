package rule

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/parser"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// body puts a rule body at line 5, column 2 of a file, as the places below count.
func body(s string) []byte { return []byte(head + s + "\n}") }

// Everything outside the rule language is an error with its place, however small: a rule that is read in another sense
// than its author's would be a limit that silently does not apply.
func TestSubset(t *testing.T) {
	for _, c := range []struct{ body, at, says, why, source string }{
		// when
		{`when: weeks?: 4, value: given.weeks, must: <=4`, "5:8", "a marker is not allowed in when, except x?: _|_", "an optional field would always apply", "CUE's Subsume, measured"},
		{`when: {[string]: 4}, value: given.weeks, must: <=4`, "5:9", "is not a field name, allowed: a plain name", "a pattern", "CUE language"},
		{`examples: {of: "x", fail: [{[string]: 4}]}, value: given.weeks, must: <=4`, "5:30", "is not a field name", "a pattern in an example", "CUE language"},
		{`when: {if true {weeks: 4}}, value: given.weeks, must: <=4`, "5:9", "only fields are allowed in when", "a condition", "CUE's Subsume, measured"},
		{`when: {...}, value: given.weeks, must: <=4`, "5:9", "only fields are allowed in when", "an open record says nothing", "CUE's Subsume, measured"},
		{`when: weeks: given.days, value: given.weeks, must: <=4`, "5:15", "is outside what a claim may say", "a reference", "CUE's Subsume, measured"},
		{`limit: a: 4, when: weeks: <limit.a, value: given.weeks, must: <=limit.a`, "5:28", "the operand of < is a number", "a limit belongs in must, where a clinic can narrow it", "docs/architecture.md"},
		{`when: weeks: "\(x)", value: given.weeks, must: <=4`, "5:15", "is outside what a claim may say", "interpolation", "CUE v0.17.1 measured"},
		{`when: weeks: [1], value: given.weeks, must: <=4`, "5:15", "is outside what a claim may say", "a list", "docs/architecture.md"},
		{`when: weeks: list.MatchN(>1, {a: 1}), value: given.weeks, must: <=4`, "5:15", "list.MatchN(>0, X)", "only whether there is one", "docs/architecture.md"},
		{`when: weeks: list.Contains([1], 1), value: given.weeks, must: <=4`, "5:15", "list.MatchN(>0, X)", "another builtin", "docs/architecture.md"},
		{`when: weeks: strings.MaxRunes(3), value: given.weeks, must: <=4`, "5:15", "is outside what a claim may say", "a validator", "docs/architecture.md"},
		{`when: weeks: 1 + 1, value: given.weeks, must: <=4`, "5:15", "is outside what a claim may say", "arithmetic", "docs/architecture.md"},
		{`when: weeks: int, value: given.weeks, must: <=4`, "5:15", "is outside what a claim may say", "1.0 is an int to some and not to others", "CUE v0.17.1 measured"},
		{`when: weeks: !="a", value: given.weeks, must: <=4`, "5:15", "the operand of != is a number", "CUE compares texts, the predicate does not", "docs/architecture.md"},
		{`when: weeks: _|_, value: given.weeks, must: <=4`, "5:15", "", "absence is written x?: _|_", "docs/architecture.md"},
		// facts and value
		{`facts: a: given.weeks & 4, value: facts.a, must: <=4`, "5:12", "outside what a rule may compute", "unification", "docs/architecture.md"},
		{`facts: a: 1 | 2, value: facts.a, must: <=4`, "5:12", "outside what a rule may compute", "a choice without a default", "docs/architecture.md"},
		{`facts: a: math.Round(given.weeks), value: facts.a, must: <=4`, "5:12", "outside what a rule may compute", "a call", "CUE v0.17.1 measured"},
		{`facts: a: given["weeks"], value: facts.a, must: <=4`, "5:12", "outside what a rule may compute", "an index", "docs/architecture.md"},
		{`facts: a: !given.weeks, value: facts.a, must: <=4`, "5:12", "outside what a rule may compute", "not", "docs/architecture.md"},
		{`facts: a: given.weeks > 4, value: facts.a, must: <=4`, "5:12", "", "a comparison", "docs/architecture.md"},
		{`facts: {a: a}, value: facts.a, must: <=4`, "5:13", "", "a fact of itself", "docs/architecture.md"},
		{`facts: {a: given}, value: facts.a, must: <=4`, "5:13", "outside what a rule may compute", "everything at once", "docs/architecture.md"},
		{`value: facts.zz, must: <=4`, "5:9", "fact zz is not defined above its use", "an unknown fact", "docs/architecture.md"},
		{`value: limit.zz, must: <=4`, "5:9", "rule has no limit zz", "an unknown limit", "docs/architecture.md"},
		{`value: sources.zz, must: <=4`, "5:9", "outside what a rule may compute", "a foreign record", "docs/architecture.md"},
		{`value: {a: 1}, must: <=4`, "5:9", "outside what a rule may compute", "a record is no one thing", "docs/architecture.md"},
		{`facts: {a: 1, a: 2}, value: facts.a, must: <=4`, "5:16", "fact a is written twice", "two values", "docs/architecture.md"},
		{`limit: {a: 1, a: 2}, value: given.weeks, must: <=limit.a`, "5:16", "a is written twice", "two numbers", "docs/architecture.md"},
		{`facts: {a: given.weeks, b: a * a, c: b * b, d: c * c, e: d * d, f: e * e, g: f * f, h: g * g}, value: facts.h, must: <=4`, "5:89", "made of more than 64 numbers", "each square doubles the digits", "engineering limit"},
		{`value: given.weeks` + strings.Repeat(" + given.weeks", 64) + `, must: <=4`, "5:9", "made of more than 64 numbers", "a sum as long", "engineering limit"},
		{`value: given.weeks, must: =~"(a{1,30}bcdefghijklmnopqrstuvwxyzbcdefghijklmnopqrstuvwxyz){1,33}"`, "5:28", "the regular expression is too large", "repeats of repeats", "engineering limit"},
		{`value: given.weeks, must: =~"` + strings.Repeat("[^a]{1,900}", 3) + `"`, "5:28", "the regular expression is too large", "repeats in a row", "engineering limit"},
		// must
		{`value: given.weeks, must: <=given.days`, "5:28", "the operand of <= is a number, or in must a limit", "a bound that a clinic cannot narrow", "docs/architecture.md"},
		{`value: given.weeks, must: <=limit.a.b`, "5:28", "the operand of <= is a number, or in must a limit", "a limit is one number", "docs/architecture.md"},
		{`value: given.weeks, must: {a: 1}`, "5:28", "outside what a claim may say", "a record", "docs/architecture.md"},
		{`value: given.weeks, must: [1]`, "5:28", "outside what a claim may say", "a list", "docs/architecture.md"},
		{`value: given.weeks, must: =~given.x`, "5:28", "=~ needs a regular expression in quotes", "a pattern from data", "docs/architecture.md"},
		{`value: given.weeks, must: <"a"`, "5:28", "the operand of < is a number, or in must a limit", "texts have no order here", "docs/architecture.md"},
		// limit, examples, texts
		{`limit: a: "4", value: given.weeks, must: <=limit.a`, "5:12", "limit a is text, allowed: a number", "a limit is a number", "docs/architecture.md"},
		{`limit: a: 2 + 2, value: given.weeks, must: <=limit.a`, "5:12", "is not data", "a limit is a plain number", "docs/architecture.md"},
		{`limit: a?: 4, value: given.weeks, must: <=limit.a`, "5:9", "only name: value is allowed here", "a limit that may not be there", "docs/architecture.md"},
		{`examples: of: 1 + 1, value: given.weeks, must: <=4`, "5:16", "is not data", "an example is data", "docs/architecture.md"},
		{`examples: {of: "x", fail: [{weeks: <4}]}, value: given.weeks, must: <=4`, "5:37", "is not data", "an example is data", "docs/architecture.md"},
		{`milder: [x], value: given.weeks, must: <=4`, "5:11", "is not data", "a name is text", "docs/architecture.md"},
		{`let x = 4, value: given.weeks, must: <=4`, "5:2", "only fields are allowed in a rule", "an alias", "docs/architecture.md"},
		{`if true {value: given.weeks}, value: given.weeks, must: <=4`, "5:2", "only fields are allowed in a rule", "a condition", "docs/architecture.md"},
		{`valeu: given.weeks, value: given.weeks, must: <=4`, "5:2", "valeu is not a field of a rule", "a misspelt field", "docs/architecture.md"},
		{`must: <=4, must: <=5, value: given.weeks`, "5:13", "must is written twice", "two claims", "docs/architecture.md"},
	} {
		if c.why == "" || c.source == "" {
			t.Errorf("%q has no why or no source", c.body)
		}
		r, err := Parse("r.cue", body(c.body))
		if err == nil || r != nil {
			t.Errorf("%s: %q was read", c.why, c.body)
			continue
		}
		if !strings.Contains(err.Error(), "r.cue:"+c.at) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %q gave\n\t%v\n\twant r.cue:%s and %q", c.why, c.body, err, c.at, c.says)
		}
	}
}

// What the language does allow, and how it judges; a missing value is never silence.
func TestAllowed(t *testing.T) {
	for _, c := range []struct {
		body        string
		given       string // a number of weeks, "" = none
		fires       bool
		why, source string
	}{
		{`value: given.weeks, must: <=4`, "4", false, "at the bound", "docs/architecture.md"},
		{`value: given.weeks, must: <=4`, "4.0000001", true, "past the bound, exactly", "docs/architecture.md"},
		{`value: given.weeks, must: <=4`, "", true, "a missing value is a finding", "docs/architecture.md"},
		{`value: *given.weeks | 3, must: <=4`, "", false, "a default for what is optional", "docs/architecture.md"},
		{`value: given.weeks / given.none, must: <=4`, "8", true, "nothing to divide by is a missing value", "docs/architecture.md"},
		{`facts: z: 0, value: given.weeks / facts.z, must: <=4`, "8", true, "a division by zero is a missing value", "docs/architecture.md"},
		{`facts: {a: given.weeks * 2, b: facts.a - 1}, value: facts.b, must: 7 | 9`, "4", false, "facts in order, a choice", "docs/architecture.md"},
		{`value: given.weeks / 3 * 3, must: 1`, "1", false, "fractions stay exact", "docs/architecture.md"},
		{`value: given.weeks * 0.1 + given.weeks * 0.2, must: 0.3`, "1", false, "decimals stay exact", "docs/architecture.md"},
		{`value: given.weeks, must: >=2 & <=4`, "1", true, "two bounds", "docs/architecture.md"},
		{`value: given.weeks, must: <2 | >4`, "5", false, "either bound", "docs/architecture.md"},
		{`value: given.weeks, must: -3`, "-3", false, "a negative constant", "docs/architecture.md"},
		{`value: given.weeks, must: !=4`, "4", true, "not this one", "docs/architecture.md"},
		{`value: given.weeks, must: "4"`, "4", true, "a number is no text", "docs/architecture.md"},
		{`when: weeks: >4, value: given.weeks, must: <=4`, "4", false, "a rule that does not apply is silent", "docs/architecture.md"},
		{`when: weeks: number, value: given.weeks, must: <=4`, "", false, "a rule about what is there", "docs/architecture.md"},
		{`when: weeks?: _|_, value: given.days, must: <=4`, "", true, "a rule about what is not there", "docs/architecture.md"},
		{`when: weeks?: _|_, value: given.days, must: <=4`, "1", false, "and silent where it is", "docs/architecture.md"},
	} {
		if c.why == "" || c.source == "" {
			t.Errorf("%q has no why or no source", c.body)
		}
		r, err := Parse("r.cue", body(c.body))
		if err != nil {
			t.Errorf("%s: %v", c.why, err)
			continue
		}
		g := tree.NewRecord()
		if c.given != "" {
			g.Set("weeks", tree.Num(unit.MustDec(c.given)))
		}
		f, silent := r.Judge(Given{Node: g, Anchor: g})
		if silent == c.fires {
			t.Errorf("%s: %q on %q: fires %v", c.why, c.body, c.given, !silent)
		}
		if !silent && (f.Message == "" || f.Allowed == "" || f.Rationale == "" || f.Remedy == "") {
			t.Errorf("%s: the finding lacks words: %+v", c.why, f)
		}
	}
}

// A refused narrowing names both places: the clinic's line and the rule's.
func TestNarrowNamesBothPlaces(t *testing.T) {
	r, err := Parse("schema/rules/r-one.cue", body("limit: {floor: 2, ceiling: 0.60}, value: given.weeks, must: >=limit.floor & <=limit.ceiling"))
	if err != nil {
		t.Fatal(err)
	}
	at := finding.Pos{File: "policy.cue", Line: 7, Column: 9}
	num := func(s string) *tree.Node {
		n := tree.Num(unit.MustDec(s))
		n.Raw, n.Pos = s, at
		return n
	}
	word := tree.Str("0.5")
	word.Pos = at
	rec := tree.NewRecord()
	rec.Pos = at
	for _, c := range []struct {
		limit       string
		to          *tree.Node
		says        string
		why, source string
	}{
		{"ceiling", num("0.61"), "widened to 0.61, allowed: at most 0.60", "wider", "docs/architecture.md, refusal 2"},
		{"floor", num("1.9"), "widened to 1.9, allowed: at least 2", "wider, where higher is tighter", "docs/architecture.md, refusal 2"},
		{"roof", num("0.5"), `has no limit "roof", allowed: floor, ceiling`, "an unknown name", "docs/architecture.md, refusal 2"},
		{"ceiling", word, "is text, allowed: a number", "a number in quotes", "docs/architecture.md, refusal 2"},
		{"ceiling", rec, "is a record, allowed: a number", "a record", "docs/architecture.md, refusal 2"},
		{"ceiling", &tree.Node{Kind: tree.Null, Pos: at}, "is nothing, allowed: a number", "nothing", "docs/architecture.md, refusal 2"},
	} {
		if c.why == "" || c.source == "" {
			t.Errorf("%s has no why or no source", c.limit)
		}
		n, err := r.Narrow(c.limit, c.to)
		if err == nil || n != nil {
			t.Errorf("%s was accepted", c.why)
			continue
		}
		for _, want := range []string{"policy.cue:7:9: ", c.says} {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %q does not say %q", c.why, err, want)
			}
		}
	}
	if n, err := r.Narrow("ceiling", num("0.40")); err != nil || n.Verdict != r.Verdict || n.ID != r.ID || r.Limit["ceiling"].Raw != "0.60" {
		t.Errorf("tighter: %v %+v", err, n)
	}
	twice, err := r.Narrow("ceiling", num("0.40"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := twice.Narrow("ceiling", num("0.50")); err == nil {
		t.Error("a narrowed limit was widened again")
	}
}

// Every limit of the real base can be narrowed by a last digit, and not widened by one: none stands apart from its rule.
func TestEveryLimitNarrows(t *testing.T) {
	b, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, r := range b.All() {
		for _, name := range r.Limits {
			n++
			have := r.Limit[name]
			up, down := tree.Num(have.Num.Add(unit.MustDec("0.001"))), tree.Num(have.Num.Sub(unit.MustDec("0.001")))
			_, err1 := r.Narrow(name, up)
			_, err2 := r.Narrow(name, down)
			if (err1 == nil) == (err2 == nil) {
				t.Errorf("%s %s: up %v, down %v", r.ID, name, err1, err2)
			}
			if _, err := r.Narrow(name, have); err != nil {
				t.Errorf("%s %s: the same number is refused: %v", r.ID, name, err)
			}
		}
	}
	if n < 40 {
		t.Errorf("only %d limits", n)
	}
}

// An error about one rule names that rule, and all that is wrong with it at once.
func TestAllAtOnce(t *testing.T) {
	_, err := Parse("r.cue", body(`when: weeks: given.x, facts: a: f(1), value: facts.b, must: <=limit.c, extra: 1`))
	if err == nil {
		t.Fatal("was read")
	}
	places := regexp.MustCompile(`r\.cue:5:[0-9]+`).FindAllString(err.Error(), -1)
	if len(places) < 5 || !strings.Contains(err.Error(), "rule r-one") {
		t.Errorf("%d places in %v", len(places), err)
	}
}

// Rule files that hold no rule.
func TestFiles(t *testing.T) {
	for i, c := range []struct{ src, says, why, source string }{
		{"", "holds no rule", "empty", "one rule a file"},
		{"package rules", "holds no rule", "a clause alone", "one rule a file"},
		{string(body("value: given.weeks, must: <=4")) + "\nb: {}", "holds two rules", "two", "one rule a file"},
		{"#rules: {a: {}, b: {}}", "other than one rule", "two in one record", "one rule a file"},
		{"#rules: {if true {a: {}}}", "allowed: one rule", "a condition inside", "one rule a file"},
		{"if true {a: {}}", "allowed: one rule", "a condition", "one rule a file"},
		{"#rules: a: 4", "is not a record", "a number", "one rule a file"},
		{"#rules: a: schema.#Rule", "is not a record", "a name alone", "one rule a file"},
		{"a: {", "read rule", "syntax", "CUE language"},
		{"\xff", "", "not UTF-8", "CUE language"},
	} {
		if c.why == "" || c.source == "" {
			t.Errorf("row %d has no why or no source", i)
		}
		r, err := Parse("r.cue", []byte(c.src))
		if err == nil || r != nil || !strings.Contains(fmt.Sprint(err), c.says) {
			t.Errorf("%s: %v, want %q", c.why, err, c.says)
		}
	}
}

// What stands among a clinic's own rules and is no rule by name is an error with its place: skipped, it would be a limit
// that silently does not apply.
func TestOwnRefuses(t *testing.T) {
	good := strings.TrimSuffix(strings.SplitN(head, "& {", 2)[1], "\n\t") + ", value: given.weeks, must: <=4"
	for _, c := range []struct{ rules, says, why, source string }{
		{`"clinic-a": {` + good + `}, if true {"clinic-b": {` + good + `}}`, "only rules by name are allowed here", "a condition", "docs/architecture.md, refusal 2"},
		{`"clinic-a"?: {` + good + `}`, "p.cue:1:9: only rules by name are allowed here", "a rule that may not be there", "docs/architecture.md, refusal 2"},
		{`[string]: {` + good + `}`, "p.cue:1:9: [string] is not a field name", "a pattern", "docs/architecture.md, refusal 2"},
		{`...`, "p.cue:1:9: only rules by name are allowed here", "an open record", "docs/architecture.md, refusal 2"},
		{`"clinic-a": {` + good + `}, "clinic-a": {` + good + `}`, "it is written twice", "two of a name", "docs/architecture.md, refusal 2"},
		{`"clinic-a": 4`, "it is no record", "no record", "docs/architecture.md, refusal 2"},
		{`"clinic-a": {` + good + `} | {}`, "it is no record", "a choice", "docs/architecture.md, refusal 2"},
	} {
		if c.why == "" || c.source == "" {
			t.Errorf("%q has no why or no source", c.rules)
		}
		f, err := parser.ParseFile("p.cue", "rules: {"+c.rules+"}")
		if err != nil {
			t.Fatal(err)
		}
		_, errs := Own("p.cue", f.Decls[0].(*ast.Field).Value.(*ast.StructLit))
		if len(errs) == 0 || !strings.Contains(errs[0].Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.why, errs, c.says)
		}
	}
	f, err := parser.ParseFile("p.cue", "rules: {\n// a comment\n\"clinic-a\": s.#Rule & {"+good+"}}")
	if err != nil {
		t.Fatal(err)
	}
	if out, errs := Own("p.cue", f.Decls[0].(*ast.Field).Value.(*ast.StructLit)); len(errs) > 0 || len(out) != 1 || out[0].ID != "clinic-a" {
		t.Errorf("%v %v", out, errs)
	}
}
