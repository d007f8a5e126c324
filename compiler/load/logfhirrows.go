package load

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/record"
)

// rows makes the table's rows of the Observations: whole pressures, pairs of two Observations, and what stands alone.
func (b *bundleReader) rows(t *table) error {
	b.family()
	var uppers, lowers, pulses []*observation
	var out []*bundleRow
	for _, x := range b.all {
		if len(x.pulse) > 0 || len(x.pulsed) > 0 {
			pulses = append(pulses, x)
		}
		switch {
		case len(x.both) == 0 && len(x.systolic) > 0 && len(x.diastolic) == 0:
			uppers = append(uppers, x)
		case len(x.both) == 0 && len(x.diastolic) > 0 && len(x.systolic) == 0:
			lowers = append(lowers, x)
		case x.pressure() && !b.covered(x):
			out = append(out, b.told(b.whole(x))...)
		case x.held != (record.Held{}) && x.held.Reaches(b.span.Gate): // a mean pressure alone
			out = append(out, &bundleRow{of: x, row: x.row("a mean pressure or a value that is not read stands in it, allowed: a systolic and a diastolic one", x.held)})
		}
	}
	out = append(out, b.pair(uppers, lowers)...)
	left := b.pulses(out, pulses)
	slices.SortStableFunc(out, func(x, y *bundleRow) int { return cmp.Compare(x.row.line, y.row.line) })
	for _, x := range out {
		t.rows = append(t.rows, x.row)
	}
	t.rows = append(t.rows, left...)
	for _, label := range b.labels {
		t.rows = append(t.rows, b.unread[label].row())
	}
	for _, x := range b.all {
		if x.note+x.symptoms != "" && !x.pressure() {
			r := x.row("", record.Held{})
			r.words = true
			t.rows = append(t.rows, r)
		}
	}
	t.rows = append(t.rows, b.said...)
	if len(t.rows) > maxRows {
		return tooLong("readings", maxRows)
	}
	return nil
}

// bundleRow is a row with the Observation from which it is.
type bundleRow struct {
	of  *observation
	row tableRow
}

// mostParents is how far up a panel of panels is asked for what a member leaves out: an honest one has two. It ends a ring, too.
const mostParents = 8

// family gives the members of a panel, and what an Observation contains, what they leave to it: the moment, the arm, the posture, what is
// wrong with it.
func (b *bundleReader) family() {
	for _, panel := range b.all {
		for _, name := range panel.members {
			if m := b.member(panel, name); m != nil && m != panel && m.parent == nil {
				m.parent = panel
			}
		}
	}
	for _, x := range b.all {
		if x.parent != nil && x.pressure() {
			b.parents[x.parent] = true
		}
		for p, up := x.parent, 0; p != nil && up < mostParents; p, up = p.parent, up+1 {
			if x.at == "" {
				x.at, x.when = p.at, p.when
			}
			x.arm, x.posture = cmp.Or(x.arm, p.arm), cmp.Or(x.posture, p.posture)
			if p.known.about == aPanel {
				for _, s := range p.trouble {
					x.trouble = addOnce(x.trouble, s)
				}
			}
		}
	}
}

// covered says whether a pressure without numbers of its own is a panel whose members are all there.
func (b *bundleReader) covered(x *observation) bool {
	if x.numbers() || len(x.members) == 0 && !b.parents[x] {
		return false
	}
	return !slices.ContainsFunc(x.members, func(name string) bool { return b.member(x, name) == nil }) && x.held == (record.Held{})
}

// row is a row with an Observation's circumstances.
func (o *observation) row(trouble string, held record.Held) tableRow {
	cells := []string{o.at, "", "", "", o.arm, o.posture, o.note, o.symptoms}
	return tableRow{line: o.line, cells: cells, trouble: trouble, held: held}
}

// whole is one Observation with both pressures, or with something else than one of each.
func (b *bundleReader) whole(x *observation) *bundleRow {
	trouble := slices.Clone(x.trouble)
	r := x.row("", x.held)
	more := func(cells []string) string {
		for _, s := range cells { // whichever counts, none is lost
			l := logReader{span: b.span}
			r.held.Join(l.pressureIn(lookInto(s), true, false))
		}
		return ""
	}
	switch {
	case len(x.both) == 1 && len(x.systolic)+len(x.diastolic) == 0:
		r.cells[1] = x.both[0]
	case len(x.both) == 0 && len(x.systolic) == 1 && len(x.diastolic) == 1:
		r.cells[1], r.cells[2] = x.systolic[0], x.diastolic[0]
	case x.numbers():
		trouble = append(trouble, "a component stands in it twice")
		more(x.both)
		more(x.systolic)
		lower := r.held
		r.held = record.Held{}
		more(x.diastolic)
		r.held.Diastolic = max(r.held.Diastolic, r.held.Largest)
		r.held.Join(lower)
	case len(x.members) > 0 && !b.covered(x):
		trouble = append(trouble, "it names members that are not in the file; ask the server for them too")
		r.held.Unknown = true
	case len(x.pressed) == 0:
		trouble = append(trouble, "a value is missing")
	}
	for _, s := range append(slices.Clone(x.pressed), x.sums...) {
		trouble = addOnce(trouble, s)
	}
	r.trouble = strings.Join(trouble, ", ")
	return &bundleRow{of: x, row: r}
}

// told is a row, unless it is a mean or another sum of readings with which nothing else is wrong and which is not severe: that is no reading
// that was lost, and is counted with what is none.
func (b *bundleReader) told(r *bundleRow) []*bundleRow {
	x := r.of
	if len(x.sums) == 0 || len(x.trouble)+len(x.pressed) > 0 || !x.numbers() {
		return []*bundleRow{r}
	}
	l := logReader{span: b.span}
	h := r.row.held
	h.Join(l.pressureIn(lookInto(r.row.cells[1]), true, false))
	lower := l.pressureIn(lookInto(r.row.cells[2]), false, false)
	lower.Diastolic = max(lower.Diastolic, lower.Largest)
	h.Join(lower)
	if h.Reaches(b.span.Gate) {
		return []*bundleRow{r}
	}
	b.other++
	return nil
}

// row tells what stands under a code that is not known.
func (u *unread) row() tableRow {
	where := "an Observation whose code is not known"
	if u.what != "" {
		where = "a " + u.what
	}
	number := "something"
	switch n := max(u.held.Largest, u.held.Pulse); {
	case n > 0 && u.held.Diastolic > 0 && u.held.Diastolic < u.held.Largest:
		number = fmt.Sprintf("%d/%d", u.held.Largest, u.held.Diastolic)
	case n > 0:
		number = strings.TrimSpace(fmt.Sprintf("%d %s", n, map[string]string{"mmHg": "mmHg", "kPa": "mmHg", "cmHg": "mmHg", "/min": "a minute"}[u.unit]))
	}
	s := fmt.Sprintf("%s holds %s, which may be a pressure or a pulse, allowed: an Observation with LOINC 85354-9, with 8480-6 and 8462-4 in it, or 8867-4", where, number)
	if u.times > 1 {
		s += fmt.Sprintf("; so do %d others of it", u.times-1)
	}
	return tableRow{line: u.line, cells: []string{u.at, "", "", "", "", "", ""}, trouble: s, held: u.held}
}
