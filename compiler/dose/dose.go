// Package dose works out grip loads: one client, one stage, one hand at a time.
//
// The maximum is the score of a hand's newest test, told in the unit of the gauge that the test was made with. The
// wanted load is the stage's share of it, exact. The set load is the wanted one rounded down to the gauge's step,
// because a number that cannot be set on the gauge is no load, and rounding up would train harder than the author
// wrote. Low and high are the lines within which the client keeps the pointer: a tolerance of the maximum either
// side of the set load, cut inward to the step. Whether a load is too coarse, too old or too high is for the rules.
package dose

import (
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Lack names what stands in the way of a load.
type Lack string

const (
	NoTest  Lack = "test"    // no test of this hand on or before the day
	NoGauge Lack = "gauge"   // the newest test's gauge is not among the client's
	NoScore Lack = "maximum" // the newest test has no maximum above zero, or a unit or step that cannot be used
)

// Missing is a hand that a stage trains and that has no load. Test is the list index of the test that fell short
// (record.GripTest.Index), -1 where there is none.
type Missing struct {
	Protocol string
	Stage    int
	Hand     record.Hand
	Lack     Lack
	Test     int
}

// Grip is the load of every hand in every stage of a handgrip protocol, in stage order and, within a stage, in the
// order in which the hands squeeze. A test counts from its own date, so on is the day for which the loads are wanted.
// A protocol of another modality has no grip loads and gets none.
//
// Nothing is estimated: a hand without a test, or tested on a gauge that the client does not train with, is listed
// as missing (docs/architecture.md, refusal 4).
func Grip(p *record.Protocol, c *record.Client, on unit.Date, sitting record.Sitting) ([]record.Dose, []Missing) {
	var doses []record.Dose
	var missing []Missing
	if p.Modality != record.Handgrip {
		return nil, nil
	}
	for i := range p.Stages {
		s := &p.Stages[i]
		for _, h := range Hands(s, c.Dominant) {
			d, t, lack := one(s, c, h, on, sitting.LoadTolerance)
			if lack != "" {
				missing = append(missing, Missing{p.ID, s.Index, h, lack, t})
				continue
			}
			d.Protocol = p.ID
			doses = append(doses, d)
		}
	}
	return doses, missing
}

// Hands is the hands that a stage trains, each once, in the order in which they first squeeze. Hands that squeeze
// together come with the starting hand first. A single alternating squeeze trains one hand.
func Hands(s *record.Stage, dominant record.Hand) []record.Hand {
	first := s.StartHand
	if first == "" {
		first = dominant
	}
	var out []record.Hand
	for _, h := range s.Order(dominant) {
		if h == record.Both {
			return []record.Hand{first, first.Other()}
		}
		if len(out) == 0 || len(out) == 1 && out[0] != h {
			out = append(out, h)
		}
	}
	return out
}

func one(s *record.Stage, c *record.Client, h record.Hand, on unit.Date, tolerance unit.Dec) (record.Dose, int, Lack) {
	t := c.NewestGrip(h, on)
	if t == nil || t.Date > on {
		return record.Dose{}, -1, NoTest
	}
	g := c.Gauge(t.Gauge)
	if g == nil {
		return record.Dose{}, t.Index, NoGauge
	}
	f, err := unit.NewForce(t.Score(), t.Unit)
	if _, bad := unit.NewForce(g.Step, g.Unit); err != nil || bad != nil || g.Step.Sign() <= 0 || t.Score().Sign() <= 0 {
		return record.Dose{}, t.Index, NoScore
	}
	d := record.Dose{
		Stage: s.Index, Modality: record.Handgrip, Hand: h, Unit: string(g.Unit), Step: g.Step, Gauge: g.ID, Measured: t.Date,
		Maximum: f.In(g.Unit), Wanted: f.Share(s.Load).In(g.Unit),
	}
	d.Set = d.Wanted.Floor(g.Step)
	d.Share = d.Set.Quo(d.Maximum)
	d.Low, d.High = lines(d, tolerance)
	return d, t.Index, ""
}

// AtMost is a load of the hand or of the squat no harder than one before it: where that was set on the same device, that one again, and
// on another gauge as much of it as that shows. Loads of different kinds cannot be held against each other.
func AtMost(d, before record.Dose, tolerance unit.Dec) record.Dose {
	again := func() record.Dose {
		before.Protocol, before.Stage, before.Modality, before.Rise = d.Protocol, d.Stage, d.Modality, unit.Dec{}
		return before
	}
	switch {
	case d.Modality == record.WallSquat:
		if before.Unit == d.Unit && (d.Unit == Degrees && d.Set.Less(before.Set) || d.Unit == Effort && before.Set.Less(d.Set)) { // a smaller angle is deeper
			return again()
		}
	case d.Modality == record.Handgrip:
		f, err := unit.NewForce(before.Set, unit.ForceUnit(before.Unit))
		if err != nil {
			return d
		}
		most := f.In(unit.ForceUnit(d.Unit))
		switch {
		case !most.Less(d.Set):
		case before.Gauge == d.Gauge && before.Unit == d.Unit:
			return again()
		default:
			d.Set = most.Floor(d.Step)
			d.Share = d.Set.Quo(d.Maximum)
			d.Low, d.High = lines(d, tolerance)
		}
	}
	return d
}

// lines cuts the tolerance inward to the step. The lower line stays at one step or more: zero on a gauge means that
// nobody squeezes. A load of zero has no lines, and a rule refuses it.
func lines(d record.Dose, tolerance unit.Dec) (low, high unit.Dec) {
	if d.Set.Sign() <= 0 {
		return d.Set, d.Set
	}
	width := tolerance.Mul(d.Maximum)
	low, high = d.Set.Sub(width).Ceil(d.Step), d.Set.Add(width).Floor(d.Step)
	if low.Less(d.Step) {
		low = d.Step
	}
	return low, high
}
