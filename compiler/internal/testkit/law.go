package testkit

import (
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"isocue.example/compiler/ical"
	"isocue.example/compiler/near"
)

// law says how often a property stands in its component, and what its value and parameters are.
type law struct {
	times
	value  func(*ical.Property) error
	params string // allowed beside X- ones
}

type times int

const (
	once times = iota // exactly
	most              // at most once
	many
)

// laws are the properties that each component may have, from RFC 5545 3.6 and RFC 7986 5: those that a calendar of
// sessions can need. A calendar with guests, for one, is none.
var laws = map[string]map[string]law{
	"VCALENDAR": {
		"VERSION": {once, oneOf("2.0"), ""}, "PRODID": {once, text, ""}, "CALSCALE": {most, oneOf("GREGORIAN"), ""},
		"METHOD": {most, oneOf("PUBLISH"), ""}, "NAME": {many, text, spoken}, "DESCRIPTION": {many, text, spoken},
		"COLOR": {most, text, ""}, "UID": {most, uid, ""}, "LAST-MODIFIED": {most, utc, ""}, "CATEGORIES": {many, texts, spoken},
		"URL": {most, uri, ""}, "SOURCE": {most, uri, "VALUE"}, "REFRESH-INTERVAL": {most, refresh, "VALUE"},
	},
	"VEVENT": {
		"UID": {once, uid, ""}, "DTSTAMP": {once, utc, ""}, "DTSTART": {once, moment, "TZID VALUE"},
		"DTEND": {most, moment, "TZID VALUE"}, "DURATION": {most, positive, ""}, "RRULE": {most, recurrence, ""},
		"SEQUENCE": {most, number, ""}, "CREATED": {most, utc, ""}, "LAST-MODIFIED": {most, utc, ""},
		"SUMMARY": {most, text, spoken}, "DESCRIPTION": {most, text, spoken}, "LOCATION": {most, text, spoken},
		"COMMENT": {many, text, spoken}, "CATEGORIES": {many, texts, spoken}, "COLOR": {most, text, ""},
		"STATUS": {most, oneOf("TENTATIVE", "CONFIRMED", "CANCELLED"), ""}, "CLASS": {most, oneOf("PUBLIC", "PRIVATE", "CONFIDENTIAL"), ""},
		"TRANSP": {most, oneOf("OPAQUE", "TRANSPARENT"), ""}, "PRIORITY": {most, priority, ""}, "URL": {most, uri, ""},
		"ORGANIZER": {most, uri, "CN DIR LANGUAGE SENT-BY"},
	},
	"VALARM": {
		"ACTION": {once, oneOf("DISPLAY"), ""}, "TRIGGER": {once, trigger, "VALUE RELATED"}, "DESCRIPTION": {once, text, spoken},
		"DURATION": {most, positive, ""}, "REPEAT": {most, number, ""},
	},
	"VTIMEZONE": {"TZID": {once, text, ""}, "LAST-MODIFIED": {most, utc, ""}, "TZURL": {most, uri, ""}},
	"STANDARD":  observance,
	"DAYLIGHT":  observance,
}

var observance = map[string]law{
	"DTSTART": {once, floating, ""}, "TZOFFSETFROM": {once, fromUTC, ""}, "TZOFFSETTO": {once, fromUTC, ""},
	"RRULE": {most, recurrence, ""}, "TZNAME": {many, text, "LANGUAGE"}, "COMMENT": {many, text, spoken},
}

const spoken = "ALTREP LANGUAGE" // a text that is in some language

// parts are the components that may stand in each component.
var parts = map[string][]string{
	"VCALENDAR": {"VEVENT", "VTIMEZONE"}, "VEVENT": {"VALARM"}, "VTIMEZONE": {"STANDARD", "DAYLIGHT"},
}

// lawful holds a component and what stands in it to the laws. What concerns several properties comes after.
func lawful(c *ical.Component) error {
	known := laws[c.Name]
	seen := map[string]int{} // name -> line of the first
	for i := range c.Properties {
		p := &c.Properties[i]
		l, ok := known[p.Name]
		switch {
		case strings.ContainsAny(p.Name, "_."):
			return ical.Failf(p.Line, "%s is no name of a property, allowed: letters, digits and hyphens", ical.Short(p.Name))
		case strings.HasPrefix(p.Name, "X-"):
			if err := isText(p.Value, true); err != nil && param(p, "VALUE") == "" {
				return ical.Failf(p.Line, "%s has %v", ical.Short(p.Name), err)
			}
			continue
		case !ok:
			all := slices.Sorted(maps.Keys(known))
			return ical.Failf(p.Line, "property %s in %s, allowed: %s and X-...%s", ical.Short(p.Name), c.Name, strings.Join(all, " "), near.Hint(p.Name, all))
		case seen[p.Name] > 0 && l.times != many:
			return ical.Failf(p.Line, "a second %s, allowed: one in a %s, which stands in line %d", p.Name, c.Name, seen[p.Name])
		}
		seen[p.Name] = p.Line
		if err := lawfulParams(p, l.params); err != nil {
			return err
		}
		if err := l.value(p); err != nil {
			return ical.Failf(p.Line, "%v", err)
		}
		if len(c.Components) > 0 && c.Name != "VTIMEZONE" && p.Line > c.Components[0].Line {
			return ical.Failf(p.Line, "%s stands after the %s of line %d, allowed: properties before components", p.Name, c.Components[0].Name, c.Components[0].Line)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(known)) {
		if known[name].times == once && seen[name] == 0 {
			return ical.Failf(c.Line, "the %s has no %s, allowed: exactly one", c.Name, name)
		}
	}
	for i := range c.Components {
		in := &c.Components[i]
		if !slices.Contains(parts[c.Name], in.Name) {
			return ical.Failf(in.Line, "component %s in %s, allowed: %s", ical.Short(in.Name), c.Name, allowed(parts[c.Name]))
		}
		if err := lawful(in); err != nil {
			return err
		}
	}
	return nil
}

func lawfulParams(p *ical.Property, known string) error {
	for i, x := range p.Params {
		switch {
		case strings.ContainsAny(x.Name, "_."):
			return ical.Failf(p.Line, "%s has a parameter without a name and an equals sign, allowed: NAME=value before the colon", p.Name)
		case slices.ContainsFunc(p.Params[:i], func(o ical.Param) bool { return o.Name == x.Name }):
			return ical.Failf(p.Line, "%s has the parameter %s twice, allowed: once", p.Name, ical.Short(x.Name))
		case strings.HasPrefix(x.Name, "X-"):
		case !slices.Contains(strings.Fields(known), x.Name):
			return ical.Failf(p.Line, "%s has the parameter %s, allowed: %s", p.Name, ical.Short(x.Name), strings.TrimSpace(known+" X-..."))
		case len(x.Values) > 1:
			return ical.Failf(p.Line, "%s has %d values of parameter %s, allowed: one", p.Name, len(x.Values), x.Name)
		}
	}
	return nil
}

func allowed(names []string) string {
	if len(names) == 0 {
		return "none"
	}
	return strings.Join(names, ", ")
}

func oneOf(values ...string) func(*ical.Property) error {
	return func(p *ical.Property) error {
		for _, v := range values {
			if strings.EqualFold(p.Value, v) {
				return nil
			}
		}
		return fmt.Errorf("%s is %s, allowed: %s", p.Name, ical.Short(p.Value), strings.Join(values, ", "))
	}
}

func text(p *ical.Property) error {
	if err := isText(p.Value, false); err != nil {
		return fmt.Errorf("%s has %w", p.Name, err)
	}
	return nil
}

func texts(p *ical.Property) error {
	if err := isText(p.Value, true); err != nil {
		return fmt.Errorf("%s has %w", p.Name, err)
	}
	return nil
}

func uid(p *ical.Property) error {
	if p.Value == "" || len(p.Value) > calendarUID {
		return fmt.Errorf("UID has %d bytes, allowed: 1 to %d", len(p.Value), calendarUID)
	}
	return text(p)
}

var address = regexp.MustCompile(`^[A-Za-z0-9._-]+:[^ ]*$`)

func uri(p *ical.Property) error {
	if !address.MatchString(p.Value) {
		return fmt.Errorf("%s is %s, allowed: an address such as https://clinic.example/course", p.Name, ical.Short(p.Value))
	}
	return nil
}

func moment(p *ical.Property) error {
	m, err := MomentOf(p)
	if err == nil && !m.AllDay && !m.UTC && m.TZID == "" {
		return fmt.Errorf("%s is %s without a zone, allowed: a TZID, or UTC with a Z", p.Name, ical.Short(p.Value))
	}
	return err
}

func utc(p *ical.Property) error {
	if m, err := MomentOf(p); err != nil || !m.UTC {
		return fmt.Errorf("%s is %s, allowed: UTC, such as 20270227T103000Z", p.Name, ical.Short(p.Value))
	}
	return nil
}

func floating(p *ical.Property) error {
	if m, err := MomentOf(p); err != nil || m.UTC || m.AllDay {
		return fmt.Errorf("%s of an observance is %s, allowed: local time, such as 20270328T010000", p.Name, ical.Short(p.Value))
	}
	return nil
}

func positive(p *ical.Property) error {
	s, err := p.Span()
	if err == nil && (s.Days < 0 || s.Clock < 0 || s == ical.Span{}) {
		err = fmt.Errorf("%s is %s, allowed: more than nothing", p.Name, ical.Short(p.Value))
	}
	return err
}

func refresh(p *ical.Property) error {
	if !strings.EqualFold(param(p, "VALUE"), "DURATION") {
		return errors.New("REFRESH-INTERVAL has no VALUE=DURATION, allowed: with it")
	}
	return positive(p)
}

func trigger(p *ical.Property) error {
	if strings.EqualFold(param(p, "VALUE"), "DATE-TIME") {
		return utc(p)
	}
	_, err := p.Span()
	return err
}

func number(p *ical.Property) error {
	if _, err := ical.Digits(p.Value, 1, 9); err != nil {
		return fmt.Errorf("%s is %s, allowed: a whole number, 0 or more", p.Name, ical.Short(p.Value))
	}
	return nil
}

func priority(p *ical.Property) error {
	if _, err := ical.Digits(p.Value, 1, 1); err != nil {
		return fmt.Errorf("PRIORITY is %s, allowed: 0 to 9", ical.Short(p.Value))
	}
	return nil
}

// fromUTC holds an offset to RFC 5545 3.3.14: a sign, hours, minutes, seconds only where there are some, no -0000.
func fromUTC(p *ical.Property) error {
	v := p.Value
	n, err := ical.Digits(strings.TrimLeft(v, "+-"), 4, 6)
	if len(v) == 5 {
		n *= 100
	}
	if err != nil || len(v) != 5 && len(v) != 7 || v[0] != '+' && v[0] != '-' || n > 235959 || n/100%100 > 59 || n%100 > 59 || v[0] == '-' && n == 0 {
		return fmt.Errorf("%s is %s, allowed: hours and minutes such as +0100", p.Name, ical.Short(v))
	}
	return nil
}

// isText says what is wrong with s as a TEXT; list lets bare commas part it.
func isText(s string, list bool) error {
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c == ';', c == ',' && !list:
			return fmt.Errorf("a bare %q, allowed: \\%c", c, c)
		case c == '\\':
			if i++; i == len(s) || strings.IndexByte(`\,;nN`, s[i]) < 0 {
				return errors.New(`a \ that begins no escape, allowed: \\ \, \; and \n`)
			}
		}
	}
	return nil
}
