package rule

import (
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/tree"
)

// Roles says who may open which health gate by a clearance.
type Roles struct {
	every map[string]bool
	some  map[string][]string // the gates of a role

	// Counts is for how many days a clearance of a gate counts where it is needed; of one that is not here there is no such end.
	Counts map[string]int
}

// Opens says whether a clinician of a role may open a gate. Letters, hyphens and doubled spaces make no other role.
func (r Roles) Opens(role, gate string) bool {
	words := plainRole(role)
	return r.every[words] || slices.Contains(r.some[words], gate)
}

func plainRole(role string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(strings.ToLower(role), "-", " ")), " ")
}

// checkRoles holds the list to gates that there are.
func (b *Base) checkRoles() (errs []error) {
	for role, gates := range b.Roles.some {
		for _, g := range gates {
			if !slices.ContainsFunc(b.Questions(), func(q Question) bool { return q.ID == g }) {
				errs = append(errs, fmt.Errorf("roles.cue: %s may open %s, which is no gate", role, g))
			}
		}
	}
	return errs
}

func (b *Base) readRoles(n *tree.Node) {
	all := n.Get("roles")
	b.Roles = Roles{every: map[string]bool{}, some: map[string][]string{}, Counts: map[string]int{}}
	for _, w := range texts(all.Get("every")) {
		b.Roles.every[w] = true
	}
	for _, g := range all.Get("counts").Keys {
		b.Roles.Counts[g] = all.Get("counts", g).Whole()
	}
	for _, s := range all.Get("some").Items() {
		for _, w := range texts(s.Get("words")) {
			b.Roles.some[w] = append(b.Roles.some[w], texts(s.Get("gates"))...)
		}
	}
}
