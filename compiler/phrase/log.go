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
	everyday one
	others   one
	links    one
	past     []entry
	idioms   []named
	idiomsAt *starts
	known    *starts // every word that means something here
	stems    stems   // of symptoms, for words with a slip
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
		ill: anyOf(words.Ill), small: anyOf(words.Small), until: anyOf(words.Until), away: anyOf(words.Away), yes: anyOf(words.Yes), none: anyOf(words.None),
		everyday: anyOf(words.Everyday), others: anyOf(words.Others), links: anyOf(words.Links)}
	for _, s := range words.Returns {
		l.returns = append(l.returns, parse(s))
	}
	for _, s := range words.Negations {
		l.negative = append(l.negative, parse(s))
	}
	for _, s := range words.Past {
		l.past = append(l.past, parse(s))
	}
	for i, s := range words.Idioms {
		l.idioms = append(l.idioms, named{parse(s), i})
	}
	l.idiomsAt = newStarts(l.idioms)
	for i, s := range symptoms {
		for _, w := range append([]string{s.ID}, s.Words...) {
			l.entries = append(l.entries, named{inOrder(w), i})
		}
		for _, w := range slices.Concat(s.English, s.German) {
			l.entries = append(l.entries, named{parse(w), i})
		}
	}
	l.starts = newStarts(l.entries)
	l.readKnown()
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
	l.mend(ws)
	idle := l.idle(ws)
	all := l.matches(ws, idle)
	r := reading{l: l, ws: ws, negation: l.negations(ws, all), idle: idle, named: make([]bool, len(ws)), spent: make([]bool, len(ws))}
	for _, m := range all {
		for _, i := range m.places {
			r.named[i] = true
		}
	}
	hit := make([]bool, len(l.symptoms))
	for i := range all {
		all[i].denied = (r.denies(all[i].places[0]) || all[i].denied) && !r.takenBack(all[i]) || r.elsewhere(all[i])
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

// reading is one text while it is read: which words are a negation, which an idiom, which name a symptom, and which negation has denied
// something.
type reading struct {
	l                            *Lexicon
	ws                           []word
	negation, idle, named, spent []bool
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
