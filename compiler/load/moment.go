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
	now     unit.Local
	slashed string // "dd/mm", "mm/dd", "yy/mm/dd", or "" where the file leaves it open
}

var (
	isoDay   = regexp.MustCompile(`^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})`)
	dotDay   = regexp.MustCompile(`^(\d{1,2})\.(\d{1,2})\.(\d{4}|\d{2})(\D.*)?$`)
	slashDay = regexp.MustCompile(`^(\d{1,2})[/-](\d{1,2})[/-](\d{4}|\d{2})(\D.*)?$`)
	clock    = regexp.MustCompile(`(?i)^(\d{1,2})(?:\s*[:.h]\s*(\d{2})(?:[:.]\d{2}(?:\.\d+)?)?)?\s*(?:(?:([ap])\.?(?:m\.?)?|(uhr|h)\b))?`)
	offset   = regexp.MustCompile(`^\s*(Z|[+-]\d{2}:?\d{2})$`)
)

// longAgo is how many years back a year of two digits may lie: as many as the largest log that is read.
const longAgo = 12

// civil is a day that a date may mean, and the style in which it means it.
type civil struct {
	style    string
	y, mo, d int
}

// meanings are the days that a date with slashes may mean: those that exist, have come, and, of a year with two digits, do not lie long
// ago. A date written three ways at once is told, never guessed.
func (m *moments) meanings(x []string) (out []civil) {
	a, b, c := number(x[1]), number(x[2]), number(x[3])
	all := []civil{{"dd/mm", c, b, a}, {"mm/dd", c, a, b}}
	if len(x[3]) == 2 {
		all = []civil{{"dd/mm", 2000 + c, b, a}, {"mm/dd", 2000 + c, a, b}, {"yy/mm/dd", 2000 + a, b, c}}
	}
	for _, x3 := range all {
		if on := x3.date(); on != 0 && on <= m.today() && (len(x[3]) == 4 || !m.long(x3.y)) {
			out = append(out, x3)
		}
	}
	return out
}

// date is 0 for a day that does not exist.
func (c civil) date() unit.Date {
	t := time.Date(c.y, time.Month(c.mo), c.d, 0, 0, 0, 0, time.UTC)
	if t.Day() != c.d || int(t.Month()) != c.mo {
		return 0
	}
	return unit.DateOf(t)
}

func (m *moments) today() unit.Date { return m.now.Date() }

func (m *moments) long(year int) bool { return year < m.today().Time().Year()-longAgo }

// slashes looks at all dates of a file once: the style in which every one of them can be read is that of the file, where only one is.
func (m *moments) slashes(cells []string) {
	dates, fits := 0, map[string]int{}
	for _, c := range cells {
		d := slashDay.FindStringSubmatch(strings.TrimSpace(c))
		if d == nil {
			continue
		}
		means := m.meanings(d)
		for _, x := range means {
			fits[x.style]++
		}
		if len(means) > 0 {
			dates++
		}
	}
	for style, n := range fits {
		if n < dates {
			delete(fits, style)
		} else {
			m.slashed = style
		}
	}
	if len(fits) != 1 {
		m.slashed = ""
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
	if c == nil || c[2] == "" && c[3] == "" && !strings.EqualFold(c[4], "uhr") {
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
		y := number(x[3])
		if len(x[3]) == 2 {
			if y += 2000; m.long(y) {
				return 0, 0, 0, "", fmt.Errorf("has a year of two digits that may mean another; allowed: such as 2027-01-04T07:30")
			}
		}
		return y, number(x[2]), number(x[1]), x[4], nil
	}
	x := slashDay.FindStringSubmatch(s)
	if x == nil {
		return 0, 0, 0, "", fmt.Errorf("is no date, allowed: such as 2027-01-04T07:30")
	}
	means := m.meanings(x)
	same := len(means) > 0
	for _, c := range means {
		if c.style == m.slashed {
			return c.y, c.mo, c.d, x[4], nil
		}
		same = same && c.date() == means[0].date()
	}
	if same && len(means) > 1 {
		return means[0].y, means[0].mo, means[0].d, x[4], nil
	}
	if len(means) == 0 {
		return 0, 0, 0, "", fmt.Errorf("is a day that does not exist or has not come yet; allowed: such as 2027-01-04T07:30")
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
