// Package ical takes the calendars of other programs apart (RFC 5545), leniently: a component is what stands between a BEGIN and
// its END, a property one content line of it.
package ical

import (
	"fmt"
	"strings"
)

// What a reader takes at most. Our own calendars have well under a tenth of it, and so have those of public holidays.
const (
	maxBytes = 8 << 20
	maxLines = 200_000 // content lines
	maxDepth = 8       // components within components
)

// Component is one part of a calendar, such as VCALENDAR or VEVENT: what stands between its BEGIN and its END.
type Component struct {
	Name       string // in capitals
	Line       int    // of its BEGIN, from 1
	Properties []Property
	Components []Component
}

// Property is one content line, unfolded.
type Property struct {
	Name   string // in capitals
	Params []Param
	Value  string // as written, with its escapes
	Line   int    // where it begins, from 1
}

// Param is a parameter of a property, its quotes removed.
type Param struct {
	Name   string // in capitals
	Values []string
}

// Error says what is wrong with a calendar, and in which line.
type Error struct {
	Line    int // from 1
	Problem string
}

func (e *Error) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.Problem) }

// Failf is an Error as an error.
func Failf(at int, format string, args ...any) error {
	return &Error{at, fmt.Sprintf(format, args...)}
}

// Read reads the calendars of another program: one or more VCALENDAR, and what they hold as it stands. It takes
// line ends without CR, a byte order mark, empty lines, any folding, unknown names and a missing or unsound value, which
// is then the business of whoever asks for it. It refuses what has no meaning at all: lines that are no content lines, a
// BEGIN without its END, bytes that are not UTF-8. The error is an *Error: the first defect.
func Read(src []byte) ([]Component, error) {
	if len(src) > maxBytes {
		return nil, Failf(1, "the file has %d bytes, allowed: at most %d", len(src), maxBytes)
	}
	s := source{rest: strings.TrimPrefix(string(src), ByteOrderMark)}
	var done []Component
	var open []*Component
	for n := 0; ; n++ {
		text, at, ok, err := s.next()
		if err != nil {
			return nil, err
		}
		if !ok {
			break
		}
		if n == maxLines {
			return nil, Failf(at, "the file goes on after %d content lines, allowed: at most that many", maxLines)
		}
		p, err := contentLine(text, at)
		if err != nil {
			return nil, err
		}
		switch {
		case p.Name == "BEGIN":
			c, err := begin(p, open)
			if err != nil {
				return nil, err
			}
			open = append(open, c)
		case len(open) == 0:
			return nil, Failf(at, "%s stands outside a calendar, allowed: BEGIN:VCALENDAR first, END:VCALENDAR last", Short(p.Name))
		case p.Name == "END":
			c := open[len(open)-1]
			if !isName(p.Value, false) || strings.ToUpper(p.Value) != c.Name {
				return nil, Failf(at, "END:%s, allowed: END:%s, which line %d began", Short(p.Value), c.Name, c.Line)
			}
			if open = open[:len(open)-1]; len(open) == 0 {
				done = append(done, *c)
			} else {
				above := open[len(open)-1]
				above.Components = append(above.Components, *c)
			}
		default:
			c := open[len(open)-1]
			c.Properties = append(c.Properties, p)
		}
	}
	if len(open) > 0 {
		c := open[len(open)-1]
		return nil, Failf(c.Line, "BEGIN:%s is never closed, allowed: END:%s after it", c.Name, c.Name)
	}
	if len(done) == 0 {
		return nil, Failf(1, "the file holds no calendar, allowed: BEGIN:VCALENDAR first")
	}
	return done, nil
}

func begin(p Property, open []*Component) (*Component, error) {
	name := strings.ToUpper(p.Value)
	switch {
	case !isName(p.Value, false):
		return nil, Failf(p.Line, "BEGIN:%s, allowed: the name of a component, such as VEVENT", Short(p.Value))
	case len(p.Params) > 0:
		return nil, Failf(p.Line, "BEGIN has the parameter %s, allowed: none", Short(p.Params[0].Name))
	case len(open) == 0 && name != "VCALENDAR":
		return nil, Failf(p.Line, "BEGIN:%s stands outside a calendar, allowed: BEGIN:VCALENDAR", Short(name))
	case len(open) == maxDepth:
		return nil, Failf(p.Line, "BEGIN:%s is the component number %d within components, allowed: at most %d", Short(name), maxDepth+1, maxDepth)
	}
	return &Component{Name: name, Line: p.Line}, nil
}

// Get is the first property of that name, nil where there is none.
func (c *Component) Get(name string) *Property {
	for i := range c.Properties {
		if c.Properties[i].Name == name {
			return &c.Properties[i]
		}
	}
	return nil
}

// Short is a piece of a foreign file for a message: quoted, and no longer than a line.
func Short(s string) string {
	const most = 40
	if len(s) > most {
		return fmt.Sprintf("%q and more", strings.ToValidUTF8(s[:most], ""))
	}
	return fmt.Sprintf("%q", s)
}
