package rule

import (
	"regexp"
	"strings"

	"cuelang.org/go/cue/ast"

	"isocue.example/compiler/tree"
)

// A remedy is a text for people, and, where it can be followed in data, what to write where. Its numbers are those of the limits and of
// what is written, by holes, so that text, data and claim cannot part; a test follows every one and judges again.

// written is one value that a remedy writes.
type written struct {
	path []string
	x    expr
}

// writes compiles what a remedy writes: nested fields, each a value, a number worked out as in facts, or null to leave the field out.
func (c *compiler) writes(path []string, x ast.Expr) {
	switch x := x.(type) {
	case *ast.StructLit:
		for _, d := range x.Elts {
			if f, ok := d.(*ast.Field); ok {
				c.writes(append(path[:len(path):len(path)], c.name(f)), f.Value)
			} else {
				c.bad(d, "only fields are allowed in write")
			}
		}
		return
	case *ast.ListLit:
		n := c.data(x)
		c.r.write = append(c.r.write, written{path, func(*env) *tree.Node { return n }})
	default:
		c.computed(x)
		c.r.write = append(c.r.write, written{path, c.expr(x)})
	}
	c.reads = append(c.reads, read{path, c.pos(x)})
}

// Write is what the remedy says to write into facts on which the rule fires, a null where a field is to be left out; nil where the
// remedy cannot be followed in data.
func (r *Rule) Write(g *tree.Node) *tree.Node {
	e, _, _ := r.eval(g)
	return r.written(e)
}

func (r *Rule) written(e *env) *tree.Node {
	if len(r.write) == 0 {
		return nil
	}
	out := tree.NewRecord()
	for _, w := range r.write {
		v := w.x(e)
		if v == nil {
			return nil // what it is worked out from is missing
		}
		at, last := out, len(w.path)-1
		for _, k := range w.path[:last] {
			if at.Field[k] == nil {
				at.Link(k, tree.NewRecord())
			}
			at = at.Field[k]
		}
		at.Link(w.path[last], v)
	}
	return out
}

// advice is the remedy for one finding. Under a clinic's own limits it is the clinic's: a number of the rule base that the clinic refuses
// is no repair.
func (r *Rule) advice(e *env, v *tree.Node) string {
	if len(r.own) == 0 {
		return r.fill(r.remedy, e, v)
	}
	if w := r.written(e); w != nil && !digit.MatchString(hole.ReplaceAllString(r.remedy, "")) {
		if _, _, silent := r.eval(tree.Merge(e.given, w)); silent {
			return r.fill(r.remedy, e, v)
		}
	}
	return r.Remedy
}

// Holes finds the holes of a text.
var Holes = hole

// RemedyText is the remedy as written, with its holes.
func (r *Rule) RemedyText() string { return r.remedy }

var (
	hole  = regexp.MustCompile(`\{([a-zA-Z.]+)\}`)
	digit = regexp.MustCompile(`[0-9]`)
)

// fill puts values into the holes of a text.
func (r *Rule) fill(text string, e *env, v *tree.Node) string {
	return hole.ReplaceAllStringFunc(text, func(h string) string {
		p := strings.Split(h[1:len(h)-1], ".")
		switch p[0] {
		case "value":
			return show(v)
		case "limit":
			return show(e.limit[p[1]])
		case "facts":
			return show(e.facts[p[1]])
		case "write":
			for _, w := range r.write {
				if strings.Join(w.path, ".") == strings.Join(p[1:], ".") {
					if n := w.x(e); n != nil {
						return show(n)
					}
				}
			}
			return "a value worked out from the stage before"
		}
		return show(e.given.Get(p[1:]...))
	})
}
