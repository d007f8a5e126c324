package load

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/cueval"
	"isocue.example/compiler/near"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// shape holds n against a definition and reports; true when it fits.
func (r *Reader) shape(f *File, s *cueval.Schema, def string, n *tree.Node) bool {
	problems := onceEach(s.Check(def, n))
	for _, p := range problems {
		fd := f.shapeFinding(p)
		if m, number := meant(p); m != "" && (number == nil || s != r.protocols || r.Accepts == nil || r.Accepts(n, p.Node, number)) {
			fd.Message += ", did you mean " + m
			fd.Remedy = "write " + m
		}
		f.Findings = append(f.Findings, fd)
	}
	return len(problems) == 0
}

// onceEach leaves out what follows from another problem: one mistake, one finding. Nothing is told of what stands in an unknown field, and
// a field is not missing where a misspelt one stands for it.
func onceEach(ps []cueval.Problem) []cueval.Problem {
	meant, unknown := map[string]bool{}, map[string]bool{}
	for _, p := range ps {
		if p.Kind == cueval.UnknownField {
			unknown[p.Node.Path()] = true
		}
		if m := near.Match(p.Name, p.Known); p.Kind == cueval.UnknownField && m != "" {
			path := p.Node.Path()
			meant[strings.TrimSuffix(path, p.Name)+m] = true
		}
	}
	return slices.DeleteFunc(ps, func(p cueval.Problem) bool {
		path := p.Node.Path()
		if p.Kind == cueval.MissingField && (meant[p.Node.Join(p.Name)] || unknown[path]) {
			return true
		}
		for i, c := range path {
			if (c == '.' || c == '[') && unknown[path[:i]] {
				return true
			}
		}
		return false
	})
}

func (f *File) shapeFinding(p cueval.Problem) finding.Finding {
	fd := finding.Finding{Rule: Shape, Verdict: finding.Malformed, Pos: p.Node.Pos, Path: p.Node.Path(), Allowed: p.Allowed,
		Rationale: shapeWhy, Private: f.Kind.Private()}
	switch p.Kind {
	case cueval.MissingField:
		fd.Path = p.Node.Join(p.Name)
		fd.Message = fmt.Sprintf("%s is missing", fd.Path)
		fd.Remedy = "add it"
		if p.Allowed != "" {
			fd.Message += ", allowed: " + p.Allowed
			fd.Remedy = fmt.Sprintf("add %s: %s", p.Name, p.Allowed)
		}
	case cueval.UnknownField:
		fd.Found = p.Name
		fd.Message = fmt.Sprintf("%s is not a field here", fd.Path)
		fd.Remedy = "remove it"
		if len(p.Known) > 0 {
			fd.Remedy += ", or use one of: " + strings.Join(p.Known, ", ")
		}
		if m := near.Match(p.Name, p.Known); m != "" {
			fd.Message += fmt.Sprintf(", did you mean %s", m)
			fd.Remedy = "write " + m
		}
	default:
		fd.Found = p.Node.Raw
		if p.Node.Kind == tree.List && p.Allowed == tree.List.String() {
			fd.Allowed = map[bool]string{true: "at least one entry", false: "another number of entries"}[len(p.Node.Elem) == 0]
		}
		fd.Message = fmt.Sprintf("%s is %s, allowed: %s", fd.Path, describe(p.Node), fd.Allowed)
		fd.Remedy = "write " + fd.Allowed
		if bare.MatchString(fd.Allowed) {
			fd.Remedy = "write a number " + fd.Allowed
		}
		switch {
		case p.Node.Kind == tree.List && len(p.Node.Elem) == 0 && fd.Allowed != p.Allowed:
			fd.Remedy = "add an entry, or take the field out"
		case dialled(p.Allowed):
			fd.Remedy = "write one number alone, without a name, a word or a second number beside it"
			fd.Rationale = "A page dials every digit that stands here: of two numbers, or a number with a remark, it would dial a third one."
		case strings.HasPrefix(p.Allowed, saysWho):
			fd.Remedy = "write who or what it is"
			fd.Rationale = "What stands here is printed, and says who answers for it: a placeholder looks as if somebody did."
		}
	}
	return fd
}

// How the words begin that the schema has for a telephone number, which is text and no value to reckon with, and for a name.
const oneNumber, oneEmergency, saysWho = "one telephone number", "one emergency number", "one line of text that says who"

func dialled(allowed string) bool {
	return strings.HasPrefix(allowed, oneNumber) || strings.HasPrefix(allowed, oneEmergency)
}

// counted is how the words of the schema for a number begin.
var counted = regexp.MustCompile(`^(a (whole )?number|over |at least [-0-9]|at most [-0-9]|-?[0-9.]+ to )`)

// bare is how the words for a number begin that do not say that it is one.
var bare = regexp.MustCompile(`^(over |at least |at most |-?[0-9])`)

// describe prints what was found as its author wrote it, shortened.
func describe(n *tree.Node) string {
	if n.Kind == tree.List && len(n.Elem) == 0 {
		return "an empty list"
	}
	if n.Kind == tree.List || n.Kind == tree.Record || n.Kind == tree.Null {
		return n.Kind.String()
	}
	s := n.Raw
	if n.Kind == tree.Text {
		s = strconv.Quote(n.Str)
	}
	if len(s) > 60 {
		s = strings.ToValidUTF8(s[:57], "") + "…"
	}
	return s
}

// meant guesses the slip behind a bad value: percent for a share, a near word, a number that should be text. Where it is a number, rules
// may refuse it.
func meant(p cueval.Problem) (says string, number *tree.Node) {
	n := p.Node
	if p.Kind != cueval.BadValue {
		return "", nil
	}
	switch n.Kind {
	case tree.Number:
		one, hundred := unit.Int(1), unit.Int(100)
		if p.Allowed == "over 0 to 1" && one.Less(n.Num) && !hundred.Less(n.Num) {
			s := n.Num.Quo(hundred).Text(4)
			if i := strings.IndexByte(s, '.'); i >= 0 && len(s)-i == 2 {
				s += "0"
			}
			return s, tree.Num(n.Num.Quo(hundred))
		}
		if p.Allowed == "text" || strings.HasPrefix(p.Allowed, "one line of text") || dialled(p.Allowed) {
			return strconv.Quote(n.Raw) + " in quotes", nil
		}
	case tree.Bool:
		if len(p.Known) > 0 { // yes and no without quotes
			w := map[bool]string{true: "yes", false: "no"}[n.Bool]
			return strconv.Quote(w) + " in quotes", nil
		}
	case tree.Text:
		if m := near.Match(n.Str, p.Known); m != "" {
			return strconv.Quote(m), nil
		}
		if d, err := unit.ParseDec(n.Str); err == nil && counted.MatchString(p.Allowed) {
			return n.Str + " without quotes", tree.Num(d)
		}
	}
	return "", nil
}
