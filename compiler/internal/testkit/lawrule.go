package testkit

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/ical"
)

// ranges are the parts of a rule that hold numbers. A list may have several, a signed one may count from the end.
var ranges = map[string]struct {
	least, most  int
	list, signed bool
}{
	"COUNT": {1, 99999, false, false}, "INTERVAL": {1, 99999, false, false},
	"BYSECOND": {0, 60, true, false}, "BYMINUTE": {0, 59, true, false}, "BYHOUR": {0, 23, true, false}, "BYMONTH": {1, 12, true, false},
	"BYMONTHDAY": {1, 31, true, true}, "BYYEARDAY": {1, 366, true, true}, "BYWEEKNO": {1, 53, true, true}, "BYSETPOS": {1, 366, true, true},
}

var (
	frequencies = []string{"SECONDLY", "MINUTELY", "HOURLY", "DAILY", "WEEKLY", "MONTHLY", "YEARLY"}
	weekdays    = []string{"MO", "TU", "WE", "TH", "FR", "SA", "SU"}
)

// recurrence holds an RRULE to RFC 5545 3.3.10.
func recurrence(p *ical.Property) error {
	seen := map[string]bool{}
	for part := range strings.SplitSeq(strings.ToUpper(p.Value), ";") {
		name, value, _ := strings.Cut(part, "=")
		if seen[name] {
			return fmt.Errorf("RRULE has %s twice, allowed: once", ical.Short(name))
		}
		seen[name] = true
		if !rulePart(name, value) {
			return fmt.Errorf("RRULE has %s, allowed: the parts of RFC 5545 3.3.10 in their ranges", ical.Short(part))
		}
	}
	switch {
	case !seen["FREQ"]:
		return errors.New("RRULE has no FREQ, allowed: one")
	case seen["COUNT"] && seen["UNTIL"]:
		return errors.New("RRULE has COUNT and UNTIL, allowed: one of them")
	}
	return nil
}

func rulePart(name, value string) bool {
	switch name {
	case "FREQ":
		return slices.Contains(frequencies, value)
	case "WKST":
		return slices.Contains(weekdays, value)
	case "UNTIL":
		kind := "DATE-TIME"
		if len(value) == len(dateForm) {
			kind = "DATE"
		}
		_, err := MomentOf(&ical.Property{Name: name, Value: value, Params: []ical.Param{{Name: "VALUE", Values: []string{kind}}}})
		return err == nil
	case "BYDAY":
		for v := range strings.SplitSeq(value, ",") {
			at := max(len(v)-2, 0)
			if !slices.Contains(weekdays, v[at:]) || at > 0 && !within(v[:at], 1, 53, true) {
				return false
			}
		}
		return true
	}
	r, ok := ranges[name]
	if !ok || !r.list && strings.Contains(value, ",") {
		return false
	}
	for v := range strings.SplitSeq(value, ",") {
		if !within(v, r.least, r.most, r.signed) {
			return false
		}
	}
	return true
}

func within(s string, least, most int, signed bool) bool {
	if signed && s != "" && (s[0] == '+' || s[0] == '-') {
		s = s[1:]
	}
	n, err := ical.Digits(s, 1, 5)
	return err == nil && n >= least && n <= most
}
