package load

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// pair joins systolic and diastolic Observations: of one panel and moment first, then of one moment, then within a sitting, in their order.
func (b *bundleReader) pair(uppers, lowers []*observation) (out []*bundleRow) {
	partner := map[*observation]*observation{}
	taken := map[*observation]bool{}
	for _, key := range []func(*observation) string{
		func(x *observation) string { return fmt.Sprintf("%p|%s|%s|%s", x.parent, x.at, x.arm, x.posture) },
		func(x *observation) string { return x.at + "|" + x.arm + "|" + x.posture },
		func(x *observation) string { return x.at + "|" + x.posture },
	} {
		free := map[string][]*observation{}
		for _, l := range lowers {
			if !taken[l] {
				free[key(l)] = append(free[key(l)], l)
			}
		}
		for _, u := range uppers {
			if k := key(u); partner[u] == nil && len(free[k]) > 0 {
				partner[u], free[k] = free[k][0], free[k][1:]
				taken[partner[u]] = true
			}
		}
	}
	b.near(uppers, lowers, partner, taken)
	for _, u := range uppers {
		out = append(out, b.told(b.paired(u, partner[u]))...)
	}
	for _, l := range lowers {
		if !taken[l] {
			out = append(out, b.told(b.paired(nil, l))...)
		}
	}
	return out
}

// near pairs what is left, of one posture, by its order within the minutes of a sitting.
func (b *bundleReader) near(uppers, lowers []*observation, partner map[*observation]*observation, taken map[*observation]bool) {
	span := time.Duration(b.span.Sitting) * time.Minute
	for _, posture := range []string{"", "standing", "lying"} {
		left := func(all []*observation, gone func(*observation) bool) []*observation {
			out := slices.DeleteFunc(slices.Clone(all), func(x *observation) bool { return gone(x) || x.when.IsZero() || x.posture != posture })
			slices.SortStableFunc(out, func(x, y *observation) int { return x.when.Compare(y.when) })
			return out
		}
		us, ls := left(uppers, func(x *observation) bool { return partner[x] != nil }), left(lowers, func(x *observation) bool { return taken[x] })
		for len(us) > 0 && len(ls) > 0 {
			switch apart := us[0].when.Sub(ls[0].when); {
			case apart.Abs() < span:
				partner[us[0]], taken[ls[0]] = ls[0], true
				us, ls = us[1:], ls[1:]
			case apart < 0:
				us = us[1:]
			default:
				ls = ls[1:]
			}
		}
	}
}

// paired is the row of a systolic and a diastolic Observation, or of one that stands alone.
func (b *bundleReader) paired(u, l *observation) *bundleRow {
	x := u
	if x == nil {
		x = l
	}
	joined := *x
	if u != nil && l != nil {
		joined.diastolic, joined.arm = l.diastolic, cmp.Or(u.arm, l.arm)
		if u.arm != "" && l.arm != "" && u.arm != l.arm {
			joined.pressed = addOnce(joined.pressed, "its two numbers are of two arms")
		}
		joined.symptoms = withWords(u.symptoms, l.symptoms)
		joined.note = strings.TrimSpace(u.note + " " + l.note)
		for _, s := range l.trouble {
			joined.trouble = addOnce(joined.trouble, s)
		}
		for _, s := range l.pressed {
			joined.pressed = addOnce(joined.pressed, s)
		}
		for _, s := range l.sums {
			joined.sums = addOnce(joined.sums, s)
		}
		joined.held.Join(l.held)
		return b.whole(&joined)
	}
	trouble, missing := slices.Clone(x.trouble), "its diastolic number is missing"
	r := x.row("", x.held)
	if u != nil {
		r.cells[1] = strings.Join(x.systolic, " ")
	} else {
		r.cells[2], missing = strings.Join(x.diastolic, " "), "its systolic number is missing"
	}
	r.trouble = strings.Join(append(append(append(trouble, x.pressed...), x.sums...), missing+", allowed: both of one moment"), ", ")
	return &bundleRow{of: x, row: r}
}
