package compiler

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"isocue.example/compiler/record"
)

// drawn is a dose of one modality as a test draws it: what a session holds as an amount that can be split, and the rest as text.
type drawn struct {
	modality  record.Modality
	amount    string // the field that is split: squeezes, sets, minutes
	many      int
	ramp      []int // amounts of the weeks before, one a week
	rest      string
	days, per int
	hands     string
	exercises []string
}

// draw is a dose that the rules mostly find too large.
func draw(r *rand.Rand) drawn {
	pick := func(xs ...string) string { return xs[r.IntN(len(xs))] }
	d := drawn{days: 1 + r.IntN(7), per: 1 + r.IntN(2)}
	switch d.modality = record.Modalities[r.IntN(len(record.Modalities))]; d.modality {
	case record.Handgrip:
		d.amount, d.many, d.hands = "rounds", 2+r.IntN(14), pick("alternate", "together", "left", "right")
		d.rest = fmt.Sprintf(`load: fraction: %s, holdSeconds: %s, restSeconds: 240`, pick("0.20", "0.30", "0.55"), pick("30", "120", "180"))
	case record.WallSquat:
		d.amount, d.many, d.rest = "rounds", 2+r.IntN(6), `load: kneeDegrees: 110, holdSeconds: 120, restSeconds: 120`
	case record.Inspiratory:
		d.rest = "load: fraction: " + pick("0.25", "0.55", "0.75")
		if d.amount, d.many = "minutesPerSession", 2+r.IntN(40); r.IntN(2) == 0 {
			d.amount, d.many = "sets", 2+r.IntN(20)
			d.rest += counted
		}
	case record.SlowBreathing:
		d.amount, d.many, d.rest = "minutesPerSession", 6+r.IntN(60), `breath: {inhaleSeconds: 5, exhaleSeconds: 5}`
	case record.Walking:
		d.amount, d.many, d.rest = "minutesPerSession", 10+r.IntN(130), `intensity: "moderate"`
	case record.Strength:
		d.amount, d.many, d.rest = "sets", 2+r.IntN(7), `load: effort: 4, repetitions: 10, restSeconds: 90`
		d.exercises = []string{"chair-rise", "wall-push-up", "bag-row", "bridge"}
	}
	if whole := r.IntN(3); whole > 0 { // amounts that can be cut
		d.many = max(d.many/6, 1) * 6
	}
	if r.IntN(2) == 0 {
		for range 1 + r.IntN(3) {
			d.ramp = append(d.ramp, max(d.many/(1+r.IntN(3)), 2))
		}
	}
	return d
}

// piece is one protocol of a split dose.
type piece struct {
	drawn
	id string
}

func (p piece) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%q: {id: %q, title: \"A piece\", revision: 1, modality: %q, %s, %s: %d, daysPerWeek: %d, sessionsPerDay: %d, weeks: 8",
		p.id, p.id, p.modality, p.rest, p.amount, p.many, p.days, p.per)
	if p.hands != "" {
		fmt.Fprintf(&b, ", hands: %q", p.hands)
	}
	if len(p.exercises) > 0 {
		fmt.Fprintf(&b, ", exercises: [%q", p.exercises[0])
		for _, x := range p.exercises[1:] {
			fmt.Fprintf(&b, ", %q", x)
		}
		b.WriteString("]")
	}
	if len(p.ramp) > 0 {
		b.WriteString(", ramp: [")
		for _, n := range p.ramp {
			fmt.Fprintf(&b, "{weeks: 1, %s: %d}, ", p.amount, n)
		}
		b.WriteString("]")
	}
	return b.String() + "}\n"
}

// splits is the ways in which a dose is split; false where it cannot be split so.
var splits = []struct {
	name string
	of   func(r *rand.Rand, d drawn) ([]drawn, bool)
}{
	{"over two protocols", func(r *rand.Rand, d drawn) ([]drawn, bool) { return shares(r, d, 2) }},
	{"over three protocols", func(r *rand.Rand, d drawn) ([]drawn, bool) { return shares(r, d, 3) }},
	{"a little put aside", func(r *rand.Rand, d drawn) ([]drawn, bool) {
		a, b := d, d
		a.many, b.many, a.ramp, b.ramp = d.many-1, 1, nil, nil
		for _, n := range d.ramp {
			a.ramp, b.ramp = append(a.ramp, n-1), append(b.ramp, 1)
		}
		return []drawn{a, b}, true
	}},
	{"over the hands", func(r *rand.Rand, d drawn) ([]drawn, bool) {
		if d.hands != "alternate" || d.many < 2 {
			return nil, false
		}
		out, ok := shares(r, d, 2)
		if ok {
			out[0].hands, out[1].hands = "left", "right"
		}
		return out, ok
	}},
	{"each session of a day a protocol", func(r *rand.Rand, d drawn) (out []drawn, ok bool) {
		one := d
		one.per = 1
		for range d.per {
			out = append(out, one)
		}
		return out, d.per > 1
	}},
	{"over the days of a week", func(r *rand.Rand, d drawn) ([]drawn, bool) {
		a, b := d, d
		a.days = d.days / 2
		b.days = d.days - a.days
		return []drawn{a, b}, a.days > 0
	}},
	{"over two sessions of a day", func(r *rand.Rand, d drawn) ([]drawn, bool) { return sessions(d, 2) }},
	{"over three sessions of a day", func(r *rand.Rand, d drawn) ([]drawn, bool) { return sessions(d, 3) }},
	{"over the lines of a list of exercises", func(r *rand.Rand, d drawn) ([]drawn, bool) {
		half, ok := d.over(2)
		half.exercises = append(slices.Clone(d.exercises), d.exercises...)
		return []drawn{half}, ok && d.modality == record.Strength
	}},
	{"told by the minute", func(_ *rand.Rand, d drawn) ([]drawn, bool) {
		ok := d.modality == record.Inspiratory && d.amount == "sets" && d.scale(1, 3)
		d.rest = strings.TrimSuffix(d.rest, counted)
		d.amount = "minutesPerSession"
		return []drawn{d}, ok
	}},
	{"told by the count", func(_ *rand.Rand, d drawn) ([]drawn, bool) {
		ok := d.modality == record.Inspiratory && d.amount == "minutesPerSession" && d.scale(3, 1) && d.many <= maxSets && !slices.ContainsFunc(d.ramp, func(n int) bool { return n > maxSets })
		d.rest += counted
		d.amount = "sets"
		return []drawn{d}, ok
	}},
	{"over ramp entries", func(r *rand.Rand, d drawn) ([]drawn, bool) {
		whole := d.many
		d.ramp = append(slices.Clone(d.ramp), whole)
		d.many = 1 + r.IntN(whole)
		return []drawn{d}, true
	}},
}

// counted is how loaded breaths are counted: without a pace one takes 4 s, so that three sets are a minute.
const counted = ", breathsPerSet: 5, restSeconds: 60"

// maxSets is the most sets that a protocol may be written with.
const maxSets = 60

// scale takes every amount by so many in so many; false where one would be no whole number.
func (d *drawn) scale(by, of int) bool {
	d.ramp = slices.Clone(d.ramp)
	whole := d.many*by%of == 0
	d.many = d.many * by / of
	for i, n := range d.ramp {
		whole = whole && n*by%of == 0
		d.ramp[i] = n * by / of
	}
	return whole
}

// shares cuts the amounts of a session.
func shares(r *rand.Rand, d drawn, n int) ([]drawn, bool) {
	out := make([]drawn, n)
	for i := range out {
		out[i] = d
		out[i].ramp = slices.Clone(d.ramp)
	}
	cut := func(many int, set func(i, share int)) bool {
		if many < n {
			return false
		}
		for i := range n {
			share := many
			if i < n-1 {
				share = 1 + r.IntN(many-(n-1-i))
			}
			set(i, share)
			many -= share
		}
		return true
	}
	ok := cut(d.many, func(i, share int) { out[i].many = share })
	for w := range d.ramp {
		ok = ok && cut(d.ramp[w], func(i, share int) { out[i].ramp[w] = share })
	}
	return out, ok
}

// over is a dose with the n-th part of each amount; false where one cannot be cut so.
func (d drawn) over(n int) (drawn, bool) {
	ok := d.many%n == 0
	ramp := slices.Clone(d.ramp)
	for i := range ramp {
		ok = ok && ramp[i]%n == 0
		ramp[i] /= n
	}
	d.many, d.ramp = d.many/n, ramp
	return d, ok
}

// sessions makes n sessions of a day of one.
func sessions(d drawn, n int) ([]drawn, bool) {
	d, ok := d.over(n)
	d.per *= n
	return []drawn{d}, ok && d.per <= 12
}
