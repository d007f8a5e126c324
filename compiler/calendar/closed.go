package calendar

import (
	"fmt"
	"strings"
	"time"

	"isocue.example/compiler/ical"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// maxClosing bounds one closing event in days: longer is a slip of the year.
const maxClosing = 366

// ClosedDays reads the closing days of a clinic from a calendar that some other program wrote: its all-day events, first to last
// day. Cancelled ones do not count. An event with hours or with a repetition is refused, with its line, because leaving it out
// silently would place sessions on a closed day.
func ClosedDays(src []byte) (out []record.Span, err error) {
	all, err := ical.Read(src)
	if err != nil {
		return nil, err
	}
	for i := range all {
		for j := range all[i].Components {
			c := &all[i].Components[j]
			if s := c.Get("STATUS"); c.Name != "VEVENT" || s != nil && strings.EqualFold(s.Value, "CANCELLED") {
				continue
			}
			span, err := closing(c)
			if err != nil {
				return nil, err
			}
			out = append(out, span)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("the calendar holds no all-day event, allowed: one for each stretch of closing days")
	}
	return out, nil
}

func closing(c *ical.Component) (s record.Span, err error) {
	for _, name := range []string{"RRULE", "RDATE"} {
		if p := c.Get(name); p != nil {
			return s, ical.Failf(p.Line, "a closing event repeats, allowed: one event for each stretch of days")
		}
	}
	from := c.Get("DTSTART")
	if from == nil {
		return s, ical.Failf(c.Line, "an event has no DTSTART, allowed: a first day")
	}
	if s.From, err = allDay(from); err != nil {
		return s, err
	}
	s.To = s.From
	switch end, length := c.Get("DTEND"), c.Get("DURATION"); {
	case end != nil:
		if s.To, err = allDay(end); err != nil {
			return s, err
		}
		s.To = max(s.To-1, s.From) // the end is excluded; some programs write the same day twice
	case length != nil:
		sp, err := length.Span()
		if err != nil {
			return s, ical.Failf(length.Line, "%v", err)
		}
		s.To = max(s.From+unit.Date(sp.Days)-1, s.From)
	}
	if days := int(s.To-s.From) + 1; days > maxClosing {
		return s, ical.Failf(from.Line, "a closing event lasts %d days, allowed: at most %d", days, maxClosing)
	}
	return s, nil
}

// allDay is a DATE. Some programs leave VALUE=DATE out; eight digits can be nothing else.
func allDay(p *ical.Property) (unit.Date, error) {
	if t, err := time.Parse("20060102", p.Value); err == nil {
		return unit.DateOf(t), nil
	}
	return 0, ical.Failf(p.Line, "%s is %s, allowed: a day such as 20270101; an event with hours closes no day", p.Name, ical.Short(p.Value))
}
