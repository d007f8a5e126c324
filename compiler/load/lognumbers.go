package load

import (
	"regexp"
	"strconv"
	"strings"

	"isocue.example/compiler/near"
)

// How people write the numbers of a pressure into a note: 192/112, 1 9 2 over 1 1 2, one ninety-two over one twelve.

var (
	apart       = regexp.MustCompile(`\b(\d) (\d)(?: (\d))?\b`)
	numberWords = func() map[string]int {
		out := map[string]int{"hundred": 100}
		for i, w := range strings.Fields("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen") {
			out[w] = i
		}
		for i, w := range strings.Fields("twenty thirty forty fifty sixty seventy eighty ninety") {
			out[w] = 20 + 10*i
		}
		return out
	}()
	aWord = regexp.MustCompile(`[a-z]+`)
)

// inDigits is a text whose numbers are digits where they name a pressure.
func inDigits(text string) string {
	text = strings.ToLower(near.Plain(text))
	if !strings.Contains(text, "over") && !strings.Contains(text, "/") && !strings.Contains(text, " zu ") {
		return text
	}
	text = apart.ReplaceAllString(text, "$1$2$3")
	if !strings.Contains(text, "over") {
		return text
	}
	var out []string
	sum, open := 0, false
	flush := func() {
		if open {
			out = append(out, strconv.Itoa(sum))
		}
		sum, open = 0, false
	}
	for _, w := range strings.Fields(strings.ReplaceAll(text, "-", " ")) {
		word := aWord.FindString(w)
		n, ok := numberWords[word]
		switch {
		case ok && word == strings.Trim(w, ".,;:!()"):
			switch {
			case n == 100:
				sum = max(sum, 1) * 100
			case sum > 0 && sum < 10 && n >= 10: // one ninety
				sum = sum*100 + n
			default:
				sum += n
			}
			open = true
		case open && (word == "and" || word == "oh"):
		default:
			flush()
			out = append(out, w)
		}
	}
	flush()
	return strings.Join(out, " ")
}
