package testkit

import (
	"strings"

	"isocue.example/compiler/ical"
)

// checkCalendar holds a calendar to the laws about one property, and to those about several.
func checkCalendar(c *ical.Component) error {
	if err := lawful(c); err != nil {
		return err
	}
	if len(c.Components) == 0 {
		return ical.Failf(c.Line, "the VCALENDAR has no component, allowed: at least one")
	}
	zones, uids := map[string]int{}, map[string]int{} // name -> line
	for i := range c.Components {
		z := &c.Components[i]
		if z.Name != "VTIMEZONE" {
			continue
		}
		name := z.Get("TZID")
		switch {
		case zones[Text(name)] > 0:
			return ical.Failf(name.Line, "a second VTIMEZONE %s, allowed: one, which stands in line %d", ical.Short(Text(name)), zones[Text(name)])
		case len(z.Components) == 0:
			return ical.Failf(z.Line, "the VTIMEZONE has neither a STANDARD nor a DAYLIGHT, allowed: at least one")
		}
		zones[Text(name)] = z.Line
		for j := range z.Components {
			if err := checkUntil(&z.Components[j]); err != nil {
				return err
			}
		}
	}
	for i := range c.Components {
		e := &c.Components[i]
		if e.Name != "VEVENT" {
			continue
		}
		if err := checkEvent(e, zones); err != nil {
			return err
		}
		u := e.Get("UID")
		if uids[u.Value] > 0 {
			return ical.Failf(u.Line, "UID %s stands again, allowed: in one event, and it is in that of line %d", ical.Short(u.Value), uids[u.Value])
		}
		uids[u.Value] = e.Line
		if m := c.Get("METHOD"); m != nil && e.Get("ORGANIZER") == nil { // RFC 5546 3.2.1
			return ical.Failf(e.Line, "the VEVENT has no ORGANIZER, allowed: one where METHOD is PUBLISH, or no METHOD")
		}
	}
	return nil
}

func checkEvent(e *ical.Component, zones map[string]int) error {
	start, end, length := e.Get("DTSTART"), e.Get("DTEND"), e.Get("DURATION")
	switch {
	case end != nil && length != nil:
		return ical.Failf(max(end.Line, length.Line), "the VEVENT has DTEND and DURATION, allowed: one of them")
	case end == nil && length == nil:
		return ical.Failf(e.Line, "the VEVENT has neither DTEND nor DURATION, allowed: one of them")
	}
	from, _ := MomentOf(start) // lawful has read them
	if length != nil {
		if s, _ := length.Span(); from.AllDay && s.Clock != 0 {
			return ical.Failf(length.Line, "DURATION is %s after a DTSTART that is a day, allowed: days or weeks", ical.Short(length.Value))
		}
	} else if err := checkEnd(from, end); err != nil {
		return err
	}
	for _, p := range []*ical.Property{start, end} {
		if p != nil && has(p, "TZID") && zones[param(p, "TZID")] == 0 {
			return ical.Failf(p.Line, "%s has TZID %s, allowed: a zone that a VTIMEZONE of this calendar declares", p.Name, ical.Short(param(p, "TZID")))
		}
	}
	if err := checkUntil(e); err != nil {
		return err
	}
	if len(e.Components) > 1 {
		return ical.Failf(e.Components[1].Line, "a second VALARM, allowed: at most one; programs take the first alone")
	}
	for i := range e.Components {
		if a := &e.Components[i]; (a.Get("DURATION") == nil) != (a.Get("REPEAT") == nil) {
			return ical.Failf(a.Line, "the VALARM has one of DURATION and REPEAT, allowed: both or neither")
		}
	}
	return nil
}

// checkEnd holds DTEND to DTSTART. The end is excluded, so an event of one day ends on the next.
func checkEnd(from Moment, end *ical.Property) error {
	to, _ := MomentOf(end)
	switch {
	case from.AllDay != to.AllDay:
		return ical.Failf(end.Line, "one of DTSTART and DTEND is a day, the other a time, allowed: both the same")
	case from.UTC != to.UTC || from.TZID != to.TZID:
		return ical.Failf(end.Line, "DTSTART and DTEND are in two zones, allowed: one")
	case !to.Wall.After(from.Wall) && from.AllDay:
		return ical.Failf(end.Line, "DTEND is %s, allowed: a day after DTSTART, for the end is excluded", ical.Short(end.Value))
	case !to.Wall.After(from.Wall):
		return ical.Failf(end.Line, "DTEND is %s, allowed: later than DTSTART", ical.Short(end.Value))
	}
	return nil
}

// checkUntil holds the end of a rule to the start of its component: a day where that is a day, else UTC (RFC 5545 3.3.10).
func checkUntil(c *ical.Component) error {
	p := c.Get("RRULE")
	if p == nil {
		return nil
	}
	from, _ := MomentOf(c.Get("DTSTART"))
	for part := range strings.SplitSeq(strings.ToUpper(p.Value), ";") {
		if until, ok := strings.CutPrefix(part, "UNTIL="); ok && (len(until) == len(dateForm)) != from.AllDay {
			return ical.Failf(p.Line, "UNTIL is %s, DTSTART %s, allowed: both days or both times", ical.Short(until), ical.Short(c.Get("DTSTART").Value))
		} else if ok && !from.AllDay && !strings.HasSuffix(until, "Z") {
			return ical.Failf(p.Line, "UNTIL is %s, allowed: UTC, such as 20270501T060000Z", ical.Short(until))
		}
	}
	return nil
}
