package compiler

import (
	"strconv"
	"strings"
	"testing"
	"time"
)

// entry is what a calendar says of one event, read without any of our code.
type entry struct {
	uid, start, status string
	sequence           int
	allDay             bool
	at                 time.Time // 0 for an all-day entry
	text               string    // all but stamps and number
}

func (e entry) begun(now time.Time) bool {
	if e.allDay {
		return e.start < now.Add(-36*time.Hour).Format("20060102")
	}
	return e.at.Before(now)
}

// today says whether an all-day entry is of the day, in one zone or another: it may stand already or not.
func (e entry) today(now time.Time) bool {
	return e.allDay && !e.begun(now) && e.start <= now.Add(14*time.Hour).Format("20060102")
}

// readEntries takes a calendar apart by lines: RFC 5545, 3.1, unfolded.
func readEntries(t *testing.T, ics []byte) (out []entry) {
	t.Helper()
	var e *entry
	var text strings.Builder
	for _, line := range strings.Split(strings.ReplaceAll(string(ics), "\r\n ", ""), "\r\n") {
		name, value, _ := strings.Cut(line, ":")
		name, param, _ := strings.Cut(name, ";")
		if line == "BEGIN:VEVENT" {
			e = &entry{}
		}
		if e == nil {
			continue
		}
		switch name {
		case "UID":
			e.uid = value
		case "SEQUENCE":
			e.sequence, _ = strconv.Atoi(value)
			continue
		case "DTSTAMP", "LAST-MODIFIED":
			continue
		case "STATUS":
			e.status = value
		case "DTSTART":
			e.start, e.allDay = value, param == "VALUE=DATE"
			if zone, ok := strings.CutPrefix(param, "TZID="); ok {
				var err error
				if e.at, err = time.ParseInLocation("20060102T150405", value, placeOf(zone)); err != nil {
					t.Fatal(err)
				}
			}
		}
		text.WriteString(line + "\n")
		if line == "END:VEVENT" {
			e.text = text.String()
			text.Reset()
			out, e = append(out, *e), nil
		}
	}
	return out
}
