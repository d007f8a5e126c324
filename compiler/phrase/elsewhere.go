package phrase

// What words tell that is not the client's now: what happened to somebody else, in a story, or years ago, and what is asked and answered
// with no.

// elsewhere says whether a symptom is told of somebody else, or of a time that is long over.
func (r *reading) elsewhere(m match) bool {
	first, last := m.places[0], m.places[len(m.places)-1]
	return r.ofOther(first) || r.over(first, last) || r.asked(last)
}

// ofOther says whether the clause of a place begins with somebody else, from whom links alone lead to it. Anything else between them,
// such as a verb of calling or saying, makes the symptom the client's.
func (r *reading) ofOther(i int) bool {
	for k := i - 1; k >= max(i-reach, 0) && r.ws[k].ends == open; k-- {
		switch w := r.ws[k].s; {
		case r.l.others.fits(w):
			for b := k - 1; b >= max(k-reach, 0) && r.ws[b].ends != stop; b-- {
				if o := r.ws[b].s; !r.l.over.fits(o) && !r.l.small.fits(o) && !r.l.links.fits(o) && !r.l.others.fits(o) {
					return false
				}
			}
			return true
		case !r.l.links.fits(w) && !r.named[k]:
			return false
		}
	}
	return false
}

// over says whether what stands right before a symptom, or behind it in its clause, says that it is over for years.
func (r *reading) over(first, last int) bool {
	for k := first - 1; k >= max(first-reach, 0) && r.ws[k].ends == open; k-- {
		if r.past(k, first) {
			return true
		}
		if w := r.ws[k].s; !r.l.links.fits(w) && !r.l.over.fits(w) {
			break
		}
	}
	for k := last + 1; k < min(len(r.ws), last+reach) && r.ws[k-1].ends == open; k++ {
		if r.past(k, len(r.ws)) {
			return true
		}
		if w := r.ws[k].s; !r.l.links.fits(w) && !r.l.over.fits(w) {
			return false
		}
	}
	return false
}

// past says whether words that end before another place say so.
func (r *reading) past(k, before int) bool {
	for _, e := range r.l.past {
		if k+len(e[0]) <= before && e[0].at(r.ws, k) {
			return true
		}
	}
	return false
}

// asked says whether a question ends behind a symptom, and nothing but a no answers it.
func (r *reading) asked(last int) bool {
	k := last
	for k < len(r.ws)-1 && r.ws[k].ends == open {
		if k++; !r.l.over.fits(r.ws[k].s) && !r.l.small.fits(r.ws[k].s) {
			return false
		}
	}
	if k == len(r.ws)-1 || r.ws[k].closed != '?' && r.ws[k].ends != pause {
		return false
	}
	no := false
	for k++; k < len(r.ws); k++ {
		w := r.ws[k].s
		switch {
		case r.named[k] || r.l.yes.fits(w):
			return false
		case r.l.none.fits(w) || r.l.negates(w):
			no = true
		case !no || !r.l.over.fits(w) && !r.l.small.fits(w):
			return false
		}
		if r.ws[k].ends != open {
			return no
		}
	}
	return no
}
