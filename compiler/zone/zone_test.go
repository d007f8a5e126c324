package zone

import (
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/unit"
)

func TestVersionIsPinned(t *testing.T) {
	const pinned = "2026f" // moving it is a decision: it changes session times
	if got := Version(); got != pinned {
		t.Errorf("version %q, want %q", got, pinned)
	}
}

func TestNames(t *testing.T) {
	names := opened().names
	if len(names) != 597 || !slices.IsSorted(names) {
		t.Errorf("%d names, sorted %v, want 597 sorted", len(names), slices.IsSorted(names))
	}
	for _, n := range names {
		if l, err := Load(n); err != nil || l.String() != n {
			t.Errorf("load %s: %v, %v", n, l, err)
		}
		if len(n) > maxName/2 {
			t.Errorf("%s is longer than the comment of maxName says", n)
		}
	}
}

func TestLoadRefuses(t *testing.T) {
	for _, c := range []struct{ name, want, why, source string }{
		{"", "empty", "time.LoadLocation would answer UTC", "Go time package"},
		{"Local", "machine", "output must not depend on the machine", "docs/architecture.md, the calendar"},
		{"../zone", "path", "a name is no path", "Go time package"},
		{`Europe\Lisbon`, "path", "a name is no path", "Go time package"},
		{"+VERSION", "not in the zone data (2026f), allowed:", "the version entry is no zone", "gen"},
		{"Factory", "not in the zone data", "its offset means not set", "tzdata factory file"},
		{"Europe/Lisbonn", `zone "Europe/Lisbonn" is not in the zone data (2026f), did you mean Europe/Lisbon`, "a slip", "docs/architecture.md, the calendar"},
		{"europe/lisbon", "did you mean Europe/Lisbon", "case is exact", "IANA names"},
		{"Lisbon", "did you mean Europe/Lisbon", "people name the city", "practice"},
		{"America/New York", "did you mean America/New_York", "a space for the underscore", "practice"},
		{"W. Europe Standard Time", "allowed: an IANA name", "Windows names are not ours", "icalendar.md 2.3"},
		{strings.Repeat("x", 100_000), "xxx...", "a hostile name is not repeated whole", "practice"},
	} {
		if c.source == "" {
			t.Errorf("%q has no source", c.name)
		}
		l, err := Load(c.name)
		if err == nil || l != nil || !strings.Contains(err.Error(), c.want) || len(err.Error()) > 300 {
			t.Errorf("load %.40q (%s): %v, %v; want an error with %q", c.name, c.why, l, err, c.want)
		}
	}
}

func TestLoadAtOnce(t *testing.T) {
	var wg sync.WaitGroup
	got := make([]*time.Location, 16)
	for i := range got {
		wg.Go(func() { got[i], _ = Load("Pacific/Chatham") })
	}
	wg.Wait()
	for _, l := range got {
		if l == nil || l != got[0] {
			t.Fatal("goroutines got different copies of one zone")
		}
	}
}

func TestClean(t *testing.T) {
	const gap, overlap = "skipped", "repeated"
	for _, c := range []struct{ zone, at, not, instant, why, source string }{
		{"Europe/Lisbon", "2027-03-28T00:59", "", "00:59", "last minute before the gap", "tzdata EU rule"},
		{"Europe/Lisbon", "2027-03-28T01:00", gap, "01:00", "first skipped minute", "RFC 5545 3.3.5"},
		{"Europe/Lisbon", "2027-03-28T01:30", gap, "01:30", "read with the offset before the gap", "RFC 5545 3.3.5"},
		{"Europe/Lisbon", "2027-03-28T02:00", "", "01:00", "first minute after the gap", "tzdata EU rule"},
		{"Europe/Lisbon", "2027-10-31T00:59", "", "23:59", "last minute before the overlap", "tzdata EU rule"},
		{"Europe/Lisbon", "2027-10-31T01:30", overlap, "00:30", "the first of the pair", "RFC 5545 3.3.5"},
		{"Europe/Lisbon", "2027-10-31T02:00", "", "02:00", "first minute after the overlap", "tzdata EU rule"},
		{"Australia/Lord_Howe", "2027-10-03T02:15", gap, "15:45", "a gap of half an hour", "tzdata LH rule"},
		{"Australia/Lord_Howe", "2027-10-03T02:30", "", "15:30", "half an hour is all", "tzdata LH rule"},
		{"Australia/Lord_Howe", "2027-04-04T01:45", overlap, "14:45", "an overlap of half an hour", "tzdata LH rule"},
		{"Australia/Lord_Howe", "2027-04-04T01:15", "", "14:15", "half an hour is all", "tzdata LH rule"},
		{"Africa/Casablanca", "2026-02-15T02:30", overlap, "01:30", "the clock goes back before the month of fasting", "tzdata Morocco rule"},
		{"Africa/Casablanca", "2026-03-22T02:30", gap, "02:30", "and forward after it", "tzdata Morocco rule"},
		{"Europe/Dublin", "2027-03-28T01:30", gap, "01:30", "negative summer time in the data", "tzdata Eire rule"},
		{"Pacific/Apia", "2011-12-30T12:00", gap, "22:00", "a whole day left out", "tzdata Apia note"},
		{"Pacific/Apia", "2011-12-31T00:00", "", "10:00", "the day after", "tzdata Apia note"},
		{"America/New_York", "2050-03-13T02:30", gap, "07:30", "past the explicit table, from the rule at its end", "tzdata US rule"},
		{"America/New_York", "2040-12-31T12:00", "", "17:00", "last day of a leap year past the table", "Go time.tzset"},
		{"Pacific/Auckland", "2040-12-31T12:00", "", "23:00", "the same in the southern summer", "Go time.tzset"},
		{"Etc/UTC", "2027-03-28T01:30", "", "01:30", "nothing ever changes", "tzdata etcetera"},
	} {
		if c.source == "" {
			t.Errorf("%s %s has no source", c.zone, c.at)
		}
		loc, err := Load(c.zone)
		if err != nil {
			t.Fatal(err)
		}
		if got := Clean(loc, testkit.Local(t, c.at)); got != (c.not == "") {
			t.Errorf("%s %s (%s): clean %v, want %q", c.zone, c.at, c.why, got, c.not)
		}
		if got := Instant(loc, testkit.Local(t, c.at)).UTC().Format("15:04"); got != c.instant {
			t.Errorf("%s %s (%s): instant %s UTC, want %s", c.zone, c.at, c.why, got, c.instant)
		}
	}
}

// TestCleanAgainstClock reads the clock of every zone minute by minute around each change: a wall time is clean when
// the clock shows it once.
func TestCleanAgainstClock(t *testing.T) {
	begin := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	end := time.Date(2028, 1, 1, 0, 0, 0, 0, time.UTC)
	changes, wrong := 0, 0
	for _, name := range opened().names {
		loc, err := Load(name)
		if err != nil {
			t.Fatal(err)
		}
		for at := begin.In(loc); ; changes++ {
			_, at = at.ZoneBounds()
			if at.IsZero() || at.After(end) {
				break
			}
			shown := map[unit.Local]int{}
			for m := -300; m < 300; m++ {
				u := at.Add(time.Duration(m) * time.Minute)
				_, offset := u.Zone()
				shown[unit.Local((u.Unix()+int64(offset))/60)]++
			}
			_, offset := at.Zone()
			middle := unit.Local((at.Unix() + int64(offset)) / 60)
			for l := middle - 150; l < middle+150; l++ {
				if Clean(loc, l) != (shown[l] == 1) {
					wrong++
					t.Errorf("%s %v: clean %v, shown %d times", name, l, Clean(loc, l), shown[l])
				}
				if wrong > 10 {
					t.FailNow()
				}
			}
		}
	}
	if changes < 700 {
		t.Errorf("only %d changes seen", changes)
	}
	t.Logf("%d changes", changes)
}

// TestNextMovesOn walks a leap year past the table of every zone's file: where Go's own bounds stand still, a walk
// would never end.
func TestNextMovesOn(t *testing.T) {
	begin, end := time.Date(2040, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2041, 2, 1, 0, 0, 0, 0, time.UTC)
	for _, name := range opened().names {
		loc, _ := Load(name)
		for u := begin; u.Before(end); {
			next, ok := Next(loc, u)
			if !ok {
				break
			}
			if !next.After(u) {
				t.Fatalf("%s: the end %v is not after %v", name, next, u)
			}
			u = next
		}
		for d := testkit.Local(t, "2040-12-29T12:00"); d < testkit.Local(t, "2041-01-03T00:00"); d += 60 {
			if !Clean(loc, d) || !strings.HasPrefix(Instant(loc, d).Format("2006-01-02T15:04"), d.String()) {
				t.Fatalf("%s: %v is not clean, or is %v", name, d, Instant(loc, d))
			}
		}
	}
}

func BenchmarkClean(b *testing.B) {
	loc, _ := Load("Europe/Lisbon")
	l := testkit.Local(b, "2027-03-29T07:00")
	b.ReportAllocs()
	for b.Loop() {
		Clean(loc, l)
	}
}
