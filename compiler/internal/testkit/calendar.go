// Package testkit is what the tests of several rooms share, and no program has: a reader of calendars that is as strict as ours
// are written, the names of all zones, days and minutes that a test names, and some words of a log.
package testkit

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"isocue.example/compiler/ical"
)

const (
	lineOctets  = 75  // of a physical line (RFC 5545 3.1)
	calendarUID = 202 // bytes that a widely used program tells apart
)

// Calendar reads one calendar as strictly as we write it: what RFC 5545 and RFC 7986 demand, and beyond it what we promise
// because programs stumble over it: no empty or cut continuation, no floating time, an end to every event, UIDs of at
// most 202 bytes, one alarm, and no property that we do not know, but for names beginning with X-. The error is an
// *ical.Error: the first defect of the lines, or else of what stands in them.
func Calendar(src []byte) (*ical.Component, error) {
	if err := lines(string(src)); err != nil {
		return nil, err
	}
	all, err := ical.Read(src)
	if err != nil {
		return nil, err
	}
	if len(all) > 1 {
		return nil, ical.Failf(all[1].Line, "a second VCALENDAR, allowed: one a file")
	}
	if err := checkCalendar(&all[0]); err != nil {
		return nil, err
	}
	return &all[0], nil
}

// lines holds the physical lines to their form.
func lines(rest string) error {
	if strings.HasPrefix(rest, ical.ByteOrderMark) {
		return ical.Failf(1, "the file begins with a byte order mark, allowed: BEGIN:VCALENDAR as the first bytes")
	}
	escapes := false // the line before ends with a \ that begins an escape
	for n := 1; rest != ""; n++ {
		l, after, ended := strings.Cut(rest, "\n")
		l, cr := strings.CutSuffix(l, "\r")
		rest = after
		continues, continued := folded(l), folded(rest)
		switch {
		case continues && n > 1 && escapes:
			return ical.Failf(n-1, `the fold cuts an escape after its \, allowed: a fold before it`)
		case !ended:
			return ical.Failf(n, "the last line has no line break, allowed: CRLF after every line")
		case !cr:
			return ical.Failf(n, "the line ends with LF alone, allowed: CRLF")
		case l == "":
			return ical.Failf(n, "the line is empty, allowed: content lines only")
		case len(l) > lineOctets:
			return ical.Failf(n, "the line has %d octets, allowed: at most %d; fold it", len(l), lineOctets)
		case continues && len(l) == 1:
			return ical.Failf(n, "the continuation is empty, allowed: a space and what goes on")
		}
		if i := strings.IndexFunc(l, foreign); i >= 0 {
			r, _ := utf8.DecodeRuneInString(l[i:])
			return ical.Failf(n, "the line holds the control character or line separator U+%04X, allowed: text; a line break is written \\n", r)
		}
		if !utf8.ValidString(l) {
			if continued && utf8.ValidString(strings.TrimRightFunc(l, func(r rune) bool { return r == utf8.RuneError })) {
				return ical.Failf(n, "the fold cuts a character, allowed: a fold before it")
			}
			return ical.Failf(n, "the line is not valid UTF-8, allowed: UTF-8")
		}
		if continues {
			l = l[1:]
		}
		text := strings.TrimRight(l, `\`)
		escapes = (len(l)-len(text))%2 != 0 != (continues && text == "" && escapes)
	}
	return nil
}

// folded says whether a line continues the one before.
func folded(l string) bool { return l != "" && (l[0] == ' ' || l[0] == '\t') }

// foreign says whether r may not stand in a line: what RFC 5545 3.1 calls CONTROL, and what some programs split lines
// at. A tab is white space.
func foreign(r rune) bool {
	return r != '\t' && unicode.IsControl(r) || r == '\u2028' || r == '\u2029'
}
