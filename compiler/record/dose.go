package record

import "isocue.example/compiler/unit"

// Dose is one load in one stage, as it can be set: on a gauge, on a trainer, or by the angle of the knee.
type Dose struct {
	Protocol string    `json:"-"`
	Stage    int       `json:"-"`
	Modality Modality  `json:"-"`
	Measured unit.Date `json:"measured"` // the day of the measurement that it stands on
	Gauge    string    `json:"with,omitempty"`

	// Grip: a hand's load in the gauge's own unit and step. Inspiratory: a trainer's setting in cmH2O. Squat: the knee
	// angle in degrees, where 180 is straight and a smaller angle is harder.
	Hand    Hand     `json:"hand,omitempty"`
	Unit    string   `json:"unit"`    // kgf, lbf, N, cmH2O, deg or effort
	Maximum unit.Dec `json:"maximum"` // the measured maximum; squat: the test's peak heart rate, or 0
	Wanted  unit.Dec `json:"wanted"`  // share x maximum, exact; squat: the angle that the share asks for
	Set     unit.Dec `json:"target"`  // what is set: force and pressure rounded down, an angle rounded up
	Share   unit.Dec `json:"share"`   // what is set, as a share of the maximum
	Step    unit.Dec `json:"step,omitzero"`
	Low     unit.Dec `json:"low,omitzero"`  // squat: heart rate, beats a minute
	High    unit.Dec `json:"high,omitzero"` // squat: heart rate, beats a minute

	Label string   `json:"label,omitempty"` // inspiratory: what stands on the dial
	Next  *Setting `json:"next,omitempty"`  // inspiratory: the setting above the wanted load, for the coach to choose
	Rise  unit.Dec `json:"-"`               // inspiratory: the rise over the week before, as a share; 0 in the first week
	Eased bool     `json:"-"`               // made lighter after a gap: floors do not judge it
	Heel  unit.Dec `json:"heelCm,omitzero"` // squat: from the wall to the heel, as measured in the chosen stage
}

// From names the measurement that a dose stands on: grip:right:2027-01-02, inspiratory:2027-01-08, squat:2027-01-02.
func (d Dose) From() string {
	if d.Hand != "" {
		return "grip:" + string(d.Hand) + ":" + d.Measured.String()
	}
	kind := "inspiratory"
	if d.Modality == WallSquat {
		kind = "squat"
	}
	return kind + ":" + d.Measured.String()
}

// SquatLoad is the way a squat is set; exactly one of the three is not zero.
type SquatLoad struct {
	HeartRate   unit.Dec // share of the peak heart rate of the client's own step test
	KneeDegrees int      // 180 is a straight leg
	Effort      unit.Dec // 0 to 10
}
