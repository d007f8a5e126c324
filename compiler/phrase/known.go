package phrase

import (
	"cmp"
	"slices"
)

// matches are all places at which a symptom is named by words that are no idiom. A later part is denied by what stands right before it.
func (l *Lexicon) matches(ws []word, idle []bool) (out []match) {
	places := l.starts.places(ws, len(l.entries))
	for n, e := range l.entries {
		for _, i := range places[n] {
			parts := e.find(ws, i)
			if parts == nil {
				continue
			}
			m := match{of: e.of}
			m.places = slices.Concat(parts...)
			for _, p := range parts[1:] {
				m.denied = m.denied || l.near.fits(ws[p[0]-1].s) && !slices.Contains(m.places, p[0]-1) && !(p[0] > 1 && l.negates(ws[p[0]-2].s))
			}
			if slices.ContainsFunc(m.places, func(i int) bool { return idle[i] }) {
				continue
			}
			slices.Sort(m.places)
			out = append(out, m)
		}
	}
	return out
}

// idle says of each word whether it belongs to an idiom.
func (l *Lexicon) idle(ws []word) []bool {
	out := make([]bool, len(ws))
	for n, at := range l.idiomsAt.places(ws, len(l.idioms)) {
		for _, i := range at {
			for _, p := range l.idioms[n].find(ws, i) {
				for _, k := range p {
					out[k] = true
				}
			}
		}
	}
	return out
}

// readKnown takes from all lists which words are known, and which forms of symptoms are known in spite of a slip.
func (l *Lexicon) readKnown() {
	var all []named
	add := func(o one) { all = append(all, named{entry{part{o}}, 0}) }
	for _, e := range slices.Concat(l.entries, l.idioms) {
		for _, p := range e.entry {
			for _, o := range p {
				add(o)
			}
		}
	}
	for _, e := range l.entries {
		for _, p := range e.entry {
			for _, o := range p {
				for _, f := range o {
					l.stems.add(f, swapLetters)
				}
			}
		}
	}
	for _, o := range []one{l.until, l.away, l.yes, l.none, l.near, l.over, l.or, l.turns, l.well, l.ill, l.small, l.everyday, l.others, l.links} {
		add(o)
	}
	for _, list := range [][]entry{l.negative, l.returns, l.past} {
		for _, e := range list {
			for _, p := range e {
				for _, o := range p {
					add(o)
				}
			}
		}
	}
	l.known = newStarts(all)
}

// mend puts the word that was meant in the place of one with a slip that nobody knows.
func (l *Lexicon) mend(ws []word) {
	mended := map[string]string{}
	for i := range ws {
		w := ws[i].s
		if len(w) < swapLetters {
			continue
		}
		meant, seen := mended[w]
		if !seen {
			if meant = w; !l.known.begins(w) {
				meant = cmp.Or(l.stems.meant(w), w)
			}
			mended[w] = meant
		}
		ws[i].s = meant
	}
}

// unknown says whether words are left that a person has to read: those that nobody knows, those that tell of something without
// saying what, and not well.
func (r *reading) unknown() bool {
	well := make([]bool, len(r.ws)+1) // by the first word of a clause
	start := 0
	for i, w := range r.ws {
		switch {
		case r.named[i], r.idle[i]:
		case r.l.ill.fits(w.s):
			if !r.denies(i) {
				return true
			}
		case r.l.well.fits(w.s):
			well[start] = true
		case !r.negation[i] && !r.l.negates(w.s) && !r.l.over.fits(w.s) && !r.l.or.fits(w.s) && !r.l.turns.fits(w.s) && !r.l.small.fits(w.s) && !r.l.everyday.fits(w.s) && !r.l.others.fits(w.s):
			return true
		}
		if w.ends == stop {
			start = i + 1
		}
	}
	start = 0
	for i, w := range r.ws {
		if well[start] && r.negation[i] && !r.spent[i] {
			return true
		}
		if w.ends == stop {
			start = i + 1
		}
	}
	return false
}

func (l *Lexicon) negates(s string) bool {
	return slices.ContainsFunc(l.negative, func(e entry) bool { return len(e) == 1 && e[0][0].fits(s) })
}
