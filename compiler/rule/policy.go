package rule

import (
	"errors"
	"slices"
	"strings"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/token"
)

// ClinicPrefix begins the id of every rule of a clinic's own.
const ClinicPrefix = "clinic-"

// Own compiles the rules of a clinic's policy from their syntax; nothing of them is evaluated. Refused are those that are
// outside the rule language.
func Own(file string, s *ast.StructLit) (out []*Rule, refused []*Refused) {
	seen := map[string]bool{}
	all := &compiler{file: file} // counts over all of them
	for _, d := range s.Elts {
		if _, comment := d.(*ast.CommentGroup); comment {
			continue
		}
		top := compiler{file: file} // only for the place
		f, ok := d.(*ast.Field)
		if !ok || f.Constraint != token.ILLEGAL {
			top.bad(d, "only rules by name are allowed here")
		} else if id := top.name(f); seen[id] {
			top.bad(f, "it is written twice")
		} else {
			seen[id] = true
			if !strings.HasPrefix(id, ClinicPrefix) {
				top.bad(f, "a policy cannot change a rule of the base; tighten its limit under limits, or write a rule named %s...", ClinicPrefix)
			}
		}
		if len(top.errs) > 0 {
			id := ""
			if ok {
				id = label(f)
			}
			refused = append(refused, &Refused{id, top.errs[:1]})
			continue
		}
		v := f.Value
		if b, ok := v.(*ast.BinaryExpr); ok && b.Op == token.AND {
			v = b.Y
		}
		st, ok := v.(*ast.StructLit)
		if !ok {
			refused = append(refused, &Refused{label(f), []Trouble{{top.pos(v), "it is no record, allowed: schema.#Rule & {...}"}}})
			continue
		}
		all.at = top.pos(f)
		r, err := all.rule(label(f), st)
		var no *Refused
		if errors.As(err, &no) {
			refused = append(refused, no)
			continue
		}
		out = append(out, r)
	}
	return out, refused
}

// With is the base with some rules replaced or added. The base itself stays as it is.
func (b *Base) With(rules ...*Rule) *Base {
	out := *b
	out.rules = slices.Clone(b.rules)
	for _, r := range rules {
		l := &lazy{id: r.ID, file: r.File, about: r.About}
		l.once.Do(func() { l.rule = r })
		i, found := slices.BinarySearchFunc(out.rules, r.ID, func(l *lazy, id string) int { return strings.Compare(l.id, id) })
		if found {
			out.rules[i] = l
		} else {
			out.rules = slices.Insert(out.rules, i, l)
		}
	}
	return &out
}
