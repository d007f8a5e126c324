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
	w, n := c.words(), cl.Node
	out = w.answers(n.Get("screening", "answers"))
	for _, e := range n.Get("conditions").Items() {
		out = append(out, w.condition(e)...)
	}
	for _, e := range n.Get("medicines").Items() {
		out = append(out, c.medicine(e)...)
	}
	for _, e := range n.Get("clearances").Items() {
		out = append(out, w.clearance(e)...)
	}
	return append(out, future(n, o.Today)...)
}

// words are those that the rule base knows: of a record and of a diary alike.
type words struct{ questions, codes, medicines, gates []string }

func (c *Checker) words() (w words) {
	for _, q := range c.Base.Questions() {
		w.questions = append(w.questions, q.ID)
	}
	w.codes = slices.Clone(w.questions)
	for _, q := range c.Base.Stops() {
		w.codes = append(w.codes, q.ID)
	}
	for k := range c.Base.Medicines {
		w.medicines = append(w.medicines, k)
	}
	sort.Strings(w.medicines)
	w.gates = slices.Concat(plainGates, w.codes, w.medicines)
	return w
}

// known finds that the word at a place is none of those that are known; at no place it finds nothing.
func known(n *tree.Node, what, remedy string, all []string) []finding.Finding {
	if n == nil || slices.Contains(all, n.Text()) {
		return nil
	}
	return []finding.Finding{unknown(n, n.Text(), what, remedy, all)}
}

func (w words) answers(a *tree.Node) (out []finding.Finding) {
	if a == nil {
		return nil
	}
	for _, k := range a.Keys {
		if !slices.Contains(w.questions, k) {
			out = append(out, unknown(a.Field[k], k, "a question of the set", askedFor, w.questions))
		}
	}
	return out
}

func (w words) condition(n *tree.Node) []finding.Finding {
	return known(n.Get("code"), "a condition that a question asks about", askedFor, w.codes)
}

func (w words) clearance(n *tree.Node) []finding.Finding {
	return known(n.Get("for", "0"), "a gate", fmt.Sprintf("write %s, %s, the code of a condition or a class of medicine", strings.Join(plainGates, ", "), GateLog), w.gates)
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
