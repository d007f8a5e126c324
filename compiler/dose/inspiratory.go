package dose

import (
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// NoTrainer says that the client has no trainer with settings.
const NoTrainer Lack = "trainer"

// Inspiratory is the load of each date, in order: a share of the best trial of the newest static test made on or before
// the date, set on the trainer at or under the share. A setting is at most step (a share, from a rule) over the lightest of
// the seven days before, so that no re-measurement or ramp lets the load jump within a week. stage tells what is
// trained on a day; past is what was trained before the first date. The setting above the wanted load is told for the coach to choose; it is never chosen here.
//
// Nothing is estimated: without a test or a trainer there is no load, and lack says why.
func Inspiratory(p *record.Protocol, c *record.Client, stage func(unit.Date) *record.Stage, past []Trained, dates []unit.Date, step unit.Dec) (out []record.Dose, lack Lack) {
	settings := settings(c)
	if len(settings) == 0 {
		return nil, NoTrainer
	}
	most := unit.Int(1).Add(step)
	for _, d := range dates {
		t := c.NewestInspiratory(d)
		if t == nil || t.Date > d || !t.Static {
			return nil, NoTest
		}
		pr, err := unit.NewPressure(t.Best(), t.Unit)
		if err != nil || t.Best().Sign() <= 0 {
			return nil, NoScore
		}
		s := stage(d)
		before := lately(past, d)
		x := record.Dose{Protocol: p.ID, Stage: s.Index, Modality: p.Modality, Measured: t.Date, Gauge: c.Trainers[0].ID, Unit: string(unit.CentimetreWater),
			Maximum: pr.In(unit.CentimetreWater)}
		x.Wanted = x.Maximum.Mul(s.Load)
		limit := x.Wanted
		if cap := before.Mul(most); before.Sign() > 0 && cap.Less(limit) {
			limit = cap
		}
		for i := range settings {
			if v := settings[i]; !limit.Less(v.CmH2O) {
				x.Set, x.Label = v.CmH2O, v.Label
			} else if x.Next == nil && x.Wanted.Less(v.CmH2O) {
				x.Next = &settings[i]
			}
		}
		x.Share = x.Set.Quo(x.Maximum)
		if before.Sign() > 0 && x.Set.Sign() > 0 {
			x.Rise = x.Set.Quo(before).Sub(unit.Int(1))
		}
		if x.Rise.Sign() < 0 {
			x.Rise = unit.Dec{}
		}
		out, past = append(out, x), append(past, Trained{d, x.Set})
	}
	return out, ""
}

// Trained is a load that was set on a day, in cmH2O.
type Trained struct {
	Date unit.Date
	Set  unit.Dec
}

// lately is the lightest load of the seven days before d, else the last one before; 0 where there is none.
func lately(past []Trained, d unit.Date) (least unit.Dec) {
	for i := len(past) - 1; i >= 0 && (d-past[i].Date < 7 || i == len(past)-1); i-- {
		if v := past[i].Set; least.Sign() == 0 || v.Less(least) {
			least = v
		}
	}
	return least
}

// settings is those of the first trainer that has any, the lightest first.
func settings(c *record.Client) []record.Setting {
	for _, t := range c.Trainers {
		if len(t.Settings) > 0 {
			s := slices.Clone(t.Settings)
			slices.SortStableFunc(s, func(a, b record.Setting) int { return a.CmH2O.Cmp(b.CmH2O) })
			return s
		}
	}
	return nil
}
