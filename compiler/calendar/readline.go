package calendar

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// source gives the content lines of a file, joined from its physical lines.
type source struct {
	rest   string // from the next physical line on
	number int    // of the last physical line given, from 1
	strict bool
}

const byteOrderMark = "\ufeff"

// mark passes over a byte order mark, or refuses it.
func (s *source) mark() error {
	rest, ok := strings.CutPrefix(s.rest, byteOrderMark)
	if ok && s.strict {
		return failf(1, "the file begins with a byte order mark, allowed: BEGIN:VCALENDAR as the first bytes")
	}
	s.rest = rest
	return nil
}

// next is the next content line and the number of its first physical line; ok is false at the end of the file.
func (s *source) next() (text string, at int, ok bool, err error) {
	for text == "" {
		if s.rest == "" {
			return "", 0, false, nil
		}
		if text, err = s.physical(); err != nil {
			return "", 0, false, err
		}
	}
	at = s.number
	var joined strings.Builder // of a folded line
	for s.folded() {
		if joined.Len() == 0 {
			joined.WriteString(text)
		}
		tail := joined.String()
		if s.strict && (len(tail)-len(strings.TrimRight(tail, `\`)))%2 != 0 {
			return "", 0, false, failf(s.number, `the fold cuts an escape after its \, allowed: a fold before it`)
		}
		more, err := s.physical()
		if err != nil {
			return "", 0, false, err
		}
		if s.strict && len(more) == 1 {
			return "", 0, false, failf(s.number, "the continuation is empty, allowed: a space and what goes on")
		}
		joined.WriteString(more[1:])
	}
	if joined.Len() > 0 {
		text = joined.String()
	}
	if !utf8.ValidString(text) {
		return "", 0, false, failf(at, "the content line is not valid UTF-8, allowed: UTF-8")
	}
	return text, at, true, nil
}

// folded says whether the next physical line continues the one before.
func (s *source) folded() bool { return s.rest != "" && (s.rest[0] == ' ' || s.rest[0] == '\t') }

// physical is the next physical line without its line break. There is one.
func (s *source) physical() (string, error) {
	s.number++
	l, rest, ended := strings.Cut(s.rest, "\n")
	s.rest = rest
	l, cr := strings.CutSuffix(l, "\r")
	if !s.strict {
		return l, nil
	}
	switch {
	case !ended:
		return "", failf(s.number, "the last line has no line break, allowed: CRLF after every line")
	case !cr:
		return "", failf(s.number, "the line ends with LF alone, allowed: CRLF")
	case l == "":
		return "", failf(s.number, "the line is empty, allowed: content lines only")
	case len(l) > lineOctets:
		return "", failf(s.number, "the line has %d octets, allowed: at most %d; fold it", len(l), lineOctets)
	}
	if i := strings.IndexFunc(l, foreign); i >= 0 {
		r, _ := utf8.DecodeRuneInString(l[i:])
		return "", failf(s.number, "the line holds the control character or line separator U+%04X, allowed: text; a line break is written \\n", r)
	}
	if !utf8.ValidString(l) {
		if s.folded() && utf8.ValidString(strings.TrimRightFunc(l, func(r rune) bool { return r == utf8.RuneError })) {
			return "", failf(s.number, "the fold cuts a character, allowed: a fold before it")
		}
		return "", failf(s.number, "the line is not valid UTF-8, allowed: UTF-8")
	}
	return l, nil
}

// foreign says whether r may not stand in a line: what RFC 5545 3.1 calls CONTROL, and what some programs split lines
// at. A tab is white space.
func foreign(r rune) bool {
	return r != '\t' && unicode.IsControl(r) || r == '\u2028' || r == '\u2029'
}

// contentLine takes a content line apart: a name, parameters, a colon, a value (RFC 5545 3.1).
func contentLine(text string, at int, strict bool) (Property, error) {
	none := func(format string, args ...any) (Property, error) {
		return Property{}, failf(at, format, args...)
	}
	i := strings.IndexAny(text, ";:")
	if i < 0 {
		return none("%s has no colon, allowed: a name, a colon and a value; a continuation begins with a space", short(text))
	}
	p := Property{Name: strings.ToUpper(text[:i]), Line: at}
	if !isName(text[:i], !strict) {
		return none("%s is no name of a property, allowed: letters, digits and hyphens", short(text[:i]))
	}
	rest := text[i:]
	for rest[0] == ';' {
		name, after, ok := strings.Cut(rest[1:], "=")
		if !ok || !isName(name, !strict) {
			return none("%s has a parameter without a name and an equals sign, allowed: NAME=value before the colon", p.Name)
		}
		x := Param{Name: strings.ToUpper(name)}
		for more := true; more; {
			var value string
			if value, after, ok = paramValue(after); !ok {
				return none("%s has a broken value of parameter %s, allowed: text without quotes, or all of it within two", p.Name, short(x.Name))
			}
			x.Values = append(x.Values, value)
			if more = after[0] == ','; more {
				after = after[1:]
			}
		}
		if strict && p.has(x.Name) {
			return none("%s has the parameter %s twice, allowed: once", p.Name, short(x.Name))
		}
		p.Params = append(p.Params, x)
		rest = after
	}
	p.Value = rest[1:]
	return p, nil
}

// paramValue is the value of a parameter at the start of s, and what follows: a comma, a semicolon or a colon.
func paramValue(s string) (value, rest string, ok bool) {
	if quoted, found := strings.CutPrefix(s, `"`); found {
		value, rest, ok = strings.Cut(quoted, `"`)
		return value, rest, ok && rest != "" && strings.IndexByte(",;:", rest[0]) >= 0
	}
	i := strings.IndexAny(s, `,;:"`)
	if i < 0 || s[i] == '"' {
		return "", "", false
	}
	return s[:i], s[i:], true
}

func (p *Property) has(param string) bool {
	for _, x := range p.Params {
		if x.Name == param {
			return true
		}
	}
	return false
}

// isName says whether s is made of letters, digits and hyphens. Programs also write underscores and points; loose takes
// those.
func isName(s string, loose bool) bool {
	for i := range len(s) {
		switch c := s[i]; {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '-':
		case loose && (c == '_' || c == '.'):
		default:
			return false
		}
	}
	return s != ""
}
