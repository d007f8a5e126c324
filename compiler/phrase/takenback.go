package phrase

import (
	"slices"
	"strings"

	"isocue.example/compiler/near"
)

// takenBack says whether what follows a denial takes it back: none yesterday, today yes; none, but it came back; none until the
// evening. Behind another symptom it tells of that one.
func (r *reading) takenBack(m match) bool {
	last := m.places[len(m.places)-1]
	if last+1 < len(r.ws) && r.ws[last].ends == open && r.l.until.fits(r.ws[last+1].s) {
		return true
	}
	yes, only := false, true // of the clause that is read
	for k := last + 1; k < min(len(r.ws), last+reach); k++ {
		w := r.ws[k]
		if r.ws[k-1].ends == stop {
			yes, only = false, true
		}
		if r.named[k] || r.negation[k] {
			return false
		}
		for _, e := range r.l.returns {
			if end := k + len(e[0]); e[0].at(r.ws, k) && (end >= len(r.ws) || r.ws[end-1].ends != open || !r.l.away.fits(r.ws[end].s)) {
				return true
			}
		}
		yes = yes || r.l.yes.fits(w.s)
		only = only && (r.l.small.fits(w.s) || r.l.turns.fits(w.s))
		if yes && only && (w.ends == stop || k == len(r.ws)-1) && r.clauseBehind(last, k) {
			return true
		}
	}
	return false
}

// clauseBehind says whether a new clause lies between two places.
func (r *reading) clauseBehind(i, k int) bool {
	return slices.ContainsFunc(r.ws[i:k], func(w word) bool { return w.ends == stop })
}

// Affirms says of what stands in a column of symptoms, and names none, that it is no denial: yes, 1, a question mark. What says that all is
// well, or that there is nothing, is one.
func (l *Lexicon) Affirms(text string) bool {
	ws := split(text)
	if len(ws) == 0 {
		return strings.Trim(near.Plain(text), " \t.,;:_/\\|()-\u2010\u2011\u2012\u2013\u2014\u22120'\"") != ""
	}
	return !slices.ContainsFunc(ws, func(w word) bool { return l.negates(w.s) || l.well.fits(w.s) || l.none.fits(w.s) })
}
