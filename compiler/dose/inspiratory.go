package dose

import (
	"fmt"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// NoTrainer says that the client has no trainer with settings.
const NoTrainer Lack = "trainer"

// Asked is one session that a load is wanted for: its day, its week of the course, what it trains, and whether that is a setting
// below the one last trained (Down), or none above it (Steady).
type Asked struct {
	Date         unit.Date
	Week         int
	Stage        *record.Stage
	Down, Steady bool
}

// Trained is a load that was set on a day, in cmH2O. What carried no number is none.
type Trained struct {
	Date unit.Date
	Week int // of the course
	Set  unit.Dec
}

// Inspiratory is the load of each session, in order: a share of the best trial of the newest static test made on or before its
// day, set on a trainer at or under the share. A setting is at most step (a share, from a rule) over what was trained before: over
// the last one, the last one of an earlier week of the course, however long ago, and the lightest of the seven days before, so that
// no re-measurement, ramp or pause lets the load jump. past is what was trained before the first session. The setting above the
// wanted load is told for the coach to choose; it is never chosen here. Of several trainers the one counts that comes nearest.
//
// Nothing is estimated: without a test or a trainer there is no load, and lack says why.
func Inspiratory(p *record.Protocol, c *record.Client, past []Trained, sessions []Asked, step unit.Dec) (out []record.Dose, lack Lack) {
	trainers := trainers(c)
	if len(trainers) == 0 {
		return nil, NoTrainer
	}
	most := unit.Int(1).Add(step)
	var base unit.Dec // trained last before a stretch of lowered settings
	for i, a := range sessions {
		t := c.NewestInspiratory(a.Date)
		if t == nil || t.Date > a.Date || !t.Static {
			return nil, NoTest
		}
		pr, err := unit.NewPressure(t.Best(), t.Unit)
		if err != nil || t.Best().Sign() <= 0 {
			return nil, NoScore
		}
		x := record.Dose{Protocol: p.ID, Stage: a.Stage.Index, Modality: p.Modality, Measured: t.Date, Unit: string(unit.CentimetreWater), Maximum: pr.In(unit.CentimetreWater)}
		x.Wanted = x.Maximum.Mul(a.Stage.Load)
		if len(past) > 0 && (i == 0 || !sessions[i-1].Down) {
			base = past[len(past)-1].Set
		}
		before := lately(past, a)
		limit := x.Wanted
		if top := before.Mul(most); before.Sign() > 0 && top.Less(limit) {
			limit = top
		}
		if a.Steady && before.Sign() > 0 && before.Less(limit) {
			limit = before
		}
		set(&x, trainers, limit, a.Down, base)
		x.Share = x.Set.Quo(x.Maximum)
		if before.Sign() > 0 && before.Less(x.Set) {
			x.Rise = x.Set.Quo(before).Sub(unit.Int(1))
		}
		out = append(out, x)
		if x.Set.Sign() > 0 {
			past = append(past, Trained{a.Date, a.Week, x.Set})
		}
	}
	return out, ""
}

// set finds the highest setting at or under the limit, on the trainer that comes nearest. down asks for one below base, where the
// trainer has any. Where several trainers are in use, the label says which.
func set(x *record.Dose, trainers []record.Trainer, limit unit.Dec, down bool, base unit.Dec) {
	for _, t := range trainers {
		for _, v := range t.Settings {
			fits := !limit.Less(v.CmH2O)
			if down && base.Sign() > 0 && !v.CmH2O.Less(base) && t.Settings[0].CmH2O.Less(base) {
				fits = false
			}
			if fits && (x.Gauge == "" || x.Set.Less(v.CmH2O)) {
				x.Set, x.Label, x.Gauge = v.CmH2O, v.Label, t.ID
				if len(trainers) > 1 {
					x.Label = fmt.Sprintf("%s (%s)", v.Label, t.ID)
				}
			}
			if x.Wanted.Less(v.CmH2O) && (x.Next == nil || v.CmH2O.Less(x.Next.CmH2O)) {
				x.Next = &v
			}
		}
	}
	if x.Gauge == "" {
		x.Gauge = trainers[0].ID
	}
}

// lately is the lightest of what a load is held against: the last one trained, the last one of an earlier week of the course, and
// those of the seven days before; 0 where nothing was trained.
func lately(past []Trained, a Asked) (least unit.Dec) {
	take := func(t Trained) {
		if least.Sign() == 0 || t.Set.Less(least) {
			least = t.Set
		}
	}
	earlier := false
	for i := len(past) - 1; i >= 0; i-- {
		t := past[i]
		first := t.Week < a.Week && !earlier
		earlier = earlier || first
		if first || i == len(past)-1 || a.Date-t.Date < 7 {
			take(t)
		}
	}
	return least
}

// trainers is those that have settings, the lightest setting first.
func trainers(c *record.Client) (out []record.Trainer) {
	for _, t := range c.Trainers {
		if len(t.Settings) > 0 {
			t.Settings = slices.Clone(t.Settings)
			slices.SortStableFunc(t.Settings, func(a, b record.Setting) int { return a.CmH2O.Cmp(b.CmH2O) })
			out = append(out, t)
		}
	}
	return out
}
