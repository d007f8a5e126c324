package publish

import (
	"regexp"
	"strings"
	"time"
)

// left is what became of an entry that somebody edited or took away. One of the past is no matter of the training any more: it is
// Past where its own day and, where has holds one, the day to which somebody moved it lie before today.
func (e Entry) left(what string, has []byte, o Options) string {
	if o.Today.IsZero() || o.Force {
		return what
	}
	own, zone, ok := lastDay(e.Data, "")
	if !ok || !own.Before(o.Today) {
		return what
	}
	if what == Edited {
		if now, _, ok := lastDay(has, zone); !ok || !now.Before(o.Today) {
			return what
		}
	}
	return Past
}

// within is a length of hours, minutes and seconds: an event of it ends on its day, or in the night after.
var within = regexp.MustCompile(`^PT(\d{1,2}H)?(\d+M)?(\d+S)?$`)

// lastDay is the last day that the events of an iCalendar object name, and the parameters of their start; ok is false where it cannot
// be told or goes on, as for what repeats. A time with other parameters than home may be read on the next day in the client's
// zone, so a day is added; an empty home stands for the object's own.
func lastDay(data []byte, home string) (last time.Time, zone string, ok bool) {
	for _, l := range eventLines(data) {
		at := strings.LastIndexByte(l, ':')
		if at < 0 {
			continue
		}
		head, value := l[:at], strings.TrimSpace(l[at+1:])
		name, params, _ := strings.Cut(head, ";")
		switch name = strings.ToUpper(name); name {
		case "RRULE", "RDATE":
			return last, zone, false
		case "DURATION":
			if !within.MatchString(value) {
				return last, zone, false
			}
		case "DTSTART", "DTEND":
			if len(value) < 8 {
				return last, zone, false
			}
			day, err := time.Parse("20060102", value[:8])
			if err != nil {
				return last, zone, false
			}
			if name == "DTSTART" && zone == "" {
				zone = params
			}
			switch {
			case len(value) > 8 && (strings.HasSuffix(value, "Z") || home != "" && params != home):
				day = day.AddDate(0, 0, 1)
			case len(value) == 8 && name == "DTEND": // it is excluded (RFC 5545, section 3.6.1)
				day = day.AddDate(0, 0, -1)
			}
			if day.After(last) {
				last = day
			}
			ok = true
		}
	}
	return last, zone, ok
}
