package ical

import (
	"strings"
	"unicode/utf8"
)

// source gives the content lines of a file, joined from its physical lines.
type source struct {
	rest   string // from the next physical line on
	number int    // of the last physical line given, from 1
}

// ByteOrderMark is what some programs put before a file.
const ByteOrderMark = "\ufeff"

// next is the next content line and the number of its first physical line; ok is false at the end of the file.
func (s *source) next() (text string, at int, ok bool, err error) {
	for text == "" {
		if s.rest == "" {
			return "", 0, false, nil
		}
		text = s.physical()
	}
	at = s.number
	var joined strings.Builder // of a folded line
	for s.folded() {
		if joined.Len() == 0 {
			joined.WriteString(text)
		}
		joined.WriteString(s.physical()[1:])
	}
	if joined.Len() > 0 {
		text = joined.String()
	}
	if !utf8.ValidString(text) {
		return "", 0, false, Failf(at, "the content line is not valid UTF-8, allowed: UTF-8")
	}
	return text, at, true, nil
}

// folded says whether the next physical line continues the one before.
func (s *source) folded() bool { return s.rest != "" && (s.rest[0] == ' ' || s.rest[0] == '\t') }

// physical is the next physical line without its line break. There is one.
func (s *source) physical() string {
	s.number++
	l, rest, _ := strings.Cut(s.rest, "\n")
	s.rest = rest
	return strings.TrimSuffix(l, "\r")
}

// contentLine takes a content line apart: a name, parameters, a colon, a value (RFC 5545 3.1).
func contentLine(text string, at int) (Property, error) {
	none := func(format string, args ...any) (Property, error) {
		return Property{}, Failf(at, format, args...)
	}
	i := strings.IndexAny(text, ";:")
	if i < 0 {
		return none("%s has no colon, allowed: a name, a colon and a value; a continuation begins with a space", Short(text))
	}
	p := Property{Name: strings.ToUpper(text[:i]), Line: at}
	if !isName(text[:i], true) {
		return none("%s is no name of a property, allowed: letters, digits and hyphens", Short(text[:i]))
	}
	rest := text[i:]
	for rest[0] == ';' {
		name, after, ok := strings.Cut(rest[1:], "=")
		if !ok || !isName(name, true) {
			return none("%s has a parameter without a name and an equals sign, allowed: NAME=value before the colon", p.Name)
		}
		x := Param{Name: strings.ToUpper(name)}
		for more := true; more; {
			var value string
			if value, after, ok = paramValue(after); !ok {
				return none("%s has a broken value of parameter %s, allowed: text without quotes, or all of it within two", p.Name, Short(x.Name))
			}
			x.Values = append(x.Values, value)
			if more = after[0] == ','; more {
				after = after[1:]
			}
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
