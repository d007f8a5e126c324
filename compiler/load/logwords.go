package load

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"isocue.example/compiler/record"
)

// What a row says in words, wherever they stand: people write where they find room.

// usualCells are the words that stand in cells which are understood, and tell of nothing.
var usualCells = strings.Fields(`sitting seated sit sitzend standing stand upright stehend lying supine liegend left right links rechts home clinic zuhause daheim praxis klinik
	completed stopped not-started morning evening noon night morgens mittags abends medium large small`)

// identity is the name of a session as the plan writes it, of which some letters read like words.
var identity = regexp.MustCompile(`^[0-9A-Fa-f]{8}(-[0-9A-Fa-f]{4}){3}-[0-9A-Fa-f]{12}$`)

// aside is what a row says outside its note and its symptoms. A column that nobody knows may be a symptom itself: its heading
// counts where the cell says that it is there.
func (r *logReader) aside(row tableRow) string {
	var out []string
	for i, s := range row.cells {
		s = strings.TrimSpace(s)
		switch {
		case s == "" || r.under(i, "note", "symptoms", "client") || slices.Contains(usualCells, strings.ToLower(s)) || identity.MatchString(s):
		case i < len(r.beside) && r.beside[i] == "" && letters(r.t.headings[i]) > 2 && there(s):
			out = append(out, r.t.headings[i]+". "+s)
		case letters(s) > 2:
			out = append(out, s)
		}
	}
	return strings.Join(out, ". ")
}

// letters counts the letters of a text.
func letters(s string) (n int) {
	for _, c := range s {
		if unicode.IsLetter(c) {
			n++
		}
	}
	return n
}

// there says whether a cell says of its heading that it is so: a yes, a mark, a word or two, a number of a scale; no more than that,
// for a text speaks for itself.
func there(s string) bool {
	s = strings.ToLower(evenSpaces(s))
	words := wordsOf(s)
	plain := strings.Join(words, " ")
	if saying(s).no || slices.Contains(noReadings, plain) && plain != "" || len(words) > 3 {
		return false
	}
	c := lookInto(s)
	if len(c.groups) > 0 {
		n := c.groups[0][0]
		return n.Sign() > 0 && !mostOfScale.Less(n)
	}
	return plain != "" || strings.ContainsAny(s, "+*!?✓✔☑") || plain == "x"
}

// withWords adds what stands aside to a note.
func withWords(note, aside string) string {
	if note == "" || aside == "" {
		return note + aside
	}
	return note + ". " + aside
}

// pairsIn are pressures in a line of numbers, each a systolic one with a smaller one behind it, and a pulse behind these.
func (r *logReader) pairsIn(line string) (out record.Held) {
	parts := strings.FieldsFunc(evenSpaces(line), func(c rune) bool { return unicode.IsSpace(c) || strings.ContainsRune(",;/\"'", c) })
	at := func(i int) int {
		if i >= len(parts) || len(parts[i]) < 2 || len(parts[i]) > 3 || strings.Trim(parts[i], "0123456789") != "" {
			return 0
		}
		return number(parts[i])
	}
	for i := range parts {
		s, d, p := at(i), at(i+1), at(i+2)
		if s <= r.span.Highest && d >= r.span.Lowest && s-d >= r.span.LeastApart {
			out.Join(record.Held{Largest: s, Diastolic: d})
			if r.span.LowestPulse <= p && p <= r.span.HighestPulse {
				out.Join(record.Held{Pulse: p})
			}
		}
	}
	return out
}
