package calendar

import (
	"fmt"
	"strings"
	"time"

	"isocue.example/compiler/zone"
)

// onset is a moment at which the offset of a zone changes; both offsets are in seconds east of UTC.
type onset struct {
	at       time.Time // in UTC
	from, to int
	name     string // what the zone's time is called from then on, such as WEST
}

// wall is what the clock showed at the onset, before it was moved: DTSTART of an observance (RFC 5545 3.6.5).
func (o onset) wall() time.Time { return o.at.Add(time.Duration(o.from) * time.Second) }

// summer says whether the clock goes forward. Zone data calls the winter of Dublin the exception, calendar programs know
// only an hour more in summer; so the sign decides, not what the data calls daylight saving.
func (o onset) summer() bool { return o.to > o.from }

// appendZone appends the VTIMEZONE that gives loc's offset at every moment from first to last.
//
// A zone with one forward and one backward change a year, each on the same weekday of its month, is written as one
// DAYLIGHT and one STANDARD with a yearly rule, because a widely used reader takes no other form. Any other zone is
// written change by change.
func appendZone(dst []byte, loc *time.Location, first, last time.Time) []byte {
	l := line{buf: dst}
	put := func(s string) { l.begin(s); l.end() }
	put("BEGIN:VTIMEZONE")
	put("TZID:" + loc.String())
	if std, day, ok := regular(loc, first, last); ok {
		putObservance(put, std[0], "STANDARD", rule(std))
		putObservance(put, day[0], "DAYLIGHT", rule(day))
	} else {
		all := onsets(loc, first, last)
		for _, o := range all {
			kind := "STANDARD"
			if o.summer() && len(all) > 1 {
				kind = "DAYLIGHT" // alone it would be a zone without a standard time
			}
			putObservance(put, o, kind, "")
		}
	}
	put("END:VTIMEZONE")
	return l.buf
}

func putObservance(put func(string), o onset, kind, rule string) {
	put("BEGIN:" + kind)
	put("DTSTART:" + o.wall().Format("20060102T150405"))
	if rule != "" {
		put("RRULE:" + rule)
	}
	put("TZOFFSETFROM:" + offset(o.from))
	put("TZOFFSETTO:" + offset(o.to))
	put("TZNAME:" + o.name)
	put("END:" + kind)
}

// offset prints seconds east of UTC as +0100, with seconds only where they are not 0 (RFC 5545 3.3.14).
func offset(seconds int) string {
	sign := '+'
	if seconds < 0 {
		sign, seconds = '-', -seconds
	}
	s := fmt.Sprintf("%c%02d%02d", sign, seconds/3600, seconds/60%60)
	if seconds%60 != 0 {
		s += fmt.Sprintf("%02d", seconds%60)
	}
	return s
}

// epoch is where a zone's history begins here: older offsets are local mean times with odd seconds, and no session
// needs them.
var epoch = time.Unix(0, 0).UTC()

// onsets lists the change that is in force at first, then every change up to last. Where nothing changed since 1970 the
// first is a change from the offset to itself on that day.
func onsets(loc *time.Location, first, last time.Time) []onset {
	out := []onset{onsetBefore(loc, first)}
	for t := first; ; {
		end, ok := zone.Next(loc, t)
		if !ok || end.After(last) {
			return out
		}
		if o := onsetAt(loc, end); o.from != o.to {
			out = append(out, o)
		}
		t = end
	}
}

func onsetAt(loc *time.Location, t time.Time) onset {
	_, from := t.Add(-time.Second).In(loc).Zone()
	name, to := t.In(loc).Zone()
	return onset{t.UTC(), from, to, name}
}

func onsetBefore(loc *time.Location, t time.Time) onset {
	for at := t.In(loc); ; {
		start, _ := at.ZoneBounds()
		if start.IsZero() || start.Before(epoch) {
			name, to := t.In(loc).Zone()
			return onset{epoch.Add(-time.Duration(to) * time.Second), to, to, name}
		}
		if o := onsetAt(loc, start); o.from != o.to {
			o.name, _ = t.In(loc).Zone() // a later change may have altered the name alone
			return o
		}
		at = start.Add(-time.Second)
	}
}

// regular finds the two yearly changes of loc. It looks from a year before first to two years after last: a rule has no
// end, and one that is about to be given up should not be printed as if it went on.
func regular(loc *time.Location, first, last time.Time) (std, day []onset, ok bool) {
	from := time.Date(first.In(loc).Year()-1, 1, 1, 0, 0, 0, 0, time.UTC)
	to := time.Date(last.In(loc).Year()+3, 1, 1, 0, 0, 0, 0, time.UTC)
	for t := from; ; {
		end, more := zone.Next(loc, t)
		if !more || !end.Before(to) {
			break
		}
		if o := onsetAt(loc, end); o.summer() {
			day = append(day, o)
		} else if o.from != o.to {
			std = append(std, o)
		}
		t = end
	}
	years := to.Year() - from.Year()
	return std, day, yearly(std, years) && yearly(day, years)
}

// yearly says whether the changes are one a year for so many years, alike in all but the year.
func yearly(os []onset, years int) bool {
	if len(os) != years {
		return false
	}
	a := os[0].wall()
	for i, o := range os {
		w := o.wall()
		if w.Year() != a.Year()+i || w.Month() != a.Month() || w.Weekday() != a.Weekday() || o.name != os[0].name ||
			o.from != os[0].from || o.to != os[0].to || w.Sub(w.Truncate(24*time.Hour)) != a.Sub(a.Truncate(24*time.Hour)) {
			return false
		}
	}
	return nth(os) != 0
}

// nth is which of its weekday in the month all changes fall on: 1 to 4, -1 the last, 0 no common one.
func nth(os []onset) int {
	last, n := true, (os[0].wall().Day()-1)/7+1
	for _, o := range os {
		w := o.wall()
		last = last && w.AddDate(0, 0, 7).Month() != w.Month()
		if (w.Day()-1)/7+1 != n {
			n = 0
		}
	}
	switch {
	case last:
		return -1
	case n == 5:
		return 0 // a fifth weekday that is not the last does not exist
	}
	return n
}

func rule(os []onset) string {
	w := os[0].wall()
	return fmt.Sprintf("FREQ=YEARLY;BYMONTH=%d;BYDAY=%d%s", int(w.Month()), nth(os), strings.ToUpper(w.Weekday().String()[:2]))
}
