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
	s, at := &starts{whole: map[string][]int{}}, map[form]int{}
	add := func(to []start, f form, of int) []start {
		i, ok := at[f]
		if !ok {
			i, to = len(to), append(to, start{form: f})
			at[f] = i
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

// begins says whether a word can begin any entry.
func (s *starts) begins(w string) bool {
	if len(s.whole[w]) > 0 {
		return true
	}
	fits := func(x start) bool { return x.fits(w) }
	return w != "" && (slices.ContainsFunc(s.opening[w[0]], fits) || slices.ContainsFunc(s.inside, fits))
}

// places are by entry, of which there are n, the words of a text at which it may begin.
func (s *starts) places(ws []word, n int) [][]int {
	out, begins := make([][]int, n), map[string][]int{}
	for i, w := range ws {
		of, known := begins[w.s]
		if !known {
			of = s.of(w.s)
			begins[w.s] = of
		}
		for _, e := range of {
			out[e] = append(out[e], i)
		}
	}
	return out
}
