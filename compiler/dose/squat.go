package dose

import (
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Units of a squat's load.
const (
	Degrees = "deg"
	Effort  = "effort"
)

// Lower is by how much a squat is lighter where no step test has a straighter stage.
type Lower struct{ Degrees, Effort unit.Dec }

// Straight is a straight leg, in degrees.
const Straight = 180

// straighter is the next straighter angle: of the test's stages, else by lower.
func straighter(angle int, t *record.SquatTest, lower Lower) int {
	best := 0
	if t != nil {
		for _, st := range t.Stages {
			if st.KneeDegrees > angle && (best == 0 || st.KneeDegrees < best) {
				best = st.KneeDegrees
			}
		}
	}
	if best == 0 {
		best = angle + int(lower.Degrees.Int64())
	}
	if best >= Straight {
		return angle
	}
	return best
}

// Squat is the load of one stage on a day. By heart rate: the wanted share of the step test's own peak gives a knee angle
// by linear interpolation between the stages of the test, rounded up (straighter, lighter) to a stage; the client gets
// that stage's measured heel distance, never a computed one, and a heart-rate range from halfway to the stage before up
// to the wanted rate. By angle or by effort: as written, with the heel distance of a stage of exactly that angle.
//
// A share below the first stage's rate sets nothing: Set is 0. Without a test there is no load by heart rate; one by angle or by
// effort stands on none.
//
// down asks for a lighter load: one stage straighter than the test's chosen one or the angle written, or, where no test has one, by
// lower; one that has no lighter stage stays.
func Squat(p *record.Protocol, s *record.Stage, c *record.Client, on unit.Date, down bool, lower Lower) (record.Dose, Lack) {
	d := record.Dose{Protocol: p.ID, Stage: s.Index, Modality: p.Modality, Unit: Degrees}
	t := c.NewestSquat(on)
	if t != nil && t.Date > on {
		t = nil
	}
	switch {
	case s.Squat.Effort.Sign() > 0:
		d.Unit, d.Wanted, d.Set = Effort, s.Squat.Effort, s.Squat.Effort
		if less := d.Set.Sub(lower.Effort); down && less.Sign() > 0 {
			d.Wanted, d.Set = less, less
		}
		return d, ""
	case s.Squat.KneeDegrees > 0:
		angle := s.Squat.KneeDegrees
		if down {
			angle = straighter(angle, t, lower)
		}
		d.Set = unit.Int(int64(angle))
		d.Wanted = d.Set
		if t != nil {
			for _, st := range t.Stages {
				if st.KneeDegrees == angle {
					d.Heel = st.HeelCm
				}
			}
		}
		return d, ""
	case t == nil:
		return d, NoTest
	}
	d.Measured = t.Date
	peak := 0
	for _, st := range t.Stages {
		peak = max(peak, st.HeartRate)
	}
	d.Maximum = unit.Int(int64(peak))
	rate := d.Maximum.Mul(s.Squat.HeartRate)
	chosen := -1
	for i, st := range t.Stages {
		if !rate.Less(unit.Int(int64(st.HeartRate))) {
			chosen = i
		}
	}
	if down && chosen > 0 {
		rate = unit.Int(int64(t.Stages[chosen].HeartRate)) // the pulse of the stage that is not reached is the upper line
		chosen--
	}
	if chosen < 0 {
		return d, "" // even the straightest stage was over the wanted rate: nothing can be set, and a rule says so
	}
	a := t.Stages[chosen]
	d.Set, d.Heel = unit.Int(int64(a.KneeDegrees)), a.HeelCm
	d.Wanted = d.Set
	own := unit.Int(int64(a.HeartRate))
	if chosen+1 < len(t.Stages) {
		b := t.Stages[chosen+1]
		part := rate.Sub(own).Quo(unit.Int(int64(b.HeartRate - a.HeartRate)))
		d.Wanted = d.Set.Add(part.Mul(unit.Int(int64(b.KneeDegrees - a.KneeDegrees))))
	}
	d.Share = own.Quo(d.Maximum)
	d.Low, d.High = own, rate.Floor(unit.Int(1))
	if chosen > 0 {
		d.Low = own.Add(unit.Int(int64(t.Stages[chosen-1].HeartRate))).Quo(unit.Int(2)).Ceil(unit.Int(1))
	}
	return d, ""
}
