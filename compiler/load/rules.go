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
			out = append(out, fmt.Sprintf("%s is %s, allowed: what docs/fields.md says for #Rule", p.Node.Path(), describe(p.Node)))
		}
	}
	return out
}

// GivenKnows says whether given.cue lists a fact for an about, so that a clinic's rule cannot read what never comes.
func (r *Reader) GivenKnows(about string, path []string) bool {
	if about == "protocol" {
		return path[0] == "rampWeeks" || r.givens().Knows(path, "#Handgrip", "#SlowBreathing", "#Inspiratory", "#WallSquat", "#Walking", "#Strength")
	}
	return r.givens().Knows(path, "#Given."+about)
}
