package check

import (
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Occasion is when and for what a client is judged. A zero Start means that no start is set yet: ages then run to
// Today, the civil date of now in the client's zone.
type Occasion struct {
	Protocols []*record.Protocol
	Start     unit.Date
	Today     unit.Date
	Again     bool // the course has begun and is compiled again
	// Fresh are the protocols that begin on this occasion: no session of them was trained lately. In a first plan all do.
	Fresh []*record.Protocol
	// Passed is how many stages of a fresh protocol lie before its first session to come, where most do: nobody trained them.
	Passed int
	Pause  *record.Span  // the latest pause that has begun; nil without
	Away   []record.Span // stretches without training that make the first week back lighter
	// By is today on the occasion of a measurement that lies before it: what was measured again since carries no load to come.
	By unit.Date
}

// day is the date to which ages run: the first day that is still to come, whatever start was written, for nobody trains on a day
// that is past. Where a course goes on and nothing in it is fresh, it is the start.
func (o Occasion) day() unit.Date {
	if o.Start != 0 && o.Again && len(o.Fresh) == 0 {
		return o.Start
	}
	return max(o.Start, o.Today)
}

// from is the day from which dates are given: gates, waits and medicines are judged on it. It is the first day that is still to come,
// also where a course that has begun is compiled again; there what a load stands on keeps its age at the start, for a load that
// grows too old on the way becomes provisional.
func (o Occasion) from() unit.Date { return max(o.Start, o.Today) }

// testsOf are the occasions on which the measurements of an occasion are judged: the first day to come for what begins, the start
// for what goes on, and for both the day of every measurement after it, since a measurement that changes a load during the
// course is judged like the first one.
func testsOf(c *record.Client, o Occasion) (out []Occasion) {
	goesOn := slices.DeleteFunc(slices.Clone(o.Protocols), func(p *record.Protocol) bool { return !o.Again || slices.Contains(o.Fresh, p) })
	begins := slices.DeleteFunc(slices.Clone(o.Protocols), func(p *record.Protocol) bool { return slices.Contains(goesOn, p) })
	judge := func(ps []*record.Protocol, days []unit.Date) {
		for _, d := range days {
			if len(ps) > 0 {
				out = append(out, Occasion{Protocols: ps, Start: d, By: o.Today})
			}
		}
	}
	judge(goesOn, testDays(c, o.Start))
	if first := o.from(); first != o.Start && o.Start != 0 && !o.Again {
		judge(begins, []unit.Date{o.Start}) // nobody trains before the measurement either, on paper as in life
	}
	judge(begins, testDays(c, o.from()))
	return out
}

// testDays is a day, and the day of every measurement after it.
func testDays(c *record.Client, first unit.Date) []unit.Date {
	days := []unit.Date{first}
	add := func(d unit.Date) {
		if d > first && !slices.Contains(days, d) {
			days = append(days, d)
		}
	}
	for _, t := range c.Grip {
		add(t.Date)
	}
	for _, t := range c.Inspiratory {
		add(t.Date)
	}
	for _, t := range c.Squat {
		add(t.Date)
	}
	slices.Sort(days)
	return days
}

// doseDay is the newest day on which a load is set: the start, or the day of a measurement after it.
func (o Occasion) doseDay(c *record.Client) unit.Date {
	d := o.day()
	for _, m := range modalities(o.Protocols) {
		switch m {
		case record.Handgrip:
			for _, t := range c.Grip {
				d = max(d, t.Date)
			}
		case record.Inspiratory:
			for _, t := range c.Inspiratory {
				d = max(d, t.Date)
			}
		case record.WallSquat:
			for _, t := range c.Squat {
				d = max(d, t.Date)
			}
		}
	}
	return d
}

// modalities are those trained, each once, in an order of their own: the order in which protocols are named decides nothing.
func modalities(ps []*record.Protocol) (out []record.Modality) {
	for _, m := range record.Modalities {
		if slices.ContainsFunc(ps, func(p *record.Protocol) bool { return p.Modality == m }) {
			out = append(out, m)
		}
	}
	return out
}
