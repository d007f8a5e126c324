package report

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Sentence is text with a capital and a full stop, as a person reads it.
func Sentence(s string) string {
	if s = strings.TrimSuffix(Clean(s), "."); s == "" {
		return ""
	}
	if first, _, _ := strings.Cut(s, " "); strings.ContainsAny(first, "./") {
		return s + "." // a file's name stays as it is
	}
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:] + "."
}
