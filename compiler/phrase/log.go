package phrase

import (
	"slices"

	"isocue.example/compiler/record"
)

// Lexicon knows the words of a log.
type Lexicon struct {
	symptoms []record.Symptom
	entries  []named
	starts   *starts
	negative []entry
	returns  []entry
	until    one
	away     one
	yes      one
	none     one
	near     one
	over, or one
	turns    one
	well     one
	ill      one
	small    one
}

type named struct {
	entry
	of int
}

// match is a symptom that some words name. Where they take it back it is denied.
type match struct {
	of     int
	places []int
	denied bool
}

// NewLexicon reads the words of symptoms, their ids among them, and those that are no symptoms.
func NewLexicon(symptoms []record.Symptom, words record.LogWords) *Lexicon {
	l := &Lexicon{symptoms: symptoms, near: anyOf(words.Near), over: anyOf(words.Over), or: anyOf(words.Or), turns: anyOf(words.Turns), well: anyOf(words.Well),
		ill: anyOf(words.Ill), small: anyOf(words.Small), until: anyOf(words.Until), away: anyOf(words.Away), yes: anyOf(words.Yes), none: anyOf(words.None)}
	for _, s := range words.Returns {
		l.returns = append(l.returns, parse(s))
	}
	for _, s := range words.Negations {
		l.negative = append(l.negative, parse(s))
	}
	for i, s := range symptoms {
		for _, w := range append([]string{s.ID}, s.Words...) {
			l.entries = append(l.entries, named{inOrder(w), i})
		}
		for _, w := range slices.Concat(s.English, s.German) {
			l.entries = append(l.entries, named{parse(w), i})
		}
	}
	l.starts = newStarts(l.entries)
	return l
}

// Recognise finds the symptoms that a text names, each once; one that is denied does not count. Unknown says that words are left
// which neither name a symptom nor say nothing. It reads English and German, mixed too. Where it is not plain that a negation
// denies a symptom, the symptom counts: an alert too many is put right by a telephone call, one too few is not.
func (l *Lexicon) Recognise(text string) (found []record.Symptom, unknown bool) {
	if len(text) <= mostAtOnce {
		return l.recognise(text)
	}
	return l.inParts(text)
}

func (l *Lexicon) recognise(text string) (found []record.Symptom, unknown bool) {
	ws := split(text)
	for i := range ws {
		if l.turns.fits(ws[i].s) {
			ws[i].ends = stop
			if i > 0 {
				ws[i-1].ends = stop
			}
		}
	}
	all := l.matches(ws)
	r := reading{l: l, ws: ws, negation: l.negations(ws, all), named: make([]bool, len(ws)), spent: make([]bool, len(ws))}
	for _, m := range all {
		for _, i := range m.places {
			r.named[i] = true
		}
	}
	hit := make([]bool, len(l.symptoms))
	for i := range all {
		all[i].denied = (r.denies(all[i].places[0]) || all[i].denied) && !r.takenBack(all[i])
	}
	covering := make([][]int, len(ws)) // matches by a word of theirs
	for n, m := range all {
		if !m.denied && len(l.symptoms[m.of].Milder) > 0 {
			for _, i := range m.places {
				covering[i] = append(covering[i], n)
			}
		}
	}
	for _, m := range all {
		hit[m.of] = hit[m.of] || !m.denied && !slices.ContainsFunc(covering[m.places[0]], func(o int) bool { return l.covers(all[o], m) })
	}
	for i, s := range l.symptoms {
		if hit[i] {
			found = append(found, s)
		}
	}
	return found, r.unknown()
}

// covers says that a match says more than another of fewer words: a severe headache is no headache beside.
func (l *Lexicon) covers(a, b match) bool {
	return slices.Contains(l.symptoms[a.of].Milder, l.symptoms[b.of].ID) && !slices.ContainsFunc(b.places, func(i int) bool { return !slices.Contains(a.places, i) })
}

// matches are all places at which a symptom is named. A later part is denied by what stands right before it.
func (l *Lexicon) matches(ws []word) (out []match) {
	places, begins := make([][]int, len(l.entries)), map[string][]int{} // of each entry, where it may begin; by a word, what it begins
	for i, w := range ws {
		of, known := begins[w.s]
		if !known {
			of = l.starts.of(w.s)
			begins[w.s] = of
		}
		for _, n := range of {
			places[n] = append(places[n], i)
		}
	}
	for n, e := range l.entries {
		for _, i := range places[n] {
			parts := e.find(ws, i)
			if parts == nil {
				continue
			}
			m := match{of: e.of}
			for n, p := range parts {
				m.places = append(m.places, p...)
				m.denied = m.denied || n > 0 && l.near.fits(ws[p[0]-1].s)
			}
			slices.Sort(m.places)
			out = append(out, m)
		}
	}
	return out
}

// negations are the words that take something back. One that is part of a symptom's own words takes back nothing else: no air.
func (l *Lexicon) negations(ws []word, all []match) []bool {
	out := make([]bool, len(ws))
	for i := range ws {
		out[i] = slices.ContainsFunc(l.negative, func(e entry) bool {
			last := e[len(e)-1]
			return last.at(ws, i) && (len(e) == 1 || before(ws, i, e[0]))
		})
	}
	for _, m := range all {
		for _, i := range m.places {
			out[i] = false
		}
	}
	return out
}

// reach is over how many words a negation may reach at all, so that no text takes long.
const reach = 30

// before says whether a part stands before a place in its clause.
func before(ws []word, i int, p part) bool {
	for k := i - 1; k >= max(i-reach, 0) && ws[k].ends != stop; k-- {
		if p.at(ws, k) {
			return true
		}
	}
	return false
}

// reading is one text while it is read: which words are a negation, which name a symptom, and which negation has denied something.
type reading struct {
	l                      *Lexicon
	ws                     []word
	negation, named, spent []bool
}

// denies says whether a negation reaches a place: over words that say nothing, and over another symptom only from an or. Two
// negations in a row deny nothing.
func (r *reading) denies(i int) bool {
	joined := false
	for k := i - 1; k >= max(i-reach, 0) && r.ws[k].ends == open; k-- {
		switch {
		case r.negation[k]:
			if k > 0 && r.negation[k-1] && r.ws[k-1].ends == open {
				return false
			}
			r.spent[k] = true
			return true
		case r.named[k]:
			if !joined {
				return false
			}
		case r.l.or.fits(r.ws[k].s):
			joined = true
		case r.l.ill.fits(r.ws[k].s) && joined:
		case !r.l.over.fits(r.ws[k].s):
			return false
		}
	}
	return false
}

// unknown says whether words are left that a person has to read: those that nobody knows, those that tell of something without
// saying what, and not well.
func (r *reading) unknown() bool {
	well := make([]bool, len(r.ws)+1) // by the first word of a clause
	start := 0
	for i, w := range r.ws {
		switch {
		case r.named[i]:
		case r.l.ill.fits(w.s):
			if !r.denies(i) {
				return true
			}
		case r.l.well.fits(w.s):
			well[start] = true
		case !r.negation[i] && !r.l.negates(w.s) && !r.l.over.fits(w.s) && !r.l.or.fits(w.s) && !r.l.turns.fits(w.s) && !r.l.small.fits(w.s):
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
