package calendar

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Text is the value as a TEXT, its escapes undone (RFC 5545 3.3.11).
func (p *Property) Text() string { return unescaped(p.Value) }

// List is the value as a list of TEXT, parted at its bare commas.
func (p *Property) List() (out []string) {
	from := 0
	for i := 0; i < len(p.Value); i++ {
		switch p.Value[i] {
		case '\\':
			i++
		case ',':
			out = append(out, unescaped(p.Value[from:i]))
			from = i + 1
		}
	}
	return append(out, unescaped(p.Value[from:]))
}

// unescaped undoes the escapes of a TEXT. Where a program wrote a backslash before another letter, both stay.
func unescaped(s string) string {
	if strings.IndexByte(s, '\\') < 0 {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '\\' || i+1 == len(s) {
			b.WriteByte(s[i])
			continue
		}
		switch i++; s[i] {
		case 'n', 'N':
			b.WriteByte('\n')
		case '\\', ',', ';':
			b.WriteByte(s[i])
		default:
			b.WriteByte('\\')
			b.WriteByte(s[i])
		}
	}
	return b.String()
}

// isText says what is wrong with s as a TEXT; list lets bare commas part it.
func isText(s string, list bool) error {
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c == ';', c == ',' && !list:
			return fmt.Errorf("a bare %q, allowed: \\%c", c, c)
		case c == '\\':
			if i++; i == len(s) || strings.IndexByte(`\,;nN`, s[i]) < 0 {
				return errors.New(`a \ that begins no escape, allowed: \\ \, \; and \n`)
			}
		}
	}
	return nil
}

// Moment is a DATE or a DATE-TIME as it is written.
type Moment struct {
	Wall   time.Time // what calendar and clock show there, told as if it were UTC; midnight for a DATE
	AllDay bool      // a DATE
	UTC    bool      // Wall is UTC
	TZID   string    // the zone whose clock shows Wall; "" for a DATE, for UTC, and for whatever zone a reader is in
}

const (
	dateForm = "20060102"
	timeForm = "20060102T150405"
)

// Moment is the value as a DATE or a DATE-TIME with its zone (RFC 5545 3.3.4 and 3.3.5). Its days and hours exist: not 30
// February, not 25 o'clock. A TZID is taken as it stands.
func (p *Property) Moment() (Moment, error) {
	m, form := Moment{TZID: p.Param("TZID")}, timeForm
	value := p.Value
	switch kind := strings.ToUpper(p.Param("VALUE")); kind {
	case "DATE":
		m.AllDay, form = true, dateForm
	case "", "DATE-TIME":
		value, m.UTC = strings.CutSuffix(value, "Z")
	default:
		return m, fmt.Errorf("%s has VALUE=%s, allowed: DATE or DATE-TIME", p.Name, short(kind))
	}
	var err error
	m.Wall, err = time.Parse(form, value)
	switch {
	case (err != nil || len(value) != len(form)) && m.AllDay: // Parse takes fractions of a second
		return m, fmt.Errorf("%s is %s, allowed: a day such as 20270328", p.Name, short(p.Value))
	case err != nil || len(value) != len(form):
		return m, fmt.Errorf("%s is %s, allowed: a time such as 20270328T070000, or with VALUE=DATE a day", p.Name, short(p.Value))
	case m.AllDay && p.has("TZID"):
		return m, fmt.Errorf("%s has a TZID on a day, allowed: one on a time of day", p.Name)
	case m.UTC && p.has("TZID"):
		return m, fmt.Errorf("%s has a TZID on a time in UTC, allowed: either the TZID or the Z", p.Name)
	case p.has("TZID") && m.TZID == "":
		return m, fmt.Errorf("%s has an empty TZID, allowed: the name of a zone", p.Name)
	}
	return m, nil
}

// Span is a DURATION as it is written: a day is as long as the zone's clock makes it.
type Span struct {
	Days  int           // with its weeks
	Clock time.Duration // hours, minutes and seconds; of the same sign as Days
}

// Span is the value as a DURATION (RFC 5545 3.3.6).
func (p *Property) Span() (Span, error) {
	rest := strings.TrimPrefix(p.Value, "+")
	rest, negative := strings.CutPrefix(rest, "-")
	bad := fmt.Errorf("%s is %s, allowed: a span such as PT29M", p.Name, short(p.Value))
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
		n, err := digits(before, 1, 6) // of seconds, more than a week
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

// digits is a number of at least and at most so many digits, and nothing else.
func digits(s string, least, most int) (int, error) {
	if len(s) < least || len(s) > most || strings.Trim(s, "0123456789") != "" {
		return 0, fmt.Errorf("%s is no number of %d to %d digits", short(s), least, most)
	}
	return strconv.Atoi(s)
}
