package load

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"isocue.example/compiler/record"
)

// pulses gives each pulse to the reading of its moment, or to the nearest of its sitting without one, and returns rows for those that are
// left and fast: a pulse alone is told, and not each of a watch's.
func (b *bundleReader) pulses(rows []*bundleRow, pulses []*observation) (left []tableRow) {
	at := map[string][]*bundleRow{}
	for _, r := range rows {
		at[r.row.cells[0]] = append(at[r.row.cells[0]], r)
	}
	byTime := slices.DeleteFunc(slices.Clone(rows), func(r *bundleRow) bool { return r.of.when.IsZero() })
	slices.SortStableFunc(byTime, func(x, y *bundleRow) int { return x.of.when.Compare(y.of.when) })
	days := map[string]int{}
	for _, own := range []bool{true, false} { // a pulse of the same Observation, or the same moment, goes before
		for _, p := range pulses {
			for i, cell := range p.pulse {
				if cell == "" || len(p.trouble) > 0 && own || len(p.pulsed) > 0 && own {
					continue
				}
				r := b.reading(p, at, byTime, own)
				switch {
				case r != nil && len(p.trouble)+len(p.pulsed) == 0:
					r.row.cells[3], p.pulse[i] = cell, ""
				case !own:
					left = b.alone(p, cell, left, days)
				}
			}
		}
	}
	for _, p := range pulses {
		if p.held.Unknown && !p.pressure() {
			left = append(left, b.strayRow(p, p.held))
		}
	}
	return left
}

// reading is the row without a pulse to which one belongs.
func (b *bundleReader) reading(p *observation, at map[string][]*bundleRow, byTime []*bundleRow, own bool) *bundleRow {
	free := func(r *bundleRow) bool { return r.row.cells[3] == "" }
	if own {
		same := at[p.at]
		for _, r := range same {
			if free(r) && (r.of == p || r.of.parent == p || p.parent != nil && r.of.parent == p.parent) {
				return r
			}
		}
		if i := slices.IndexFunc(same, free); i >= 0 && p.at != "" && !p.pressure() {
			return same[i]
		}
		return nil
	}
	if p.when.IsZero() {
		return nil
	}
	span := time.Duration(b.span.Sitting) * time.Minute
	i, _ := slices.BinarySearchFunc(byTime, p.when, func(r *bundleRow, t time.Time) int { return r.of.when.Compare(t) })
	var best *bundleRow
	apart := span
	for _, step := range []int{-1, 1} {
		for j := i + min(step, 0); j >= 0 && j < len(byTime); j += step {
			d := byTime[j].of.when.Sub(p.when).Abs()
			if d >= apart {
				break
			}
			if free(byTime[j]) {
				best, apart = byTime[j], d
				break
			}
		}
	}
	return best
}

// alone tells of a fast pulse without a reading, one a day: the fastest.
func (b *bundleReader) alone(p *observation, cell string, left []tableRow, days map[string]int) []tableRow {
	l := logReader{span: b.span}
	h := l.pulseIn(lookInto(cell))
	if !h.Reaches(b.span.Gate) {
		return left
	}
	day := p.at[:min(len(p.at), 10)]
	i, ok := days[day]
	switch {
	case !ok:
		days[day] = len(left)
		return append(left, b.strayRow(p, h))
	case h.Pulse > left[i].held.Pulse:
		h.Unknown = h.Unknown || left[i].held.Unknown
		left[i] = b.strayRow(p, h)
	case h.Unknown:
		left[i].held.Unknown = true
	}
	return left
}

func (b *bundleReader) strayRow(p *observation, h record.Held) tableRow {
	what := "a pulse that cannot be read"
	if h.Pulse > 0 {
		what = "a pulse of " + strconv.Itoa(h.Pulse)
	}
	trouble := append(append(slices.Clone(p.trouble), p.pulsed...), what+" stands without a pressure of its sitting; leave it out of the log if it was not at rest")
	r := p.row(strings.Join(trouble, ", "), h)
	r.kept = true
	return r
}
