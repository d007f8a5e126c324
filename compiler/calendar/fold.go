package calendar

import (
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"
)

// lineOctets is the longest physical line without its line break (RFC 5545 3.1). The space that begins a continuation
// counts towards it.
const lineOctets = 75

// line appends one content line and folds it. An atom, which is a character or an escape, is never cut: some readers
// take the halves for two characters. A fold is written only before an atom, so no continuation is ever empty.
type line struct {
	buf    []byte
	octets int // in the present physical line
}

// begin starts a content line with its name, parameters and colon.
func (l *line) begin(name string) {
	l.octets = 0
	l.ascii(name)
}

// end closes the content line.
func (l *line) end() { l.buf = append(l.buf, '\r', '\n') }

func (l *line) room(n int) {
	if l.octets+n > lineOctets {
		l.buf = append(l.buf, '\r', '\n', ' ')
		l.octets = 1
	}
	l.octets += n
}

// ascii appends s, which holds printable ASCII only and needs no escape.
func (l *line) ascii(s string) {
	if l.octets+len(s) <= lineOctets {
		l.buf, l.octets = append(l.buf, s...), l.octets+len(s)
		return
	}
	for i := range len(s) {
		l.room(1)
		l.buf = append(l.buf, s[i])
	}
}

// text appends s as a TEXT value (RFC 5545 3.3.11). s is in the form that plain gives.
func (l *line) text(s string) {
	for i := 0; i < len(s); {
		c := s[i]
		if c < utf8.RuneSelf {
			i++
			switch c {
			case '\n':
				l.room(2)
				l.buf = append(l.buf, '\\', 'n')
			case '\\', ',', ';':
				l.room(2)
				l.buf = append(l.buf, '\\', c)
			default:
				l.room(1)
				l.buf = append(l.buf, c)
			}
			continue
		}
		_, n := utf8.DecodeRuneInString(s[i:])
		l.room(n)
		l.buf = append(l.buf, s[i:i+n]...)
		i += n
	}
}

var errNotUTF8 = errors.New("the text is not valid UTF-8, allowed: UTF-8")

// plain is the normal form of a text from outside: every kind of line break is one newline, a tab is a space, other
// control characters are gone. Text that is not UTF-8 is an error: to replace the bytes would change what was meant.
func plain(s string) (string, error) {
	if !utf8.ValidString(s) {
		return "", errNotUTF8
	}
	// What other programs split lines at is a line break here too, else they would see a broken calendar.
	s = breaks.Replace(s)
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case r != '\n' && unicode.IsControl(r):
			return -1
		}
		return r
	}, s), nil
}

var breaks = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u0085", "\n", "\u2028", "\n", "\u2029", "\n")

// oneLine is plain for a text that stands within a sentence: its line breaks are spaces, and none stands at its ends.
func oneLine(s string) (string, error) {
	s, err := plain(s)
	return strings.TrimSpace(strings.ReplaceAll(s, "\n", " ")), err
}
