package rule

import (
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/tree"
)

// Roles says who may open which health gate by a clearance.
type Roles struct {
	every []string
	some  []field

	// Counts is for how many days a clearance of a gate counts where it is needed; of one that is not here there is no such end.
	Counts map[string]int
}

// field is what some clinicians know, by the words of their roles, and the gates of it.
type field struct{ words, gates []string }

// mostNamed is how many of those who open every gate are named to somebody who asks.
const mostNamed = 8

// For names who may open a gate: some who may open each, then the specialists of its field.
func (r Roles) For(gate string) []string {
	out := slices.Clone(r.every[:min(len(r.every), mostNamed)])
	for _, f := range r.some {
		if slices.Contains(f.gates, gate) {
			out = append(out, f.words[0])
		}
	}
	return out
}

// Opens says whether a clinician of a role may open a gate. Letters, hyphens and doubled spaces make no other role.
func (r Roles) Opens(role, gate string) bool {
	words := plainRole(role)
	return slices.Contains(r.every, words) || slices.ContainsFunc(r.some, func(f field) bool { return slices.Contains(f.words, words) && slices.Contains(f.gates, gate) })
}

func plainRole(role string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(strings.ToLower(role), "-", " ")), " ")
}

// checkRoles holds the list to gates that there are.
func (b *Base) checkRoles() (errs []error) {
	for _, f := range b.Roles.some {
		for _, g := range f.gates {
			if !slices.ContainsFunc(b.Questions(), func(q Question) bool { return q.ID == g }) {
				errs = append(errs, fmt.Errorf("roles.cue: %s may open %s, which is no gate", f.words[0], g))
			}
		}
	}
	return errs
}

func (b *Base) readRoles(n *tree.Node) {
	all := n.Get("roles")
	b.Roles = Roles{every: texts(all.Get("every")), Counts: map[string]int{}}
	for _, g := range all.Get("counts").Keys {
		b.Roles.Counts[g] = all.Get("counts", g).Whole()
	}
	for _, s := range all.Get("some").Items() {
		b.Roles.some = append(b.Roles.some, field{texts(s.Get("words")), texts(s.Get("gates"))})
	}
}
