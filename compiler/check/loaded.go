package check

import (
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// unmeasured is the facts of a measurement that is not there: a finding points at the list, else at the record.
func unmeasured(cl *load.Client, g, list *tree.Node) []rule.Given {
	if list == nil {
		list = cl.Node
	}
	return []rule.Given{{Node: g, Anchor: list}}
}

// inspiratoryGivens is the facts of the newest test of maximal inspiratory pressure, where a protocol loads the breath.
func (c *Checker) inspiratoryGivens(cl *load.Client, o Occasion) []rule.Given {
	loaded, high := false, false
	for _, p := range o.Protocols {
		for _, s := range p.Stages {
			if p.Modality == record.Inspiratory {
				loaded = true
				high = high || !s.Load.Less(c.Base.Sitting.HighLoad)
			}
		}
	}
	if !loaded {
		return nil
	}
	g, r, day := tree.NewRecord(), cl.Record, o.day()
	str(g, "kind", "inspiratory")
	g.Set("highLoad", tree.Truth(high))
	list := cl.Node.Get("measured", "inspiratory")
	t := r.NewestInspiratory(day)
	if t == nil {
		return unmeasured(cl, g, list)
	}
	at := list.Elem[t.Index]
	num(g, "value", t.Best())
	str(g, "unit", string(t.Unit))
	p, err := unit.NewPressure(t.Best(), t.Unit)
	if err == nil {
		cm := p.In(unit.CentimetreWater)
		num(g, "valueCmH2O", cm)
		if years, ok := age(r, day); ok {
			for _, n := range c.Base.Inspiratory {
				if n.Sex != r.Sex || years > n.ToAge || (n.PerKg.Sign() != 0 && r.WeightKg.Sign() == 0) || (n.PerCm.Sign() != 0 && r.HeightCm.Sign() == 0) {
					continue
				}
				key := "overLowerLimit"
				if !n.HasLow {
					key = "overLowerLimit2"
				}
				num(g, key, cm.Sub(n.Low(years, r.WeightKg, r.HeightCm)))
			}
		}
	}
	method := "dynamic"
	if t.Static {
		method = "static"
	}
	str(g, "method", method)
	g.Set("ageDays", tree.Int(int(day-t.Date)))
	g.Set("trials", tree.Int(len(t.Trials)))
	if s, ok := spread(t.Trials); ok {
		num(g, "spread", s)
	}
	return []rule.Given{{Node: g, Anchor: at, Places: map[string]*tree.Node{"value": at.Get("trials"), "trials": at.Get("trials"),
		"unit": at.Get("unit"), "method": at.Get("method"), "ageDays": at.Get("date")}}}
}

// squatGivens is the facts of the newest step test, where a protocol squats.
func (c *Checker) squatGivens(cl *load.Client, o Occasion) []rule.Given {
	squats, byRate := false, false
	for _, p := range o.Protocols {
		for _, s := range p.Stages {
			if p.Modality == record.WallSquat {
				squats = true
				byRate = byRate || s.Squat.HeartRate.Sign() > 0
			}
		}
	}
	if !squats {
		return nil
	}
	g, r, day := tree.NewRecord(), cl.Record, o.day()
	str(g, "kind", "squat")
	g.Set("heartRateLoad", tree.Truth(byRate))
	limiting, changed := false, unit.Date(0)
	list := cl.Node.Get("measured", "squat")
	t := r.NewestSquat(day)
	for _, m := range r.Medicines {
		if c.Base.Medicines[m.Class].RateLimiting && (!m.Stopped || t != nil && t.Date < m.Changed) { // one that was stopped limited the test before
			limiting, changed = true, max(changed, m.Changed)
		}
	}
	g.Set("rateLimiting", tree.Truth(limiting))
	if t == nil {
		return unmeasured(cl, g, list)
	}
	at := list.Elem[t.Index]
	g.Set("stages", tree.Int(len(t.Stages)))
	rising := true
	for i := 1; i < len(t.Stages); i++ {
		rising = rising && t.Stages[i].HeartRate > t.Stages[i-1].HeartRate
	}
	g.Set("rising", tree.Truth(rising))
	str(g, "ended", t.Ended)
	g.Set("ageDays", tree.Int(int(day-t.Date)))
	g.Set("sameMedicine", tree.Truth(changed <= t.Date))
	return []rule.Given{{Node: g, Anchor: at, Places: map[string]*tree.Node{"stages": at.Get("stages"), "rising": at.Get("stages"),
		"ended": at.Get("ended"), "ageDays": at.Get("date"), "sameMedicine": at.Get("date")}}}
}
