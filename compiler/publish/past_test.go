package publish

import (
	"strings"
	"testing"
	"time"
)

// An entry that somebody edited or took away fails a run while its day is to come, by the plan or by where it was moved to, and
// no longer once both are over. Sources: RFC 5545, sections 3.3.4 to 3.3.6, 3.6.1 and 3.8.5 for how an event says its days.
func TestPast(t *testing.T) {
	entry := func(start, more string) string {
		return "BEGIN:VEVENT\r\nUID:a\r\nDTSTAMP:20270103T090000Z\r\n" + start + "\r\n" + more + "SUMMARY:one\r\nSTATUS:CONFIRMED\r\nEND:VEVENT\r\n"
	}
	const home, day = "DTSTART;TZID=Europe/Lisbon:20270111T070000", "DTSTART;VALUE=DATE:20270111"
	for _, x := range []struct{ why, plan, server, more, today, want string }{
		{"its words, the day after", home, home, "", "20270112", Past},
		{"its words, on its day", home, home, "", "20270111", Edited},
		{"its words, long before", home, home, "", "20270104", Edited},
		{"moved to a day to come", home, "DTSTART;TZID=Europe/Lisbon:20270113T070000", "", "20270112", Edited},
		{"that day is over too", home, "DTSTART;TZID=Europe/Lisbon:20270113T070000", "", "20270114", Past},
		{"moved back, and the plan's day is to come", home, "DTSTART;TZID=Europe/Lisbon:20270104T070000", "", "20270111", Edited},
		{"in UTC, which may be the next day at home", home, "DTSTART:20270111T233000Z", "", "20270112", Edited},
		{"in another zone", home, "DTSTART;TZID=America/Lima:20270111T233000", "", "20270112", Edited},
		{"in another zone, two days after", home, "DTSTART;TZID=America/Lima:20270111T233000", "", "20270113", Past},
		{"made to last for days", home, home, "DURATION:P14D\r\n", "20270112", Edited},
		{"an end to come", home, home, "DTEND;TZID=Europe/Lisbon:20270120T070000\r\n", "20270112", Edited},
		{"made longer", home, home, "DURATION:PT1H\r\n", "20270112", Past},
		{"made to repeat", home, home, "RRULE:FREQ=DAILY\r\n", "20270112", Edited},
		{"a day", day, day, "DTEND;VALUE=DATE:20270112\r\n", "20270112", Past},
		{"a day, on it", day, day, "DTEND;VALUE=DATE:20270112\r\n", "20270111", Edited},
		{"a start that is none", home, "DTSTART:soon-and-well", "", "20270112", Edited},
		{"taken away", home, "", "", "20270112", Past},
		{"taken away on its day", home, "", "", "20270111", Removed},
		{"a clock that is not told", home, home, "", "", Edited},
	} {
		s := &shelf{items: map[string]string{}}
		c, sent := at(t, s), Sent{}
		es := entriesOf(t, entry(x.plan, ""))
		counts(t, c, es, sent, Options{})
		if s.items["a.ics"] = strings.Replace(entry(x.server, x.more), "one", "dentist", 1); x.server == "" {
			delete(s.items, "a.ics")
		}
		was := s.items["a.ics"]
		var o Options
		if x.today != "" {
			o.Today, _ = time.Parse("20060102", x.today)
		}
		for range 2 { // a second run says the same
			if got := counts(t, c, es, sent, o); got != "1 "+x.want || s.items["a.ics"] != was {
				t.Errorf("%s: %s, want 1 %s, and nothing written", x.why, got, x.want)
			}
		}
		if o.Force = true; x.want != Edited && x.want != Removed && counts(t, c, es, sent, o) == "1 "+x.want {
			t.Errorf("%s: force leaves it", x.why)
		}
	}
}
