package load

import (
	"fmt"

	"isocue.example/compiler/internal/cueval"
	"isocue.example/compiler/tree"
)

// RuleTexts says which values of a rule's record are outside the schema's #Rule; what the record lacks is told elsewhere.
func (r *Reader) RuleTexts(n *tree.Node) (out []string) {
	for _, p := range r.clinics().Check("#Rule", n) {
		if p.Kind == cueval.BadValue {
			out = append(out, fmt.Sprintf("%s is %s, allowed: %s", p.Node.Path(), describe(p.Node), p.Allowed))
		}
	}
	return out
}

// GivenKnows says whether given.cue lists a fact for an about, so that a rule cannot read what never comes: wrong is the first
// name that it does not list, "" where it lists them all, and beside are those that it lists there.
func (r *Reader) GivenKnows(about string, path []string) (wrong string, beside []string) {
	if about == "protocol" {
		if path[0] == "rampWeeks" {
			return "", nil
		}
		return r.givens().Knows(path, "#Handgrip", "#SlowBreathing", "#Inspiratory", "#WallSquat", "#Walking", "#Strength")
	}
	return r.givens().Knows(path, "#Given."+about)
}
