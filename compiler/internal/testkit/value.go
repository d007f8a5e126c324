package testkit

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/ical"
)

// Text is the value as a TEXT, its escapes undone (RFC 5545 3.3.11).
func Text(p *ical.Property) string { return unescaped(p.Value) }

// List is the value as a list of TEXT, parted at its bare commas.
func List(p *ical.Property) (out []string) {
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

// MomentOf is the value as a DATE or a DATE-TIME with its zone (RFC 5545 3.3.4 and 3.3.5). Its days and hours exist: not 30
// February, not 25 o'clock. A TZID is taken as it stands.
func MomentOf(p *ical.Property) (Moment, error) {
	m, form := Moment{TZID: param(p, "TZID")}, timeForm
	value := p.Value
	switch kind := strings.ToUpper(param(p, "VALUE")); kind {
	case "DATE":
		m.AllDay, form = true, dateForm
	case "", "DATE-TIME":
		value, m.UTC = strings.CutSuffix(value, "Z")
	default:
		return m, fmt.Errorf("%s has VALUE=%s, allowed: DATE or DATE-TIME", p.Name, ical.Short(kind))
	}
	var err error
	m.Wall, err = time.Parse(form, value)
	switch {
	case (err != nil || len(value) != len(form)) && m.AllDay: // Parse takes fractions of a second
		return m, fmt.Errorf("%s is %s, allowed: a day such as 20270328", p.Name, ical.Short(p.Value))
	case err != nil || len(value) != len(form):
		return m, fmt.Errorf("%s is %s, allowed: a time such as 20270328T070000, or with VALUE=DATE a day", p.Name, ical.Short(p.Value))
	case m.AllDay && has(p, "TZID"):
		return m, fmt.Errorf("%s has a TZID on a day, allowed: one on a time of day", p.Name)
	case m.UTC && has(p, "TZID"):
		return m, fmt.Errorf("%s has a TZID on a time in UTC, allowed: either the TZID or the Z", p.Name)
	case has(p, "TZID") && m.TZID == "":
		return m, fmt.Errorf("%s has an empty TZID, allowed: the name of a zone", p.Name)
	}
	return m, nil
}

func has(p *ical.Property, param string) bool {
	return slices.ContainsFunc(p.Params, func(x ical.Param) bool { return x.Name == param })
}

// param is the first value of a parameter, "" where there is none.
func param(p *ical.Property, name string) string {
	for _, x := range p.Params {
		if x.Name == name && len(x.Values) > 0 {
			return x.Values[0]
		}
	}
	return ""
}
