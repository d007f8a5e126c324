package zone

import (
	"cmp"
	"slices"
	"strings"

	"isocue.example/compiler/near"
)

// nearest is at most three of names that name may be a slip of: the smallest edit distance first, then by name. A bare
// city counts as its own slip, since that is how people name their zone.
func nearest(names []string, name string) []string {
	if len(name) > maxName {
		return nil
	}
	type candidate struct {
		name     string
		distance int
	}
	wanted := fold(name)
	limit := max(2, len(wanted)/5)
	var found []candidate
	for _, n := range names {
		d := near.Distance(wanted, fold(n))
		if city := n[strings.LastIndexByte(n, '/')+1:]; len(city) > 3 && len(city) < len(n) {
			// One more than a slip of the whole name, so that the whole name wins a draw.
			d = min(d, 1+near.Distance(wanted, fold(city)))
		}
		if d <= limit {
			found = append(found, candidate{n, d})
		}
	}
	slices.SortFunc(found, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.name, b.name))
	})
	var out []string
	for _, c := range found {
		if c.distance > found[0].distance || len(out) == 3 {
			break
		}
		out = append(out, c.name)
	}
	return out
}

// fold makes names comparable as people type them.
func fold(s string) string { return strings.ReplaceAll(strings.ToLower(s), " ", "_") }
