package zone

import (
	"time"

	"isocue.example/compiler/unit"
)

// reach is more than any offset from UTC in the data, so that every instant that a wall time can stand for lies within
// reach of it. Whole days are skipped too: Pacific/Apia left out 30 December 2011.
const reach = 26 * 60 * 60

// part is a stretch of instants with one offset, in seconds since 1970-01-01T00:00Z, the end excluded.
type part struct{ from, to, offset int64 }

// forever stands for the open ends of a zone's history.
const forever = int64(1) << 60

func partAt(loc *time.Location, instant int64) part {
	t := time.Unix(instant, 0).In(loc)
	_, offset := t.Zone()
	from, to := t.ZoneBounds()
	p := part{-forever, forever, int64(offset)}
	if !from.IsZero() {
		p.from = from.Unix()
	}
	if !to.IsZero() {
		p.to = to.Unix()
		if p.to <= instant {
			// Past the table in the zone's file Go counts every year as 365 days, so on 31 December of a leap year
			// the end it gives has gone by. An hour on is always later, and no rule changes a clock on that day.
			p.to = instant + 60*60
		}
	}
	return p
}

// Next is the end of the stretch of time around t in which loc's offset and its name are known not to change; ok is
// false where there is none. It is after t, which the end that time.Time.ZoneBounds gives is not always; nothing need
// change at it.
func Next(loc *time.Location, t time.Time) (end time.Time, ok bool) {
	p := partAt(loc, t.Unix())
	return time.Unix(p.to, 0).In(loc), p.to != forever
}

// meanings counts the instants that show wall (in seconds) on loc's clock, and gives the first. It is 0 in a gap,
// 2 in an overlap, else 1. Two neighbouring parts may have the same offset (only the name changed): a wall time
// still falls into one of them only.
func meanings(loc *time.Location, wall int64) (n int, first int64) {
	p := partAt(loc, wall-reach)
	for {
		if u := wall - p.offset; u >= p.from && u < p.to {
			if n == 0 {
				first = u
			}
			n++
		}
		if p.to > wall+reach {
			return n, first
		}
		end := p.to
		p = partAt(loc, end)
		p.from = end // parts do not overlap, whatever partAt had to make up
	}
}

// Clean says whether the wall time exists exactly once in loc: no clock change skips it and none repeats it. The first
// minute after a gap or an overlap is clean. RFC 5545 3.3.5 gives the other wall times a meaning, but calendar programs
// do not agree on it.
func Clean(loc *time.Location, l unit.Local) bool {
	n, _ := meanings(loc, int64(l)*60)
	return n == 1
}

// Instant is the moment at which loc's clock shows l. Where that is not clean it reads l as RFC 5545 3.3.5 does: the
// first of a repeated pair, and a skipped one with the offset before the gap.
func Instant(loc *time.Location, l unit.Local) time.Time {
	wall := int64(l) * 60
	n, u := meanings(loc, wall)
	if n == 0 {
		p := partAt(loc, wall-reach)
		for { // the gap is where the next part begins after wall
			next := partAt(loc, p.to)
			if p.to+next.offset > wall {
				break
			}
			p = next
		}
		u = wall - p.offset
	}
	return time.Unix(u, 0).In(loc)
}
