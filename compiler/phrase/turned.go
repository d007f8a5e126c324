package phrase

import "slices"

// sentence is the words from the beginning of a sentence to its end.
func sentence(ws []word, i int) (from, to int) {
	for from = i; from > 0 && ws[from-1].closed == 0; from-- {
	}
	for to = i; to < len(ws)-1 && ws[to].closed == 0; to++ {
	}
	return from, to
}

// asked says whether all that was found stands in one question; why not is none.
func (t *Texts) asked(ws []word, at []int) bool {
	from, to := sentence(ws, at[0])
	return ws[to].closed == '?' && at[len(at)-1] <= to && !slices.ContainsFunc(ws[from:to+1], func(w word) bool { return t.whys.fits(w.s) })
}

// exempt says whether something in a sentence of what was found takes it back, such as whom to ask. Words that were found are not enough for it.
func (t *Texts) exempt(ws []word, of int, at []int) bool {
	from, _ := sentence(ws, at[0])
	_, to := sentence(ws, at[len(at)-1])
	for i := from; i <= to; i++ {
		if slices.ContainsFunc(t.exemption[of], func(e saying) bool {
			places := slices.Concat(e.find(ws[:to+1], i, 0)...)
			return slices.ContainsFunc(places, func(k int) bool { return !slices.Contains(at, k) }) && !t.negated(ws, places, places)
		}) {
			return true
		}
	}
	return false
}

// takenBack says whether a negation denies a step of what was found.
func (t *Texts) takenBack(ws []word, steps [][]int, at []int) bool {
	return slices.ContainsFunc(steps, func(s []int) bool { return t.negated(ws, s, at) })
}

// behind is how far behind some words a negation takes them back.
const behind = 3

// negated says whether an odd number of negations reaches some words: those before them and between them in the clause, over a comma
// where the clause goes on, and some right behind them. Own are words that deny nothing else.
func (t *Texts) negated(ws []word, places, own []int) bool {
	n := 0
	count := func(i int) {
		if !slices.Contains(own, i) && t.negative.fits(ws[i].s) {
			n++
		}
	}
	first, last := places[0], places[len(places)-1]
	for i := first; i <= last; i++ {
		count(i)
	}
	for i := first - 1; i >= max(first-reach, 0); i-- {
		if ws[i].closed != 0 || ws[i].ends == stop && !t.goesOn(ws, i+1, last) {
			break
		}
		count(i)
	}
	for i := last; i < min(last+behind, len(ws)-1) && ws[i].ends == open; i++ {
		if !slices.Contains(own, i+1) && t.after.fits(ws[i+1].s) {
			n++
		}
	}
	return n%2 == 1
}

// goesOn says whether what is said before a comma reaches over it: a subordinate clause, or a list that ends in an or.
func (t *Texts) goesOn(ws []word, from, to int) bool {
	return t.carries.fits(ws[from].s) || slices.ContainsFunc(ws[from:to+1], func(w word) bool { return t.or.fits(w.s) })
}
