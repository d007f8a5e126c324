package finding

import (
	"strings"
	"unicode"
)

// Obeyed says whether a character is one that a terminal, an editor or a reader obeys instead of showing it: a control character,
// a line's or paragraph's end, or what changes the direction of reading. #Line of schema/words.cue bars the same.
func Obeyed(r rune) bool {
	return unicode.IsControl(r) || r == 0x061c || r == 0x200e || r == 0x200f || r >= 0x2028 && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}

// OneLine says whether a text holds nothing that is obeyed.
func OneLine(s string) bool { return !strings.ContainsFunc(s, Obeyed) }
