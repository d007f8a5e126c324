package phrase

// From how many letters on a word is taken for the word that was meant: with two neighbours swapped, and with any slip.
const (
	swapLetters = 5
	slipLetters = 7
)

// slipped says whether a word is another with one slip: a letter too many, too few or another, or two neighbours swapped.
func slipped(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	switch len(b) - len(a) {
	case 0:
		return i < len(a) && (a[i+1:] == b[i+1:] || swapped(a, b, i))
	case 1:
		return a[i:] == b[i+1:]
	}
	return false
}

// swapped says whether two words of one length differ from a place on by two neighbours alone.
func swapped(a, b string, i int) bool {
	return i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
}

// stems are forms that are known in spite of a slip, by their first letter, which nobody gets wrong.
type stems [256][]form

// add puts a form into its place where it is long enough.
func (s *stems) add(f form, least int) {
	if len(f.s) < least || f.before {
		return
	}
	for _, x := range s[f.s[0]] {
		if x == f {
			return
		}
	}
	s[f.s[0]] = append(s[f.s[0]], f)
}

// meant is the form that a word with one slip stands for, "" where none is near. Of a form behind which letters may stand the word has
// one more, one fewer or as many.
func (s *stems) meant(w string) string {
	for _, f := range s[w[0]] {
		for _, n := range [3]int{len(f.s), len(f.s) - 1, len(f.s) + 1} {
			if n > len(w) || !f.more && n != len(w) {
				continue
			}
			if len(f.s) < slipLetters {
				i := 0
				for i < n && n == len(f.s) && w[i] == f.s[i] {
					i++
				}
				if n == len(f.s) && i < n && swapped(w[:n], f.s, i) {
					return f.s
				}
			} else if slipped(w[:n], f.s) {
				return f.s
			}
		}
	}
	return ""
}
