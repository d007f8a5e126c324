package compiler

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
)

// PolicyRule is the rule id of findings about a policy that does more than narrow.
const PolicyRule = "policy"

// Under is the compiler with a clinic's policy laid over the rule base: tighter limits, and the clinic's own rules. A policy
// can only narrow; whatever else it tries is a finding that rejects, and the returned compiler must then not be used.
func (c *Compiler) Under(f *load.File) (*Compiler, []finding.Finding) {
	defer c.Reader.Watch("reading the rules of " + f.Name)()
	fs := append([]finding.Finding(nil), f.Findings...)
	if f.Kind != load.IsPolicy {
		return c, append(fs, wrong(f.Name, f.Node, fmt.Sprintf("file is %s, allowed here: a policy", f.Kind.Words()), "name the clinic's policy"))
	}
	if finding.Rejected(fs) {
		return c, fs
	}
	base := c.Check.Base
	limits := f.Node.Get("limits")
	if limits != nil {
		for _, id := range limits.Keys {
			r := base.Rule(id)
			if r == nil {
				msg := fmt.Sprintf("%q is no rule%s; `isocue rules` lists them", id, near.Hint(id, base.IDs()))
				if old, ok := base.RetiredRule(id); ok {
					msg = fmt.Sprintf("%q %s; `isocue explain %s` says why", id, old.Fate(), id)
				}
				fs = append(fs, wrong(f.Name, limits.Field[id], msg, "take it out, or name a rule that `isocue rules` lists"))
				continue
			}
			of := r
			for _, name := range limits.Field[id].Keys {
				n := limits.Field[id].Field[name]
				if name == "why" {
					continue
				}
				s, err := r.Narrow(name, n)
				if err != nil {
					fs = append(fs, wrong(f.Name, n, strings.TrimPrefix(err.Error(), n.Pos.String()+": "), fmt.Sprintf("write a tighter number or take the line out; `isocue explain %s` shows the limit and its reason", id)))
					continue
				}
				r = s
			}
			base = base.With(r.Because(of, limits.Field[id].Pos, limits.Field[id].Get("why").Text()))
		}
	}
	if limits != nil {
		for _, x := range base.Contradictions(limits.Keys) {
			fs = append(fs, wrong(f.Name, limits.Get(x.Rule, x.Limit), x.Says, "write limits that leave a value between them"))
		}
	}
	own, more := c.own(f, base)
	if fs = append(fs, more...); finding.Rejected(fs) {
		return c, finding.Sort(fs)
	}
	judge := check.New(base.With(own...))
	judge.Classes = f.Node.Get("options", "classes").Text()
	judge.AllDays = f.Node.Get("options", "homeWindow").Text() == "all-days"
	reader := *c.Reader
	reader.Accepts = judge.Accepts
	return &Compiler{Reader: &reader, Check: judge, Waivers: c.Waivers, alone: c.byItself()}, finding.Sort(fs)
}

// byItself is the judge of the rule base without a clinic's policy: what a policy narrows makes no honest plan an edited one, and no alert
// of the base milder.
func (c *Compiler) byItself() *Compiler {
	if c.alone != nil {
		return c.alone
	}
	return c
}

// clinicID keeps the id of a clinic's rule one plain word: it stands in every form of findings, and in the ledger.
var clinicID = regexp.MustCompile(`^` + rule.ClinicPrefix + `[a-z0-9-]{1,57}$`)

// own reads the clinic's rules and holds them to what the rules of the base are held to: known facts, known sources, the
// record's texts, and examples that pass and fail.
func (c *Compiler) own(f *load.File, base *rule.Base) (out []*rule.Rule, fs []finding.Finding) {
	if f.Rules == nil {
		return nil, nil
	}
	at := f.Node.Get("rules")
	rules, refused := rule.Own(f.Name, f.Rules)
	// tell reports what is wrong with a rule, at its own place.
	tell := func(id string, pos finding.Pos, says, remedy string) {
		if id != "" {
			says = "rule " + id + ": " + says
		}
		x := wrong(f.Name, at, says, remedy)
		if pos.IsValid() {
			x.Pos = pos
		}
		fs = append(fs, x)
	}
	for _, r := range refused {
		for _, x := range r.Troubles {
			tell(r.ID, x.Pos, x.Says, "`isocue new rule -` prints a whole rule with a comment on each field")
		}
	}
	standards := map[string]*load.File{} // an example is laid over one of them, and there may be many examples
	standard := func(id string) *load.File {
		if _, known := standards[id]; !known {
			standards[id] = c.Standard(id)
		}
		return standards[id]
	}
	for _, r := range rules {
		bad := func(format string, a ...any) {
			tell(r.ID, r.Pos, fmt.Sprintf(format, a...), "`isocue new rule -` prints a whole rule with a comment on each field")
		}
		if !clinicID.MatchString(r.ID) {
			bad("the name is not allowed, allowed: %s, then lower-case letters, digits and -, 64 characters at most", rule.ClinicPrefix)
			continue
		}
		if abouts := base.Abouts(); !slices.Contains(abouts, r.About) {
			bad("about is %q, allowed: %s", r.About, strings.Join(abouts, ", "))
			continue
		}
		switch r.Verdict {
		case finding.Unsafe, finding.OutOfEvidence, finding.Caution:
		default:
			bad("verdict is %q, allowed: unsafe, out-of-evidence or caution", r.Verdict)
		}
		if len(r.Milder) > 0 {
			bad("it has milder, and %v", r.MaySilence(base.Rule(r.Milder[0])))
		}
		texts := tree.NewRecord()
		for k, v := range map[string]string{"title": r.Title, "at": r.At, "message": r.Message, "rationale": r.Rationale, "remedy": r.Remedy, "since": r.Since} {
			texts.Set(k, tree.Str(v))
		}
		for _, says := range c.Reader.RuleTexts(texts) {
			bad("%s", says)
		}
		misread := r.Misread(c.Reader.GivenKnows)
		for _, trouble := range misread {
			tell(r.ID, trouble.Pos, trouble.Says, "write given: schema.#Given."+r.About+", and an editor completes what there is")
		}
		for _, s := range r.Sources {
			if _, ok := base.Sources()[s]; !ok {
				bad("source %q is unknown%s; practice and judgement are sources too", s, near.Hint(s, slices.Sorted(maps.Keys(base.Sources()))))
			}
		}
		var lacks []string
		for _, x := range []struct {
			n    int
			what string
		}{{len(r.Sources), "source"}, {len(r.Example.Pass), "passing example"}, {len(r.Example.Fail), "failing example"}} {
			if x.n == 0 {
				lacks = append(lacks, x.what)
			}
		}
		if len(lacks) > 0 {
			bad("it has no %s, allowed: at least one of each", strings.Join(lacks, " and no "))
			continue
		}
		if len(misread) > 0 {
			continue // its examples would be about another fact
		}
		for i, ex := range append(append([]*tree.Node{}, r.Example.Pass...), r.Example.Fail...) {
			gs, err := check.ExampleGivens(base, standard, r, ex)
			if err != nil {
				bad("%v", err)
				break
			}
			fires := false
			for _, g := range gs {
				_, ok := r.Judge(g)
				fires = fires || !ok
			}
			switch want := i >= len(r.Example.Pass); {
			case fires && !want:
				tell(r.ID, ex.Pos, fmt.Sprintf("pass example %d fires", i+1), "move the example to fail, or change the claim")
			case want && !fires:
				tell(r.ID, ex.Pos, fmt.Sprintf("fail example %d is silent", i+1-len(r.Example.Pass)), "move the example to pass, or change the claim")
			}
		}
		out = append(out, r)
	}
	return out, fs
}

func wrong(file string, n *tree.Node, msg, remedy string) finding.Finding {
	f := finding.Finding{Rule: PolicyRule, Verdict: finding.Malformed, Pos: finding.Pos{File: file, Line: 1, Column: 1}, Message: msg, Remedy: remedy,
		Rationale: "A clinic's policy can only narrow: a limit that silently did not apply, or a wider one, could harm somebody."}
	if n != nil {
		f.Pos, f.Path, f.Found = n.Pos, n.Path(), n.Raw
	}
	return f
}
