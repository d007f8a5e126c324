package compiler

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// Every zone is read over two years, by the times that the clock on the wall shows there.
var (
	zonesFrom = time.Date(2026, 1, 5, 12, 0, 0, 0, time.UTC).Unix()
	zonesTo   = time.Date(2028, 1, 3, 12, 0, 0, 0, time.UTC).Unix()
)

const halfHour, quarterDay, day = 30 * 60, 6 * 60 * 60, 24 * 60 * 60

// unclear stands for the offset of a time that a clock change skips or repeats: readers differ on it, and no session is
// ever put there.
const unclear = 1 << 30

// offsets are a zone's by the zone data, in seconds east of UTC: one for each half hour of the wall.
func offsets(loc *time.Location) []int {
	n := int((zonesTo-zonesFrom)/halfHour) + 1
	out, meanings := make([]int, n), make([]int, n)
	index := func(wall int64) int { // of the first half hour at or after wall
		return int(max(0, min(int64(n), (wall-zonesFrom+halfHour-1)/halfHour)))
	}
	end := zonesTo + 2*day // more than any offset
	for at := zonesFrom - 2*day; at < end; {
		_, offset := time.Unix(at, 0).In(loc).Zone()
		to := end
		if next, ok := zone.Next(loc, time.Unix(at, 0)); ok {
			to = min(end, next.Unix())
		}
		for i := index(at + int64(offset)); i < index(to+int64(offset)); i++ {
			out[i] = offset
			meanings[i]++
		}
		at = to
	}
	for i, m := range meanings {
		if m != 1 {
			out[i] = unclear
		}
	}
	return out
}

// everywhere are all half hours.
func everywhere([]int) []int64 {
	var out []int64
	for wall := zonesFrom; wall <= zonesTo; wall += halfHour {
		out = append(out, wall)
	}
	return out
}

// aroundChanges are the half hours of the day before and the day after each change, and four times of every other day.
func aroundChanges(want []int) (out []int64) {
	near := make([]bool, len(want))
	for i := 1; i < len(want); i++ {
		if want[i] != want[i-1] {
			for j := max(0, i-day/halfHour); j < min(len(want), i+day/halfHour); j++ {
				near[j] = true
			}
		}
	}
	for i := range want {
		if near[i] || i%(quarterDay/halfHour) == 0 {
			out = append(out, zonesFrom+int64(i)*halfHour)
		}
	}
	return out
}

// steps writes wall times as the outside readers take them: from, to and step, a line for each stretch.
func steps(walls []int64) (out []byte) {
	for i := 0; i < len(walls); {
		j, step := i, int64(halfHour)
		if i+1 < len(walls) {
			step = walls[i+1] - walls[i]
		}
		for j+1 < len(walls) && walls[j+1]-walls[j] == step {
			j++
		}
		out = fmt.Appendf(out, "%d %d %d\n", walls[i], walls[j], step)
		i = j + 1
	}
	return out
}

// run is what a reader printed for a zone: from each wall time on, the offset that it works with.
type run struct {
	Zone string
	Runs [][2]int64
}

// wrong counts the walls at which the reader's offset is not the wanted one, and says the first.
func (r run) wrong(walls []int64, want []int) (wrong, samples int, first string) {
	i, offset := 0, int64(unclear)-1
	for _, wall := range walls {
		for ; i < len(r.Runs) && r.Runs[i][0] <= wall; i++ {
			offset = r.Runs[i][1]
		}
		w := int64(want[(wall-zonesFrom)/halfHour])
		if w == unclear {
			continue
		}
		samples++
		if offset != w {
			if wrong++; wrong == 1 {
				first = fmt.Sprintf("%s: offset %d at %s, want %d", r.Zone, offset, time.Unix(wall, 0).UTC().Format("2006-01-02T15:04"), w)
			}
		}
	}
	return wrong, samples, first
}

// sweeps are the outside readers that know nothing of a zone but its VTIMEZONE, and the times they are asked for: the
// slower one gets fewer.
var sweeps = []struct {
	reader  string
	times   func([]int) []int64
	samples int // at least
}{{"libical", everywhere, 20_000_000}, {"ical.js", aroundChanges, 1_500_000}}

// Each zone of the data, in a calendar that covers two years, passes our own reader; and the outside readers work out
// every moment of the two years from it as the zone data do.
func TestReadersAgreeOnEveryZone(t *testing.T) {
	c := engine(t)
	p := plan(t, c, demo(t, c, "slow-breathing-even"))
	p.Sessions, p.Others = p.Sessions[:2], []record.Other{}
	p.Sessions[0].Start, p.Sessions[1].Start = unit.Local(zonesFrom/60), unit.Local(zonesTo/60)
	dir := t.TempDir()
	files, want := []string{}, map[string][]int{}
	for i, name := range testkit.Zones(t) {
		p.Zone = name
		text, err := calendar.Encode(nil, p, calendar.Options{Version: "v0.1"})
		if err != nil {
			t.Fatal(name, err)
		}
		read, err := testkit.Calendar(text)
		if err != nil {
			t.Fatal(name, err)
		}
		if z := read.Components[0]; z.Name != "VTIMEZONE" || testkit.Text(z.Get("TZID")) != name {
			t.Errorf("%s has the zone %+v", name, z)
		}
		loc, err := zone.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		want[name] = offsets(loc)
		files = append(files, filepath.Join(dir, fmt.Sprint(i, ".ics")))
		if err := os.WriteFile(files[i], text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if len(files) < 590 {
		t.Errorf("only %d zones", len(files))
	}
	for _, k := range []struct {
		zone, wall  string
		offset      int
		why, source string
	}{
		{"Europe/Lisbon", "2027-03-28T00:30", 0, "before the change", "tzdata, EU rule"},
		{"Europe/Lisbon", "2027-03-28T01:30", unclear, "skipped", "tzdata, EU rule"},
		{"Europe/Lisbon", "2027-03-28T02:00", 3600, "after it", "tzdata, EU rule"},
		{"Europe/Lisbon", "2027-10-31T01:00", unclear, "repeated", "tzdata, EU rule"},
		{"Asia/Kolkata", "2027-07-01T00:00", 19800, "half an hour", "tzdata, Asia/Kolkata"},
	} {
		at, err := time.Parse("2006-01-02T15:04", k.wall)
		if got := want[k.zone][(at.Unix()-zonesFrom)/halfHour]; err != nil || got != k.offset || k.source == "" {
			t.Errorf("%s %s (%s): offset %d, want %d", k.zone, k.wall, k.why, got, k.offset)
		}
	}
	if !full {
		return // what is above has been held; .ci/run holds the rest
	}
	for _, s := range sweeps {
		t.Run(s.reader, func(t *testing.T) {
			walls := map[string][]int64{}
			for i, name := range testkit.Zones(t) {
				walls[name] = s.times(want[name])
				if err := os.WriteFile(files[i]+".steps", steps(walls[name]), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			start, wrong, samples, seen := time.Now(), 0, 0, map[string]bool{}
			all := outside(outsideDir(t))
			p := all[slices.IndexFunc(all, func(p program) bool { return p.name == s.reader })]
			for _, l := range p.run(t, append([]string{"zones"}, files...)...) {
				var r run
				if err := json.Unmarshal(l, &r); err != nil || want[r.Zone] == nil {
					t.Fatalf("%v: %s", err, l)
				}
				bad, n, first := r.wrong(walls[r.Zone], want[r.Zone])
				seen[r.Zone] = true
				samples += n
				if wrong += bad; bad > 0 {
					t.Errorf("%d wrong: %s", bad, first)
				}
			}
			if len(seen) != len(files) || samples < s.samples {
				t.Errorf("%d zones of %d, %d samples, want at least %d", len(seen), len(files), samples, s.samples)
			}
			t.Logf("%s %s: %d wrong of %d samples, %d zones, in %.1f s", p.name, p.version, wrong, samples, len(seen), time.Since(start).Seconds())
		})
	}
}
