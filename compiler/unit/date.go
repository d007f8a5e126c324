package unit

import (
	"fmt"
	"time"
)

// Date is a civil date: days since 1970-01-01, without a zone.
type Date int

// ParseDate reads an ISO 8601 calendar date, 2027-01-04; a day that does not exist is an error.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return 0, fmt.Errorf("%q is not a date, allowed: year-month-day such as 2027-01-04", s)
	}
	return DateOf(t), nil
}

// DateOf is the civil date that t shows on its own wall clock.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// Time is midnight of the date on the UTC wall clock, for formatting only.
func (d Date) Time() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// String prints 2027-01-04.
func (d Date) String() string { return string(d.append(make([]byte, 0, len(time.DateOnly)))) }

func (d Date) append(b []byte) []byte {
	y, m, day := d.Time().Date()
	if y < 0 || y > 9999 {
		return d.Time().AppendFormat(b, time.DateOnly)
	}
	b = two(two(b, y/100), y%100)
	b = two(append(b, '-'), int(m))
	return two(append(b, '-'), day)
}

// two appends the two digits of n, 0 to 99.
func two(b []byte, n int) []byte { return append(b, byte('0'+n/10), byte('0'+n%10)) }

// Weekday is the day of the week, Sunday = 0.
func (d Date) Weekday() time.Weekday { return d.Time().Weekday() }

// MarshalText and UnmarshalText use the ISO form.
func (d Date) MarshalText() ([]byte, error) { return d.append(nil), nil }

// UnmarshalText reads the ISO form.
func (d *Date) UnmarshalText(b []byte) error {
	x, err := ParseDate(string(b))
	if err == nil {
		*d = x
	}
	return err
}

// Clock is a wall time in minutes after midnight, 0 to 1440 (24:00 ends a day).
type Clock int

// ParseClock reads 24-hour hh:mm.
func ParseClock(s string) (Clock, error) {
	if len(s) == 5 && s[2] == ':' && digits(s[:2]) && digits(s[3:]) {
		h, m := int(s[0]-'0')*10+int(s[1]-'0'), int(s[3]-'0')*10+int(s[4]-'0')
		if m < 60 && (h < 24 || h == 24 && m == 0) {
			return Clock(h*60 + m), nil
		}
	}
	return 0, fmt.Errorf("%q is not a time of day, allowed: 00:00 to 24:00", s)
}

func digits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}

// String prints 07:05.
func (c Clock) String() string { return string(c.append(make([]byte, 0, 5))) }

func (c Clock) append(b []byte) []byte {
	if c < 0 || c >= 100*60 { // no time of day
		return fmt.Appendf(b, "%02d:%02d", int(c)/60, int(c)%60)
	}
	return two(append(two(b, int(c)/60), ':'), int(c)%60)
}

// Local is a wall-clock moment in a zone that stands elsewhere: minutes since 1970-01-01T00:00.
type Local int64

// At is the moment c on day d.
func At(d Date, c Clock) Local { return Local(d)*1440 + Local(c) }

// ParseLocal reads 2027-01-04T07:00.
func ParseLocal(s string) (Local, error) {
	t, err := time.Parse("2006-01-02T15:04", s)
	if err != nil {
		return 0, fmt.Errorf("%q is not a date and time, allowed: such as 2027-01-04T07:30", s)
	}
	return Local(t.Unix() / 60), nil
}

// Date and Clock are the two parts of a moment.
func (l Local) Date() Date {
	d := l / 1440
	if l%1440 < 0 {
		d--
	}
	return Date(d)
}

// Clock is the time of day of the moment.
func (l Local) Clock() Clock { return Clock(l - Local(l.Date())*1440) }

// String prints 2027-01-04T07:00.
func (l Local) String() string { return string(l.append(nil)) }

func (l Local) append(b []byte) []byte {
	if b == nil {
		b = make([]byte, 0, len("2027-01-04T07:00"))
	}
	return l.Clock().append(append(l.Date().append(b), 'T'))
}

// MarshalText writes 2027-01-04T07:00.
func (l Local) MarshalText() ([]byte, error) { return l.append(nil), nil }

// UnmarshalText reads 2027-01-04T07:00.
func (l *Local) UnmarshalText(b []byte) error {
	x, err := ParseLocal(string(b))
	if err == nil {
		*l = x
	}
	return err
}
