package history

import (
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Sound is the client with those measurements alone that count: a maximum found on a day that was closed to tests says nothing
// about the one of a client who is well.
func (h *History) Sound() *record.Client {
	c := h.in.Client
	ok := func(d unit.Date) bool { return h.Testable(d) }
	grip := slices.DeleteFunc(slices.Clone(c.Grip), func(t record.GripTest) bool { return !ok(t.Date) })
	breath := slices.DeleteFunc(slices.Clone(c.Inspiratory), func(t record.InspiratoryTest) bool { return !ok(t.Date) })
	squat := slices.DeleteFunc(slices.Clone(c.Squat), func(t record.SquatTest) bool { return !ok(t.Date) })
	if len(grip)+len(breath)+len(squat) == len(c.Grip)+len(c.Inspiratory)+len(c.Squat) {
		return c
	}
	out := *c
	out.Grip, out.Inspiratory, out.Squat = grip, breath, squat
	return &out
}

// Measured is the day of the newest measurement that a load of a modality, and of a hand, stands on, until a day; 0 without one.
func Measured(c *record.Client, m record.Modality, hand record.Hand, until unit.Date) (out unit.Date) {
	switch m {
	case record.Handgrip:
		if t := c.NewestGrip(hand, until); t != nil {
			out = t.Date
		}
	case record.Inspiratory:
		if t := c.NewestInspiratory(until); t != nil && t.Static {
			out = t.Date
		}
	case record.WallSquat:
		if t := c.NewestSquat(until); t != nil {
			out = t.Date
		}
	case record.Walking:
		if l := c.WalkedOn(until); l != nil {
			out = l.Date
		}
	}
	if out > until {
		return 0
	}
	return out
}
