package calendar

import (
	"fmt"
	"strings"
	"testing"
)

// Source: RFC 5545, 3.6.1: an all-day event ends before its DTEND, and without one lasts a day.
func TestClosedDays(t *testing.T) {
	event := func(lines ...string) string {
		return "BEGIN:VCALENDAR\nVERSION:2.0\nBEGIN:VEVENT\n" + strings.Join(lines, "\n") + "\nEND:VEVENT\nEND:VCALENDAR\n"
	}
	for _, c := range []struct{ src, want, says string }{
		{event("DTSTART;VALUE=DATE:20270326", "DTEND;VALUE=DATE:20270330"), "[{2027-03-26 2027-03-29}]", ""},
		{event("DTSTART;VALUE=DATE:20270501"), "[{2027-05-01 2027-05-01}]", ""},
		{event("DTSTART:20270501", "DURATION:P3D"), "[{2027-05-01 2027-05-03}]", ""},
		{event("DTSTART;VALUE=DATE:20270501", "DTEND;VALUE=DATE:20270501"), "[{2027-05-01 2027-05-01}]", ""},
		{event("DTSTART;VALUE=DATE:20270501", "RRULE:FREQ=YEARLY"), "", "5: a closing event repeats"},
		{event("DTSTART:20270501T080000Z"), "", "an event with hours closes no day"},
		{event("DTSTART;VALUE=DATE:20270501", "DTEND;VALUE=DATE:20280601"), "", "lasts 397 days"},
		{event("SUMMARY:x"), "", "no DTSTART"},
		{event("DTSTART;VALUE=DATE:20270501", "STATUS:CANCELLED"), "", "no all-day event"},
		{"hello", "", "line"},
	} {
		got, err := ClosedDays([]byte(c.src))
		if c.says == "" {
			if fmt.Sprint(got) != c.want || err != nil {
				t.Errorf("%q: %v, %v, want %s", c.src, got, err, c.want)
			}
		} else if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: %v, want %q", c.src, err, c.says)
		}
	}
}
