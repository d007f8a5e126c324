package calendar

import "strings"

// checkCalendar holds a calendar to the laws about one property, and to those about several.
func checkCalendar(c *Component) error {
	if err := lawful(c); err != nil {
		return err
	}
	if len(c.Components) == 0 {
		return failf(c.Line, "the VCALENDAR has no component, allowed: at least one")
	}
	zones, uids := map[string]int{}, map[string]int{} // name -> line
	for i := range c.Components {
		z := &c.Components[i]
		if z.Name != "VTIMEZONE" {
			continue
		}
		name := z.Get("TZID")
		switch {
		case zones[name.Text()] > 0:
			return failf(name.Line, "a second VTIMEZONE %s, allowed: one, which stands in line %d", short(name.Text()), zones[name.Text()])
		case len(z.Components) == 0:
			return failf(z.Line, "the VTIMEZONE has neither a STANDARD nor a DAYLIGHT, allowed: at least one")
		}
		zones[name.Text()] = z.Line
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
			return failf(u.Line, "UID %s stands again, allowed: in one event, and it is in that of line %d", short(u.Value), uids[u.Value])
		}
		uids[u.Value] = e.Line
		if m := c.Get("METHOD"); m != nil && e.Get("ORGANIZER") == nil { // RFC 5546 3.2.1
			return failf(e.Line, "the VEVENT has no ORGANIZER, allowed: one where METHOD is PUBLISH, or no METHOD")
		}
	}
	return nil
}

func checkEvent(e *Component, zones map[string]int) error {
	start, end, length := e.Get("DTSTART"), e.Get("DTEND"), e.Get("DURATION")
	switch {
	case end != nil && length != nil:
		return failf(max(end.Line, length.Line), "the VEVENT has DTEND and DURATION, allowed: one of them")
	case end == nil && length == nil:
		return failf(e.Line, "the VEVENT has neither DTEND nor DURATION, allowed: one of them")
	}
	from, _ := start.Moment() // lawful has read them
	if length != nil {
		if s, _ := length.Span(); from.AllDay && s.Clock != 0 {
			return failf(length.Line, "DURATION is %s after a DTSTART that is a day, allowed: days or weeks", short(length.Value))
		}
	} else if err := checkEnd(from, end); err != nil {
		return err
	}
	for _, p := range []*Property{start, end} {
		if p != nil && p.has("TZID") && zones[p.Param("TZID")] == 0 {
			return failf(p.Line, "%s has TZID %s, allowed: a zone that a VTIMEZONE of this calendar declares", p.Name, short(p.Param("TZID")))
		}
	}
	if err := checkUntil(e); err != nil {
		return err
	}
	if len(e.Components) > 1 {
		return failf(e.Components[1].Line, "a second VALARM, allowed: at most one; programs take the first alone")
	}
	for i := range e.Components {
		if a := &e.Components[i]; (a.Get("DURATION") == nil) != (a.Get("REPEAT") == nil) {
			return failf(a.Line, "the VALARM has one of DURATION and REPEAT, allowed: both or neither")
		}
	}
	return nil
}

// checkEnd holds DTEND to DTSTART. The end is excluded, so an event of one day ends on the next.
func checkEnd(from Moment, end *Property) error {
	to, _ := end.Moment()
	switch {
	case from.AllDay != to.AllDay:
		return failf(end.Line, "one of DTSTART and DTEND is a day, the other a time, allowed: both the same")
	case from.UTC != to.UTC || from.TZID != to.TZID:
		return failf(end.Line, "DTSTART and DTEND are in two zones, allowed: one")
	case !to.Wall.After(from.Wall) && from.AllDay:
		return failf(end.Line, "DTEND is %s, allowed: a day after DTSTART, for the end is excluded", short(end.Value))
	case !to.Wall.After(from.Wall):
		return failf(end.Line, "DTEND is %s, allowed: later than DTSTART", short(end.Value))
	}
	return nil
}

// checkUntil holds the end of a rule to the start of its component: a day where that is a day, else UTC (RFC 5545 3.3.10).
func checkUntil(c *Component) error {
	p := c.Get("RRULE")
	if p == nil {
		return nil
	}
	from, _ := c.Get("DTSTART").Moment()
	for part := range strings.SplitSeq(strings.ToUpper(p.Value), ";") {
		if until, ok := strings.CutPrefix(part, "UNTIL="); ok && (len(until) == len(dateForm)) != from.AllDay {
			return failf(p.Line, "UNTIL is %s, DTSTART %s, allowed: both days or both times", short(until), short(c.Get("DTSTART").Value))
		} else if ok && !from.AllDay && !strings.HasSuffix(until, "Z") {
			return failf(p.Line, "UNTIL is %s, allowed: UTC, such as 20270501T060000Z", short(until))
		}
	}
	return nil
}
