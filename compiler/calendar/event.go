package calendar

import (
	"fmt"
	"strconv"
	"time"
)

// head begins an event. An entry that did not change since an earlier plan keeps its stamps, so that it stays the same to the
// byte; without METHOD the two mean the same (RFC 5545, 3.8.7.2).
func (e *Encoder) head(l *line, uid string, sequence int, modified string) error {
	l.buf = append(l.buf, "BEGIN:VEVENT\r\n"...)
	l.begin("UID:")
	l.ascii(uid)
	l.end()
	if modified == "" {
		l.buf = append(l.buf, e.stamp...)
	} else {
		at, err := time.Parse(time.RFC3339, modified)
		if err != nil {
			return fmt.Errorf("it was modified at %q, allowed: a moment such as 2027-01-03T12:00:00Z", modified)
		}
		l.buf = append(at.UTC().AppendFormat(append(l.buf, "DTSTAMP:"...), stampForm), "LAST-MODIFIED:"...)
		l.buf = at.UTC().AppendFormat(l.buf, stampForm)
	}
	l.buf = append(l.buf, "SEQUENCE:"...)
	l.buf = append(strconv.AppendInt(l.buf, int64(sequence), 10), "\r\n"...)
	return nil
}

const stampForm = "20060102T150405Z\r\n"

// alarm writes the one alarm of an event.
func (e *Encoder) alarm(l *line) {
	put(l, "BEGIN:VALARM")
	put(l, "ACTION:DISPLAY")
	l.begin("DESCRIPTION:")
	l.text(e.alarmText())
	l.end()
	put(l, "TRIGGER:-PT"+strconv.Itoa(e.opt.Remind)+"M")
	put(l, "END:VALARM")
}

func (e *Encoder) alarmText() string {
	if e.opt.Discreet {
		return e.bodies.words.Frame.DiscreetNotice
	}
	return e.bodies.words.Frame.Alarm
}
