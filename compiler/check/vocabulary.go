package check

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// vocabulary finds words that the rule base does not know, which would silently mean nothing, and days that have not
// come yet.
func (c *Checker) vocabulary(cl *load.Client, o Occasion) (out []finding.Finding) {
	var questions, medicines []string
	for _, q := range c.Base.Questions() {
		questions = append(questions, q.ID)
	}
	codes := questions
	for _, q := range c.Base.Stops() {
		codes = append(codes[:len(codes):len(codes)], q.ID)
	}
	for k := range c.Base.Medicines {
		medicines = append(medicines, k)
	}
	sort.Strings(medicines)
	n := cl.Node
	if a := n.Get("screening", "answers"); a != nil {
		for _, k := range a.Keys {
			if !slices.Contains(questions, k) {
				out = append(out, unknown(a.Field[k], k, "a question of the set", askedFor, questions))
			}
		}
	}
	for _, e := range n.Get("conditions").Items() {
		if x := e.Get("code"); !slices.Contains(codes, x.Text()) {
			out = append(out, unknown(x, x.Text(), "a condition that a question asks about", askedFor, codes))
		}
	}
	for _, e := range n.Get("medicines").Items() {
		if x := e.Get("class"); !slices.Contains(medicines, x.Text()) {
			out = append(out, unknown(x, x.Text(), "a class of medicine", "write the class: "+strings.Join(medicines, ", "), medicines))
		}
	}
	gates := slices.Concat([]string{gatePressure, gatePulse, gateAge}, codes, medicines)
	for _, e := range n.Get("clearances").Items() {
		if x := e.Get("for").Elem[0]; !slices.Contains(gates, x.Text()) {
			out = append(out, unknown(x, x.Text(), "a gate", fmt.Sprintf("write %s, %s, %s, %s, the code of a condition or a class of medicine", gatePressure, gatePulse, gateAge, GateLog), gates))
		}
	}
	return append(out, future(n, o.Today)...)
}

const askedFor = "write one of the questions' names: `isocue new client -` lists them with what they ask"

func unknown(n *tree.Node, word, what, remedy string, known []string) finding.Finding {
	f := finding.Finding{Rule: load.Shape, Verdict: finding.Malformed, Pos: n.Pos, Path: n.Path(), Found: word,
		Message: fmt.Sprintf("%q is not %s", word, what), Remedy: remedy,
		Rationale: "A word that no rule knows would silently mean nothing."}
	if m := near.Match(word, known); m != "" {
		f.Message += fmt.Sprintf(", did you mean %q", m)
		f.Remedy = fmt.Sprintf("write %q", m)
	}
	return f
}

// future finds measurements, answers and births dated after today.
func future(n *tree.Node, today unit.Date) (out []finding.Finding) {
	late := func(x *tree.Node, d unit.Date) {
		if x != nil && d > today {
			out = append(out, finding.Finding{Rule: load.Shape, Verdict: finding.Malformed, Pos: x.Pos, Path: x.Path(), Found: x.Raw,
				Message: fmt.Sprintf("%s is %s, after today, %s; allowed: a day that has come", x.Path(), x.Raw, today),
				Remedy:  "correct the date", Rationale: "Nothing can be measured or answered on a day that has not come."})
		}
	}
	day := func(x *tree.Node) {
		if x != nil && len(x.Str) >= 10 {
			if d, err := unit.ParseDate(x.Str[:10]); err == nil {
				late(x, d)
			}
		}
	}
	day(n.Get("screening", "date"))
	day(n.Get("taught", "date"))
	day(n.Get("consent", "date"))
	for _, list := range []string{"grip", "inspiratory", "squat"} {
		for _, e := range n.Get("measured", list).Items() {
			day(e.Get("date"))
		}
	}
	for _, e := range n.Get("measured", "bloodPressure").Items() {
		day(e.Get("at"))
	}
	for _, list := range []string{"conditions", "clearances", "medicines"} {
		for _, e := range n.Get(list).Items() {
			day(e.Get("since"))
			day(e.Get("date"))
			day(e.Get("changed"))
		}
	}
	if b := n.Get("born"); b != nil && b.Whole() > today.Time().Year() {
		late(b, today+1)
	}
	return out
}
