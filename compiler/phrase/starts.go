package phrase

import "slices"

// starts tells which entries a word can begin, so that not each is tried at each word: most words begin none.
type starts struct {
	whole   map[string][]int // entries by a word that begins them as it stands
	opening [256][]start     // by the first byte of the forms behind which letters may stand
	inside  []start          // of forms before which letters may stand
}

// start is a form that can begin entries.
type start struct {
	form
	entries []int
}

func newStarts(entries []named) *starts {
	s := &starts{whole: map[string][]int{}}
	add := func(to []start, f form, of int) []start {
		i := slices.IndexFunc(to, func(x start) bool { return x.form == f })
		if i < 0 {
			i, to = len(to), append(to, start{form: f})
		}
		to[i].entries = append(to[i].entries, of)
		return to
	}
	for of, e := range entries {
		for _, p := range e.entry {
			for _, f := range p[0] {
				switch {
				case f.before || f.s == "":
					s.inside = add(s.inside, f, of)
				case f.more:
					s.opening[f.s[0]] = add(s.opening[f.s[0]], f, of)
				default:
					s.whole[f.s] = append(s.whole[f.s], of)
				}
			}
		}
	}
	return s
}

// of are the entries of which a part can begin with a word, sorted, each once.
func (s *starts) of(w string) []int {
	if w == "" {
		return nil
	}
	out := slices.Clone(s.whole[w])
	for _, list := range [][]start{s.opening[w[0]], s.inside} {
		for _, x := range list {
			if x.fits(w) {
				out = append(out, x.entries...)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
