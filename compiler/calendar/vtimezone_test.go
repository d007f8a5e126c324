package calendar

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/zone"
)

// change is an onset as a reader of VTIMEZONE sees it: from the wall time on (in seconds), the offset is to.
type change struct {
	wall int64
	to   int
}

func seconds(t testing.TB, s string) int {
	n, err := strconv.Atoi(s[1:])
	if err != nil || len(s) != 5 && len(s) != 7 {
		t.Fatalf("offset %q", s)
	}
	if len(s) == 5 {
		n *= 100
	}
	n = n/10000*3600 + n/100%100*60 + n%100
	if s[0] == '-' {
		n = -n
	}
	return n
}

// readZone lists the changes of a VTIMEZONE up to a year, from the standard's words (RFC 5545 3.6.5 and 3.3.10).
func readZone(t testing.TB, s string, lastYear int) (out []change) {
	var dtstart time.Time
	var rrule string
	var to int
	for l := range strings.SplitSeq(strings.TrimSuffix(s, "\r\n"), "\r\n") {
		name, value, _ := strings.Cut(l, ":")
		switch name {
		case "BEGIN":
			rrule = ""
		case "DTSTART":
			var err error
			if dtstart, err = time.Parse("20060102T150405", value); err != nil {
				t.Fatal(err)
			}
		case "RRULE":
			rrule = value
		case "TZOFFSETFROM":
			seconds(t, value)
		case "TZOFFSETTO":
			to = seconds(t, value)
		case "END":
			if value == "VTIMEZONE" {
				break
			}
			out = append(out, change{dtstart.Unix(), to})
			if rrule == "" {
				break
			}
			var month, nth int
			var day string
			if _, err := fmt.Sscanf(rrule, "FREQ=YEARLY;BYMONTH=%d;BYDAY=%d%s", &month, &nth, &day); err != nil {
				t.Fatalf("%q: %v", rrule, err)
			}
			for y := dtstart.Year() + 1; y <= lastYear; y++ {
				var fits []time.Time
				for d := 1; d <= 31; d++ {
					w := time.Date(y, time.Month(month), d, dtstart.Hour(), dtstart.Minute(), dtstart.Second(), 0, time.UTC)
					if int(w.Month()) == month && strings.EqualFold(w.Weekday().String()[:2], day) {
						fits = append(fits, w)
					}
				}
				if nth < 0 {
					nth += len(fits) + 1
					out = append(out, change{fits[nth-1].Unix(), to})
					nth = -1
					continue
				}
				out = append(out, change{fits[nth-1].Unix(), to})
			}
		}
	}
	slices.SortFunc(out, func(a, b change) int { return int(a.wall - b.wall) })
	return out
}

// TestZonesReadBack compares the offset that each zone's VTIMEZONE gives with the zone data: every six hours, and every
// half hour around each change, over two years and over short courses.
func TestZonesReadBack(t *testing.T) {
	day := func(y, m, d int) time.Time { return time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC) }
	ranges := [][2]time.Time{{day(2026, 1, 5), day(2028, 1, 3)}, {day(2026, 2, 1), day(2026, 3, 29)}, {day(2026, 9, 14), day(2026, 11, 9)},
		{day(2027, 10, 4), day(2027, 12, 26)}, {day(2040, 3, 1), day(2040, 11, 20)}}
	samples, wrong, longest := 0, 0, 0
	shapes := map[string]int{}
	for _, name := range testkit.Zones(t) {
		loc, err := zone.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range ranges {
			text := string(appendZone(nil, loc, r[0], r[1]))
			longest = max(longest, len(text))
			if i == 0 {
				switch std, summer := strings.Count(text, "BEGIN:STANDARD"), strings.Count(text, "BEGIN:DAYLIGHT"); {
				case strings.Contains(text, "RRULE") && std == 1 && summer == 1:
					shapes["rule"]++
				case !strings.Contains(text, "RRULE") && std == 1 && summer == 0:
					shapes["fixed"]++
				case !strings.Contains(text, "RRULE") && std+summer > 1:
					shapes["explicit"]++
				default:
					t.Errorf("%s: unforeseen shape\n%s", name, text)
				}
			}
			if bad := physical(text); bad != "" {
				t.Errorf("%s: %s", name, bad)
			}
			changes := readZone(t, text, r[1].Year())
			check := func(u time.Time) {
				if u.Before(r[0]) || u.After(r[1]) {
					return
				}
				_, want := u.In(loc).Zone()
				wall := u.Unix() + int64(want)
				if !zone.Clean(loc, testkit.Local(t, time.Unix(wall, 0).UTC().Format("2006-01-02T15:04"))) {
					return
				}
				samples++
				got := 1 << 30
				for _, c := range changes {
					if c.wall <= wall {
						got = c.to
					}
				}
				if got != want {
					if wrong++; wrong < 10 {
						t.Errorf("%s at %v: offset %d, want %d\n%s", name, u, got, want, text)
					}
				}
			}
			for u := r[0]; u.Before(r[1]); u = u.Add(6 * time.Hour) {
				check(u)
			}
			for at := r[0]; ; {
				var more bool
				if at, more = zone.Next(loc, at); !more || at.After(r[1]) {
					break
				}
				for h := -8; h <= 8; h++ {
					check(at.Add(time.Duration(h) * 30 * time.Minute))
				}
			}
		}
	}
	if wrong > 0 || samples < 1_000_000 {
		t.Errorf("%d wrong of %d samples", wrong, samples)
	}
	t.Logf("%d wrong of %d samples; shapes over two years %v; longest %d bytes", wrong, samples, shapes, longest)
}

func TestZoneText(t *testing.T) {
	const lisbon = `BEGIN:VTIMEZONE
TZID:Europe/Lisbon
BEGIN:STANDARD
DTSTART:20261025T020000
RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU
TZOFFSETFROM:+0100
TZOFFSETTO:+0000
TZNAME:WET
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:20260329T010000
RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU
TZOFFSETFROM:+0000
TZOFFSETTO:+0100
TZNAME:WEST
END:DAYLIGHT
END:VTIMEZONE
`
	for _, c := range []struct {
		zone              string
		year              int
		want, why, source string
	}{
		{"Europe/Lisbon", 2027, lisbon, "a regular zone is one of each, with a rule", "RFC 5545 3.6.5; icalendar.md 0.6"},
		{"Europe/Dublin", 2027, "BEGIN:DAYLIGHT\nDTSTART:20260329T010000\n", "the sign decides, not the data's negative summer time", "icalendar.md 2.2"},
		{"Asia/Tokyo", 2027, "BEGIN:STANDARD\nDTSTART:19700101T000000\nTZOFFSETFROM:+0900\nTZOFFSETTO:+0900\n", "no change: one STANDARD", "icalendar.md 2.2"},
		{"Africa/Casablanca", 2026, "END:DAYLIGHT\nBEGIN:STANDARD\nDTSTART:20260215T030000\nTZOFFSETFROM:+0100\nTZOFFSETTO:+0000\nTZNAME:+00\n" +
			"END:STANDARD\nBEGIN:DAYLIGHT\nDTSTART:20260322T020000\n", "irregular: change by change", "tzdata Morocco rule"},
		{"Africa/Casablanca", 2027, "TZID:Africa/Casablanca\nBEGIN:STANDARD\nDTSTART:20260920T020000\nTZOFFSETFROM:+0100\nTZOFFSETTO:+0000\nTZNAME:+00\n" +
			"END:STANDARD\nEND:VTIMEZONE\n", "no change in the dates: its real start", "tzdata 2026 Morocco note"},
	} {
		if c.source == "" {
			t.Errorf("%s has no source", c.zone)
		}
		loc, err := zone.Load(c.zone)
		if err != nil {
			t.Fatal(err)
		}
		got := string(appendZone(nil, loc, time.Date(c.year, 1, 4, 7, 0, 0, 0, time.UTC), time.Date(c.year, 4, 28, 7, 0, 0, 0, time.UTC)))
		if got = strings.ReplaceAll(got, "\r\n", "\n"); !strings.Contains(got, c.want) {
			t.Errorf("%s (%s):\n%s\nwant in it\n%s", c.zone, c.why, got, c.want)
		}
	}
}
