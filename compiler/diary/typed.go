package diary

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"isocue.example/compiler/near"
	"isocue.example/compiler/unit"
)

// Question is an error that a person can answer: what was typed may mean two things, and one of them is what it would be taken for.
type Question struct{ Asks string }

func (q Question) Error() string { return q.Asks }

var decimal = regexp.MustCompile(`^[0-9]{1,6}(?:[.,][0-9]{1,4})?$`)

// Number reads a number as people write it, with a point or a comma before its fraction.
func Number(s string) (unit.Dec, error) {
	if !decimal.MatchString(s) {
		return unit.Dec{}, fmt.Errorf("%q is no number, allowed: such as 38.5 or 38,5", s)
	}
	return unit.ParseDec(strings.Replace(s, ",", ".", 1))
}

// force is a number with the unit that may stand behind it.
var force = regexp.MustCompile(`(?i)^([0-9]+(?:[.,][0-9]+)?)\s*(kg|kgf|kp|lbf?|lbs|n)?$`)

// Force reads a trial of a gauge, and the unit where one was typed: kg as it was typed, kgf, lbf or N.
func Force(s string) (trial unit.Dec, typed string, err error) {
	m := force.FindStringSubmatch(s)
	if m == nil {
		return trial, "", fmt.Errorf("%q is no trial, allowed: such as 38.5 or 38,5", s)
	}
	switch u := strings.ToLower(m[2]); u {
	case "kp":
		typed = "kgf"
	case "lb", "lbs":
		typed = "lbf"
	case "n":
		typed = "N"
	default:
		typed = u
	}
	trial, err = Number(m[1])
	return trial, typed, err
}

var pressure = regexp.MustCompile(`^([0-9]{2,3})\s*/\s*([0-9]{2,3})(?:\s*/\s*([0-9]{2,3}))?$`)

// Pressure reads 138/84 or 138/84/70, the last a pulse; 0 where there is none.
func Pressure(s string) (systolic, diastolic, pulse int, err error) {
	m := pressure.FindStringSubmatch(strings.TrimSpace(s))
	if m == nil {
		return 0, 0, 0, fmt.Errorf("%q is no reading, allowed: such as 138/84, or 138/84/70 with the pulse", s)
	}
	var n [3]int
	for i := range n {
		n[i], _ = strconv.Atoi(m[i+1]) // digits, or nothing
	}
	if n[1] >= n[0] {
		return 0, 0, 0, fmt.Errorf("%q has the lower number first, allowed: the systolic pressure first, such as 138/84", s)
	}
	return n[0], n[1], n[2], nil
}

var weekdays = map[string]time.Weekday{"monday": 1, "tuesday": 2, "wednesday": 3, "thursday": 4, "friday": 5, "saturday": 6, "sunday": 0}

// weekday finds a day of the week by its name or the first three letters.
func weekday(s string) (time.Weekday, bool) {
	s = strings.ToLower(s)
	for name, d := range weekdays {
		if s == name || s == name[:3] {
			return d, true
		}
	}
	return 0, false
}

var dotted = regexp.MustCompile(`^([0-9]{1,2})\.([0-9]{1,2})\.([0-9]{4})$`)

// Day reads a day as people name it: 2027-02-27, 27.2.2027, today, yesterday, tomorrow, or a weekday, which is the last one before
// today. ahead says that the day may lie ahead: a weekday then may be either, and is asked back.
func Day(s string, today unit.Date, ahead bool) (unit.Date, error) {
	switch low := strings.ToLower(s); low {
	case "today":
		return today, nil
	case "yesterday":
		return today - 1, nil
	case "tomorrow":
		return today + 1, nil
	}
	if d, err := unit.ParseDate(s); err == nil {
		return d, nil
	}
	if m := dotted.FindStringSubmatch(s); m != nil {
		d, err := unit.ParseDate(fmt.Sprintf("%s-%02s-%02s", m[3], m[2], m[1]))
		if err != nil {
			return 0, fmt.Errorf("%q is no day of the calendar, allowed: such as 2027-02-27", s)
		}
		return d, nil
	}
	w, ok := weekday(s)
	if !ok {
		return 0, fmt.Errorf("%q is no day%s, allowed: such as 2027-02-27, today, yesterday or Monday", s, near.Hint(s, []string{"today", "yesterday", "tomorrow", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"}))
	}
	back := (int(today.Weekday()) - int(w) + 7) % 7
	last := today - unit.Date(back)
	switch {
	case back == 0:
		return 0, fmt.Errorf("today is a %s, so that %q may be today or the one before; write today, or %s", w, s, today-7)
	case ahead:
		return 0, fmt.Errorf("%q may be %s or %s; write the date", s, last, last+7)
	}
	return last, nil
}

var timeOfDay = regexp.MustCompile(`(?i)^([0-9]{1,2})[:.h]([0-9]{2})\s*(am|pm|a\.m\.|p\.m\.)?$`)

// Clock reads a time of day: 7:30, 07.30, 19h30, 7:30pm.
func Clock(s string) (unit.Clock, error) {
	m := timeOfDay.FindStringSubmatch(strings.TrimSpace(s))
	if m == nil {
		return 0, fmt.Errorf("%q is no time of day, allowed: such as 07:30", s)
	}
	h, _ := strconv.Atoi(m[1])
	minute, _ := strconv.Atoi(m[2])
	half := strings.ToLower(m[3])
	switch {
	case half != "" && (h < 1 || h > 12), h > 23, minute > 59:
		return 0, fmt.Errorf("%q is no time of day, allowed: such as 07:30", s)
	case strings.HasPrefix(half, "p") && h < 12:
		h += 12
	case strings.HasPrefix(half, "a") && h == 12:
		h = 0
	}
	return unit.Clock(h*60 + minute), nil
}

// oldest is how many days off a day may lie whose year is not asked back.
const oldest = 400

// LongAgo says whether a day lies so far back, or so far ahead, that its year is probably a slip.
func LongAgo(d, today unit.Date) bool { return d < today-oldest || d > today+oldest }
