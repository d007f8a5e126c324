// Package phrase finds in people's words what the rule base has words for: the symptoms that a log tells of, and what a title or a note
// must not say. Both read one notation, that of schema/base/symptoms.cue. Pure.
package phrase

import (
	"slices"
	"strings"
	"unicode"

	"isocue.example/compiler/near"
)

// form is one way to write a word: what it holds, and whether letters may stand before and behind it.
type form struct {
	s            string
	before, more bool
}

func (f *form) fits(s string) bool {
	switch {
	case len(s) < len(f.s):
		return false
	case f.before && f.more:
		return strings.Contains(s, f.s)
	case f.before:
		return s[len(s)-len(f.s):] == f.s
	case f.more:
		return s[:len(f.s)] == f.s
	}
	return s == f.s
}

// one is one word in its forms, of which any will do; part is words that follow one another at once, and entry parts that stand
// in one clause, in either order.
type (
	one   []form
	part  []one
	entry []part
)

func (o one) fits(s string) bool {
	for i := range o {
		if o[i].fits(s) {
			return true
		}
	}
	return false
}

var (
	spelled = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss")
	bare    = strings.NewReplacer("ä", "a", "ö", "o", "ü", "u", "ß", "ss")
)

// parse reads an entry in the notation of schema/base/symptoms.cue. A word with an umlaut fits with ae and with a bare a too, since
// people write both where a keyboard lacks it.
func parse(s string) (e entry) {
	for p := range strings.FieldsSeq(s) {
		var ws part
		for w := range strings.SplitSeq(p, "+") {
			var o one
			for f := range strings.SplitSeq(w, "|") {
				x := strings.Trim(f, "*")
				for _, t := range slices.Compact([]string{spelled.Replace(x), bare.Replace(x)}) {
					o = append(o, form{t, strings.HasPrefix(f, "*"), strings.HasSuffix(f, "*")})
				}
			}
			ws = append(ws, o)
		}
		e = append(e, ws)
	}
	return e
}

// anyOf is one word that may stand in the forms of several.
func anyOf(words []string) (out one) {
	for _, s := range words {
		for _, p := range parse(s) {
			out = append(out, p[0]...)
		}
	}
	return out
}

// inOrder is words that follow one another at once, each exactly as it is written.
func inOrder(s string) entry {
	var ws part
	for w := range strings.FieldsSeq(strings.ReplaceAll(s, "-", " ")) {
		ws = append(ws, one{form{s: w}})
	}
	return entry{ws}
}

// How a word ends what is said: not at all, a little, or a clause.
const (
	open = iota
	pause
	stop
)

// word is one word of a text, and how what is said ends behind it; it stands in the text from one byte up to another.
type word struct {
	s        string
	ends     int
	from, to int
	closed   rune   // the mark behind it that ends a sentence; 0 without one
	also     string // what it counts as beside its letters, such as a number
}

// split takes a text apart into words without case, umlauts spelled with e. A full stop behind one or two letters ends an
// abbreviation more often than a sentence.
func split(text string) (out []word) { return splitBy(near.Plain(text), unicode.IsLetter) }

// splitBy takes a text apart into words of the runes that belong to one.
func splitBy(text string, belongs func(rune) bool) (out []word) {
	var b strings.Builder
	from := 0
	flush := func(at, ends int) {
		if b.Len() > 0 {
			out = append(out, word{s: spelled.Replace(b.String()), from: from, to: at})
			b.Reset()
		}
		if n := len(out); n > 0 {
			out[n-1].ends = max(out[n-1].ends, ends)
		}
	}
	for i, r := range text {
		switch r = unicode.ToLower(r); {
		case belongs(r):
			if b.Len() == 0 {
				from = i
			}
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r):
		case r == '.' && b.Len() > 0 && b.Len() <= 2:
			flush(i, pause)
		case strings.ContainsRune(".,;!?\n\r", r):
			flush(i, stop)
			if n := len(out); n > 0 && r != ',' && out[n-1].closed != '?' {
				out[n-1].closed = r
			}
		case strings.ContainsRune(":|/()", r):
			flush(i, pause)
		default:
			flush(i, open)
		}
	}
	flush(len(text), open)
	return out
}

// at says whether a part stands at a place, and how many words it has.
func (p part) at(ws []word, i int) bool {
	if len(p) == 0 || len(ws)-i < len(p) {
		return false
	}
	for k, o := range p {
		if !o.fits(ws[i+k].s) && !(ws[i+k].also != "" && o.fits(ws[i+k].also)) || ws[i+k].ends != open && k < len(p)-1 {
			return false
		}
	}
	return true
}

// span is how many words an entry of several parts may reach over.
const span = 10

// find is where an entry stands first from a place on that its first word has: the places of its words by part, the earliest
// part first; nil where it does not.
func (e entry) find(ws []word, i int) [][]int { return e.findRest(ws, i, 0, 0) }

// findRest finds the parts that are not yet found, of which there are n; done has their bits.
func (e entry) findRest(ws []word, i int, done uint, n int) (out [][]int) {
	for k, p := range e {
		if done&(1<<k) != 0 || !p.at(ws, i) {
			continue
		}
		if n == len(e)-1 {
			out = make([][]int, len(e))
		}
		for j := i + len(p); out == nil && j < min(len(ws), i+span) && ws[j-1].ends != stop; j++ {
			out = e.findRest(ws[:min(len(ws), i+span)], j, done|1<<k, n+1)
		}
		if out != nil {
			for w := range p {
				out[n] = append(out[n], i+w)
			}
			return out
		}
	}
	return nil
}
