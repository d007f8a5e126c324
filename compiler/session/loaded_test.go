package session

import (
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Steps of loaded breathing and squats sum to the work, and Length says the same without a load. Sources: Zheng 2023,
// table 3 (5 x 6 breaths, one minute; 4 s in, 6 s out), Wiles 2017 (4 x 2 min, 2 min), arithmetic.
func TestLoaded(t *testing.T) {
	times := record.Sitting{Breath: unit.Seconds(4)}
	d := record.Dose{Protocol: "p", Set: unit.Int(40), Unit: "cmH2O", Modality: record.Inspiratory, Measured: 20000}
	sq := record.Dose{Protocol: "p", Set: unit.Int(115), Unit: "deg", Modality: record.WallSquat, Measured: 20000}
	for _, c := range []struct {
		why, source string
		m           record.Modality
		s           record.Stage
		d           record.Dose
		steps       int
		work        string
	}{
		{"5 x 6 breaths at 4 s with 60 s between", "Zheng 2023", record.Inspiratory, record.Stage{Sets: 5, Breaths: 6, RestSeconds: 60}, d, 9, "360"},
		{"6 x 10 paced breaths at 10 s", "Zheng 2023", record.Inspiratory, record.Stage{Sets: 6, Breaths: 10, RestSeconds: 60, Breath: record.Breath{Inhale: 40, Exhale: 60}}, d, 11, "900"},
		{"ten minutes at 7 s a breath leave 5 s", "arithmetic", record.Inspiratory, record.Stage{Minutes: unit.Int(10), Breath: record.Breath{Inhale: 30, Exhale: 40}}, d, 2, "600"},
		{"4 x 2 min squats, 2 min between", "Wiles 2017", record.WallSquat, record.Stage{Rounds: 4, HoldSeconds: 120, RestSeconds: 120}, sq, 7, "840"},
	} {
		if c.source == "" {
			t.Errorf("%s: no source", c.why)
		}
		p := &record.Protocol{ID: "p", Modality: c.m}
		k, err := Build(p, &c.s, []record.Dose{c.d}, &record.Client{}, times)
		if err != nil {
			t.Errorf("%s: %v", c.why, err)
			continue
		}
		n, err := Length(p, &c.s, times)
		if len(k.Steps) != c.steps || k.WorkSeconds.String() != c.work || n != k.WorkSeconds || err != nil {
			t.Errorf("%s: %d steps, %s s, length %s s, %v", c.why, len(k.Steps), k.WorkSeconds, n, err)
		}
		c.d.Set = unit.Dec{}
		if _, err := Build(p, &c.s, []record.Dose{c.d}, &record.Client{}, times); err == nil {
			t.Errorf("%s: a load of nothing was trained", c.why)
		}
		if _, err := Build(p, &c.s, nil, &record.Client{}, times); err == nil {
			t.Errorf("%s: no load was trained", c.why)
		}
	}
}
