package load

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"isocue.example/compiler/unit"
)

// moments reads the times of one log. Day and month of a date with slashes are told apart by the whole file.
type moments struct {
	loc     *time.Location
	slashed string // "dd/mm", "mm/dd", or "" where the file leaves it open
}

var (
	isoDay   = regexp.MustCompile(`^(\d{4})-(\d{1,2})-(\d{1,2})`)
	dotDay   = regexp.MustCompile(`^(\d{1,2})\.(\d{1,2})\.(\d{4})`)
	slashDay = regexp.MustCompile(`^(\d{1,2})/(\d{1,2})/(\d{4})`)
	clock    = regexp.MustCompile(`^(\d{1,2})[:.](\d{2})(?:[:.]\d{2}(?:\.\d+)?)?\s*([AaPp])?\.?(?:[Mm]\.?)?`)
	offset   = regexp.MustCompile(`^\s*(Z|[+-]\d{2}:?\d{2})$`)
)

// slashes looks at all dates of a file once.
func (m *moments) slashes(cells []string) {
	first, second := false, false
	for _, c := range cells {
		if d := slashDay.FindStringSubmatch(c); d != nil {
			first, second = first || number(d[1]) > 12, second || number(d[2]) > 12
		}
	}
	switch {
	case first && !second:
		m.slashed = "dd/mm"
	case second && !first:
		m.slashed = "mm/dd"
	}
}

// read is a moment on the client's wall clock. Remark says that the row named another zone than the client's.
func (m *moments) read(s string) (at unit.Local, remark string, err error) {
	s = strings.TrimSpace(s)
	y, mo, d, rest, err := m.day(s)
	if err != nil {
		return 0, "", err
	}
	c := clock.FindStringSubmatch(strings.TrimLeft(rest, " T,"))
	if c == nil {
		return 0, "", fmt.Errorf("has no time of day, allowed: such as 2027-01-04T07:30")
	}
	h, minute := number(c[1]), number(c[2])
	switch strings.ToLower(c[3]) {
	case "a":
		if h == 12 {
			h = 0
		}
	case "p":
		if h < 12 {
			h += 12
		}
	}
	if h > 23 || minute > 59 {
		return 0, "", fmt.Errorf("is no time of day, allowed: 00:00 to 23:59")
	}
	t := time.Date(y, time.Month(mo), d, h, minute, 0, 0, time.UTC)
	if t.Day() != d || int(t.Month()) != mo {
		return 0, "", fmt.Errorf("is a day that does not exist")
	}
	tail := strings.TrimLeft(rest, " T,")[len(c[0]):]
	if strings.TrimSpace(tail) == "" {
		return unit.At(unit.DateOf(t), unit.Clock(h*60+minute)), "", nil
	}
	z := offset.FindStringSubmatch(tail)
	if z == nil {
		return 0, "", fmt.Errorf("has something behind its time, allowed: nothing, Z or an offset such as +01:00")
	}
	return m.abroad(t, z[1])
}

// abroad turns a wall time with an offset into one of the client's zone.
func (m *moments) abroad(t time.Time, z string) (unit.Local, string, error) {
	east := 0
	if z != "Z" {
		digits := strings.ReplaceAll(z[1:], ":", "")
		east = number(digits[:2])*60 + number(digits[2:])
		if z[0] == '-' {
			east = -east
		}
		if number(digits[:2]) > 14 || number(digits[2:]) > 59 {
			return 0, "", fmt.Errorf("has the offset %s, which no zone has", z)
		}
	}
	here := t.Add(-time.Duration(east) * time.Minute).In(m.loc)
	at := unit.At(unit.DateOf(here), unit.Clock(here.Hour()*60+here.Minute()))
	if _, sec := here.Zone(); sec == east*60 {
		return at, "", nil
	}
	return at, fmt.Sprintf("its time has the offset %s, which is not that of %s then; taken as %s there", z, m.loc, at), nil
}

// day reads the date that s begins with.
func (m *moments) day(s string) (y, mo, d int, rest string, err error) {
	if x := isoDay.FindStringSubmatch(s); x != nil {
		return number(x[1]), number(x[2]), number(x[3]), s[len(x[0]):], nil
	}
	if x := dotDay.FindStringSubmatch(s); x != nil {
		return number(x[3]), number(x[2]), number(x[1]), s[len(x[0]):], nil
	}
	x := slashDay.FindStringSubmatch(s)
	switch {
	case x == nil:
		return 0, 0, 0, "", fmt.Errorf("is no date, allowed: such as 2027-01-04T07:30")
	case m.slashed == "dd/mm" || x[1] == x[2]:
		return number(x[3]), number(x[2]), number(x[1]), s[len(x[0]):], nil
	case m.slashed == "mm/dd":
		return number(x[3]), number(x[1]), number(x[2]), s[len(x[0]):], nil
	}
	return 0, 0, 0, "", fmt.Errorf("can be read as day/month or month/day, and no row of the file tells which; allowed: such as 2027-01-04T07:30")
}

// number reads digits; what the patterns above let through fits an int.
func number(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		return 0
	}
	return n
}
