package rule

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"cuelang.org/go/cue/ast"
	"cuelang.org/go/cue/format"
	"cuelang.org/go/cue/literal"
	"cuelang.org/go/cue/parser"
	"cuelang.org/go/cue/token"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
)

// compiler turns one rule's syntax tree into a Rule and collects everything that is wrong with it.
type compiler struct {
	file  string
	r     *Rule
	known map[string]bool // facts defined so far
	made  map[string]int  // fact -> numbers that it is made of
	spent int             // steps of the regular expressions so far
	reads []read          // given paths that the rule reads
	errs  []Trouble
	at    finding.Pos // of the rule's name
	lacks []string    // fields that it must have
}

// read is a given path that a rule reads, and where.
type read struct {
	path []string
	pos  finding.Pos
}

// Parse reads one rule file. The error lists everything outside the rule language, each with its place.
func Parse(file string, src []byte) (*Rule, error) { return parse(file, nil, src) }

// parse reads one rule, which may be a row of one of the statements.
func parse(file string, statements, src []byte) (*Rule, error) {
	f, err := parser.ParseFile(file, src, parser.Version("v0.17.0"))
	if err != nil {
		return nil, fmt.Errorf("read rule: %w", err)
	}
	var found *ast.Field
	for _, d := range f.Decls {
		switch d := d.(type) {
		case *ast.Package, *ast.ImportDecl, *ast.CommentGroup:
		case *ast.Field:
			if found != nil {
				return nil, fmt.Errorf("%s holds two rules, allowed: one", file)
			}
			found = d
		default:
			return nil, fmt.Errorf("%s holds %T, allowed: one rule", file, d)
		}
	}
	if found == nil || label(found) != "#rules" {
		return nil, fmt.Errorf("%s holds no rule, allowed: #rules: id: schema.#Rule & {...}", file)
	}
	s, ok := found.Value.(*ast.StructLit)
	if !ok || len(s.Elts) != 1 {
		return nil, fmt.Errorf("%s holds other than one rule, allowed: one", file)
	}
	if found, ok = s.Elts[0].(*ast.Field); !ok {
		return nil, fmt.Errorf("%s holds %T, allowed: one rule", file, s.Elts[0])
	}
	v := found.Value
	if b, ok := v.(*ast.BinaryExpr); ok && b.Op == token.AND {
		v = b.Y
	}
	if s, ok = v.(*ast.StructLit); !ok {
		return nil, fmt.Errorf("%s: rule %s is not a record", file, label(found))
	}
	c := &compiler{file: file}
	var troubles []Trouble
	if name := named(found.Value); name != "" {
		says, err := parser.ParseFile(file, statements, parser.Version("v0.17.0"))
		if err != nil {
			return nil, fmt.Errorf("read statement: %w", err)
		}
		s = c.stated(says, name, s)
		troubles = c.errs
	}
	c.at = c.pos(found)
	r, err := c.rule(label(found), s)
	if len(troubles) > 0 {
		return nil, &Refused{label(found), troubles}
	}
	return r, err
}

func (c *compiler) rule(id string, s *ast.StructLit) (*Rule, error) {
	file := c.file
	c.known, c.made, c.reads, c.errs, c.lacks = map[string]bool{}, map[string]int{}, nil, nil, nil
	c.r = &Rule{ID: id, File: file, Pos: c.at, Limit: map[string]*tree.Node{}, dir: map[string]int{}}
	get := map[string]ast.Expr{}
	for _, d := range s.Elts {
		f, ok := d.(*ast.Field)
		if !ok {
			if _, comment := d.(*ast.CommentGroup); !comment {
				c.bad(d, "only fields are allowed in a rule")
			}
			continue
		}
		n := c.name(f)
		if get[n] != nil {
			c.bad(f, "%s is written twice", n)
		}
		get[n] = f.Value
		if !fieldNames[n] {
			c.bad(f, "%s is not a field of a rule", n)
		}
	}
	r := c.r
	r.Title, r.About, r.Verdict = c.text(get, "title"), c.text(get, "about"), finding.Verdict(c.text(get, "verdict"))
	r.Message, r.Rationale, r.remedy = c.text(get, "message"), c.text(get, "rationale"), c.text(get, "remedy")
	r.Since, r.At = c.text(get, "since"), c.text(get, "at")
	r.at = strings.Split(r.At, ".")
	r.Milder, r.Sources = c.texts(get["milder"]), c.texts(get["sources"])
	c.given(get["given"])
	if x := get["limit"]; x != nil {
		n := c.data(x)
		r.Limits, r.Limit = n.Keys, n.Field
		for _, l := range n.Keys {
			if m := n.Field[l]; m.Kind != tree.Number {
				c.errs = append(c.errs, Trouble{m.Pos, fmt.Sprintf("limit %s is %s, allowed: a number", l, m.Kind)})
			}
		}
	}
	if x := get["holds"]; x != nil {
		n := c.data(x)
		r.Holds = n.Bool
		if r.Verdict != finding.Unsafe {
			c.bad(x, "holds is allowed in unsafe rules alone")
		}
	}
	if x := get["tell"]; x != nil {
		n := c.data(x)
		r.Tell = Tell{Who: n.Get("who").Text(), HowSoon: n.Get("howSoon").Text(), Narrow: n.Get("closes") != nil, DayAlone: yes(n, "dayAlone")}
		for _, m := range texts(n.Get("closes")) {
			r.Tell.Only = append(r.Tell.Only, record.Modality(m))
		}
	}
	if (r.About == "log") != (r.Tell.Who != "" && r.Tell.HowSoon != "") {
		c.bad(cmp.Or[ast.Node](get["tell"], s), "a rule about a log says tell, with who and howSoon, and no other rule does")
	}
	if x := get["when"]; x != nil {
		r.when = c.conds(nil, x)
		if b, err := format.Node(x); err == nil {
			r.WhenText = strings.TrimSpace(string(b))
		}
	}
	if st, ok := get["facts"].(*ast.StructLit); ok {
		for _, d := range st.Elts {
			if f, ok := d.(*ast.Field); ok {
				if c.known[c.name(f)] {
					c.bad(f, "fact %s is written twice", label(f))
				}
				r.facts = append(r.facts, fact{label(f), c.expr(f.Value)})
				c.known[label(f)], c.made[label(f)] = true, c.computed(f.Value)
			}
		}
	}
	for _, need := range []string{"value", "must"} {
		if get[need] == nil {
			c.lacks = append(c.lacks, need)
		}
	}
	if len(c.lacks) > 0 { // what follows from that is told of nothing
		return nil, &Refused{id, []Trouble{{r.Pos, "the rule lacks " + strings.Join(c.lacks, ", ")}}}
	}
	r.value = c.expr(get["value"])
	c.computed(get["value"])
	r.must = c.claim(get["must"], true)
	r.claims, r.judges = get["must"], []ast.Node{get["value"]}
	if get["facts"] != nil {
		r.judges = append(r.judges, get["facts"])
	}
	for _, l := range r.Limits {
		if _, used := r.dir[l]; !used {
			c.bad(get["limit"], "limit %s stands in no bound of must", l)
		}
	}
	if st, ok := get["examples"].(*ast.StructLit); ok {
		n := c.data(st)
		r.Example = Examples{Of: n.Get("of").Text(), Pass: n.Get("pass").Items(), Fail: n.Get("fail").Items()}
	}
	c.holes("message", r.Message, get["message"])
	r.reads, c.reads = c.reads, nil
	if x := get["write"]; x != nil {
		c.writes(nil, x)
	}
	c.holes("remedy", r.remedy, get["remedy"])
	r.also = c.reads
	r.Remedy = r.fill(r.remedy, &env{given: tree.NewRecord(), limit: r.Limit}, nil)
	if len(c.errs) > 0 {
		return nil, &Refused{id, c.errs}
	}
	return r, nil
}

var fieldNames = map[string]bool{"title": true, "about": true, "verdict": true, "given": true, "when": true, "limit": true, "facts": true,
	"value": true, "must": true, "at": true, "message": true, "rationale": true, "remedy": true, "write": true, "milder": true, "sources": true, "tell": true,
	"since": true, "examples": true, "holds": true}

// holes checks that every hole of a text can be filled.
func (c *compiler) holes(field, text string, x ast.Expr) {
	for _, m := range hole.FindAllStringSubmatch(text, -1) {
		p := strings.Split(m[1], ".")
		ok := false
		switch {
		case p[0] == "value":
			ok = len(p) == 1
		case p[0] == "limit" && len(p) == 2:
			ok = c.r.Limit[p[1]] != nil
		case p[0] == "facts" && len(p) == 2:
			ok = c.known[p[1]]
		case p[0] == "write" && field == "remedy":
			ok = slices.ContainsFunc(c.r.write, func(w written) bool { return slices.Equal(w.path, p[1:]) })
		case p[0] == "given" && len(p) > 1:
			ok = true
			c.reads = append(c.reads, read{p[1:], c.pos(x)})
		}
		if !ok {
			c.errs = append(c.errs, Trouble{c.pos(x), fmt.Sprintf("%s has a hole {%s} that nothing fills", field, m[1])})
		}
	}
}

// given holds the type of the facts to what the rule is about. Without a type an editor completes nothing.
func (c *compiler) given(x ast.Expr) {
	if s, ok := x.(*ast.StructLit); ok && len(s.Elts) == 1 {
		if _, open := s.Elts[0].(*ast.Ellipsis); open {
			return
		}
	}
	if x != nil && strings.Join(chain(x), ".") != "schema.#Given."+c.r.About {
		c.bad(x, "given is of another type, allowed: schema.#Given.%s, for that is what the rule is about", c.r.About)
	}
}

func (c *compiler) bad(n ast.Node, f string, a ...any) {
	c.errs = append(c.errs, Trouble{c.pos(n), fmt.Sprintf(f, a...)})
}

func (c *compiler) pos(n ast.Node) finding.Pos {
	p := n.Pos()
	if !p.IsValid() {
		return finding.Pos{File: c.file}
	}
	return finding.Pos{File: c.file, Line: p.Line(), Column: p.Column()}
}

func (c *compiler) text(get map[string]ast.Expr, k string) string {
	b, ok := get[k].(*ast.BasicLit)
	switch {
	case get[k] == nil:
		c.lacks = append(c.lacks, k)
		return ""
	case !ok:
		c.bad(get[k], "%s is not a plain text, allowed: one line in quotes", k)
		return ""
	}
	s, err := literal.Unquote(b.Value)
	if err != nil || s == "" || !finding.OneLine(s) {
		c.bad(b, "%s is not a plain text, allowed: one line without control characters", k)
	}
	return s
}

func (c *compiler) texts(x ast.Expr) (out []string) {
	if x == nil {
		return nil
	}
	for _, n := range c.data(x).Items() {
		out = append(out, n.Text())
	}
	return out
}
