package phrase

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"isocue.example/compiler/near"
	"isocue.example/compiler/record"
)

// Texts knows what titles and notes must not say.
type Texts struct {
	Facts     []string // what texts may say that they must not, each once
	signs     *Lexicon
	entries   []saying
	starts    *starts
	known     *starts // every word of an entry
	stems     stems   // long forms, for words with a slip
	negative  one
	after     one
	carries   one
	or        one
	whys      one
	exemption [][]saying // by what is said, what takes it back anywhere in the sentence
}

// saying is an entry in its steps: each begins behind the one before, in the same clause, or behind its end too.
type saying struct {
	fact  string
	of    int // which of the things said
	steps []step
}

type step struct {
	entry
	beyond bool
}

// Found is something that a text says: what, its words, and the bytes of the text from the first of them to the last. A text of disguised
// letters has no such bytes, and From is -1.
type Found struct {
	Fact, Words string
	From, To    int
}

// The classes that an entry may name and that no list holds: a number in figures or words, and the words of a symptom.
const (
	number = "NUMBER"
	sign   = "SIGN"
)

// NewTexts reads the words of texts. Symptoms are told by the lexicon of logs.
func NewTexts(words record.TextWords, signs *Lexicon) *Texts {
	classes := map[string]one{number: {{s: number}}, sign: {{s: sign}}}
	for name, forms := range words.Classes {
		classes[name] = append(classes[name], anyOf(forms)...)
	}
	t := &Texts{signs: signs,
		negative: anyOf(words.Negations), after: anyOf(words.After), carries: anyOf(words.Carries), or: anyOf(words.Or), whys: anyOf(words.Whys)}
	var begins []named
	for i, x := range words.Says {
		t.exemption = append(t.exemption, nil)
		if !slices.Contains(t.Facts, x.Fact) {
			t.Facts = append(t.Facts, x.Fact)
		}
		for _, s := range x.Entries {
			t.entries = append(t.entries, sayingOf(x.Fact, i, s, classes))
			begins = append(begins, named{t.entries[len(t.entries)-1].steps[0].entry, len(begins)})
		}
		for _, s := range x.Unless {
			t.exemption[i] = append(t.exemption[i], sayingOf(x.Fact, i, s, classes))
		}
	}
	t.starts = newStarts(begins)
	all := slices.Clone(t.entries)
	for _, x := range t.exemption {
		all = append(all, x...)
	}
	t.readStems(all)
	return t
}

// sayingOf reads an entry: > begins a step of the same clause, >> one that may stand behind its end.
func sayingOf(fact string, of int, s string, classes map[string]one) saying {
	out := saying{fact: fact, of: of}
	for i, clause := range strings.Split(s, " >> ") {
		for k, part := range strings.Split(clause, " > ") {
			e := parse(part)
			for _, p := range e {
				for w, o := range p {
					p[w] = expand(o, classes)
				}
			}
			out.steps = append(out.steps, step{e, i > 0 && k == 0})
		}
	}
	return out
}

// expand puts the forms of a class in the place of its name.
func expand(o one, classes map[string]one) (out one) {
	for _, f := range o {
		if c, ok := classes[f.s]; ok {
			out = append(out, c...)
		} else {
			out = append(out, f)
		}
	}
	return out
}

// readStems takes from all entries which words are known, and which forms are long enough to be known in spite of a slip.
func (t *Texts) readStems(all []saying) {
	var known []named
	for _, e := range all {
		for _, s := range e.steps {
			for _, p := range s.entry {
				for _, o := range p {
					known = append(known, named{entry{part{o}}, 0})
					for _, f := range o {
						t.stems.add(f, slipLetters)
					}
				}
			}
		}
	}
	t.known = newStarts(append(known, named{entry{part{t.negative}}, 0}))
}

// meant is the form that a word with one slip stands for, the word itself where it is known or none is near.
func (t *Texts) meant(w string) string {
	if len(w) < slipLetters-1 || t.known.begins(w) {
		return w
	}
	return cmp.Or(t.stems.meant(w), w)
}

// words takes a text apart, figures too, and says of each word what else it counts as.
func (t *Texts) words(text string) []word {
	ws := splitBy(text, func(r rune) bool {
		return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '%' || r == '\'' || r == '\u2019'
	})
	for i := range ws {
		w := &ws[i]
		w.s = strings.NewReplacer("'", "", "\u2019", "", "%", "percent").Replace(w.s)
		if w.s != "" && strings.Trim(w.s, "0123456789") == "" {
			w.also = number
		} else {
			w.s = t.meant(w.s)
		}
	}
	for _, m := range t.signs.matches(ws, t.signs.idle(ws)) {
		if s := t.signs.symptoms[m.of]; s.Matter {
			continue // a text for everybody speaks of what people do, which is no sign
		}
		for _, i := range m.places {
			ws[i].also = sign
		}
	}
	return ws
}

// Find is what a text says, each once, in the order of its places. What is taken back, asked or left to whoever may say it does not
// count.
func (t *Texts) Find(text string) (out []Found) {
	plain := near.Plain(text)
	ws := t.words(plain)
	for i := range ws {
		of := t.starts.of(ws[i].s)
		if ws[i].also != "" {
			of = append(of, t.starts.of(ws[i].also)...)
		}
		for _, n := range of {
			e := t.entries[n]
			places := e.find(ws, i, 0)
			if places == nil {
				continue
			}
			at := slices.Concat(places...)
			slices.Sort(at)
			x := Found{e.fact, "", ws[at[0]].from, ws[at[len(at)-1]].to}
			if t.asked(ws, at) || t.takenBack(ws, places, at) || t.exempt(ws, e.of, at) {
				continue
			}
			if k := slices.IndexFunc(out, func(o Found) bool { return o.Fact == x.Fact && x.From < o.To }); k >= 0 {
				out[k].To = max(out[k].To, x.To)
			} else {
				out = append(out, x)
			}
		}
	}
	for i, x := range out {
		out[i].Words = plain[x.From:x.To]
		if plain != text {
			out[i].From, out[i].To = -1, -1
		}
	}
	return out
}

// How many words may stand between two steps.
const (
	within = 6
	across = 14
)

// find is where the steps from the n-th on stand, the first of them at a word; nil where they do not.
func (e saying) find(ws []word, i, n int) [][]int {
	parts := e.steps[n].entry.find(ws, i)
	if parts == nil {
		return nil
	}
	at := slices.Concat(parts...)
	slices.Sort(at)
	if n == len(e.steps)-1 {
		return [][]int{at}
	}
	last, far := at[len(at)-1], within
	if e.steps[n+1].beyond {
		far = across
	}
	for k := last + 1; k < len(ws) && k <= last+1+far; k++ {
		if !e.steps[n+1].beyond && ws[k-1].ends == stop {
			break
		}
		if rest := e.find(ws, k, n+1); rest != nil {
			return append([][]int{at}, rest...)
		}
	}
	return nil
}
