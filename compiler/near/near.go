// Package near finds the word that was probably meant.
package near

// Match is the candidate closest to word, if it is close enough to be a slip: at most two edits, and fewer than half
// of the word's letters. Ties go to the earlier candidate. "" when nothing is near.
func Match(word string, candidates []string) string {
	best, at := "", len([]rune(word))/2+1
	if at > 3 {
		at = 3
	}
	for _, c := range candidates {
		if gap := len([]rune(word)) - len([]rune(c)); max(gap, -gap) >= at { // as many insertions at least
			continue
		}
		if d := Distance(fold(word), fold(c)); d < at {
			best, at = c, d
		}
	}
	return best
}

// Hint is ", did you mean x" for a message, "" when nothing is near.
func Hint(word string, candidates []string) string {
	if m := Match(word, candidates); m != "" {
		return ", did you mean " + m
	}
	return ""
}

func fold(s string) string {
	r := []rune(s)
	for i, c := range r {
		switch {
		case c >= 'A' && c <= 'Z':
			r[i] = c + 'a' - 'A'
		case c == '_' || c == ' ':
			r[i] = '-'
		}
	}
	return string(r)
}

// Distance counts the insertions, deletions, replacements and swaps of neighbours that make t of s.
func Distance(s, t string) int {
	a, b := []rune(s), []rune(t)
	prev2, prev, cur := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				cur[j] = min(cur[j], prev2[j-2]+1)
			}
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(b)]
}
