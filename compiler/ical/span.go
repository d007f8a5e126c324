package ical

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Span is a DURATION as it is written: a day is as long as the zone's clock makes it.
type Span struct {
	Days  int           // with its weeks
	Clock time.Duration // hours, minutes and seconds; of the same sign as Days
}

// Span is the value as a DURATION (RFC 5545 3.3.6).
func (p *Property) Span() (Span, error) {
	rest := strings.TrimPrefix(p.Value, "+")
	rest, negative := strings.CutPrefix(rest, "-")
	bad := fmt.Errorf("%s is %s, allowed: a span such as PT29M", p.Name, Short(p.Value))
	rest, ok := strings.CutPrefix(rest, "P")
	if !ok || strings.HasPrefix(p.Value, "+-") {
		return Span{}, bad
	}
	var s Span
	days, hours, timed := strings.Cut(rest, "T")
	parts, err := numbers(days, "WD")
	if err == nil {
		s.Days = 7*parts[0] + parts[1]
		parts, err = numbers(hours, "HMS")
	}
	// A week stands alone, seconds follow hours only after minutes, and some part is there.
	if err != nil || timed == (hours == "") || rest == "" || strings.Contains(days, "W") && (strings.Contains(days, "D") || timed) ||
		strings.Contains(hours, "H") && strings.Contains(hours, "S") && !strings.Contains(hours, "M") {
		return Span{}, bad
	}
	s.Clock = time.Duration(parts[0])*time.Hour + time.Duration(parts[1])*time.Minute + time.Duration(parts[2])*time.Second
	if negative {
		s = Span{-s.Days, -s.Clock}
	}
	return s, nil
}

// numbers reads "2H30M" by the letters "HMS" as 2, 30, 0: each letter at most once and in this order.
func numbers(s, letters string) ([]int, error) {
	out := make([]int, len(letters))
	for i := range letters {
		before, after, found := strings.Cut(s, letters[i:i+1])
		if !found {
			continue
		}
		n, err := Digits(before, 1, 6) // of seconds, more than a week
		if err != nil {
			return nil, err
		}
		out[i], s = n, after
	}
	if s != "" {
		return nil, errors.New("more than numbers with their letters")
	}
	return out, nil
}

// Digits is a number of at least and at most so many digits, and nothing else.
func Digits(s string, least, most int) (int, error) {
	if len(s) < least || len(s) > most || strings.Trim(s, "0123456789") != "" {
		return 0, fmt.Errorf("%s is no number of %d to %d digits", Short(s), least, most)
	}
	return strconv.Atoi(s)
}
