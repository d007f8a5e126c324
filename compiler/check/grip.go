package check

import (
	"slices"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// gripGivens is one set of facts for each hand that a handgrip protocol of the occasion trains, barred hands left out.
func (c *Checker) gripGivens(cl *load.Client, o Occasion) (out []rule.Given) {
	need, barred := map[record.Hand]bool{}, c.Barred(cl.Record, o.from())
	for _, p := range o.Protocols {
		if p.Modality != record.Handgrip {
			continue
		}
		for i := range p.Stages {
			for h := range p.Stages[i].Squeezes(cl.Record.Dominant) {
				if barred[h] {
					h = h.Other() // the other hand is trained alone
				}
				need[h] = !barred[h]
			}
		}
	}
	for _, h := range []record.Hand{record.Right, record.Left} {
		if need[h] && !replaced(cl.Record, h, o) {
			out = append(out, c.gripGiven(cl, h, o.day()))
		}
	}
	return out
}

// replaced says whether a hand's measurement was made with a gauge that is no longer at home, and the hand was measured again since: no
// load to come stands on it.
func replaced(r *record.Client, h record.Hand, o Occasion) bool {
	t := r.NewestGrip(h, o.day())
	if t == nil || r.Gauge(t.Gauge) != nil {
		return false
	}
	now := r.NewestGrip(h, o.By)
	return now != nil && t.Date < now.Date && now.Date <= o.By
}

// gripGiven is the facts of one hand's newest test. A test dated after the day is used too, so that a start before
// the measurement is found and said, not passed over.
func (c *Checker) gripGiven(cl *load.Client, h record.Hand, day unit.Date) rule.Given {
	g, r := tree.NewRecord(), cl.Record
	str(g, "kind", "grip")
	str(g, "hand", string(h))
	list := cl.Node.Get("measured", "grip")
	anchor := cl.Node
	if list != nil {
		anchor = list
	}
	t := r.NewestGrip(h, day)
	if t == nil {
		return rule.Given{Node: g, Anchor: anchor}
	}
	at := list.Elem[t.Index]
	num(g, "value", t.Score())
	kgf := inKgf(t)
	num(g, "valueKgf", kgf)
	str(g, "unit", string(t.Unit))
	str(g, "gauge", t.Gauge)
	if gauge := r.Gauge(t.Gauge); gauge != nil {
		str(g, "gaugeUnit", string(gauge.Unit))
		g.Set("sameUnit", tree.Truth(gauge.Unit == t.Unit))
	}
	g.Set("ageDays", tree.Int(int(day-t.Date)))
	g.Set("trials", tree.Int(len(t.Trials)))
	if s, ok := spread(t.Trials); ok {
		num(g, "spread", s)
		num(g, "lowest", slices.MinFunc(t.Trials, unit.Dec.Cmp).Quo(slices.MaxFunc(t.Trials, unit.Dec.Cmp)))
	}
	if years, ok := age(r, day); ok {
		if n, ok := c.Base.GripNorm(r.Sex, years, h); ok {
			num(g, "overNorm", kgf.Sub(n.Mean).Quo(n.SD))
		}
	}
	g.Set("confirmed", tree.Truth(c.confirmed(r, t)))
	if last := previous(r, t, false); last != nil {
		num(g, "ratioLast", ratio(inKgf(last), kgf))
	}
	num(g, "otherLossKgf", unit.Dec{}) // until it is known to have lost as well, the other hand counts as whole
	num(g, "otherLossShare", unit.Dec{})
	if other := r.NewestGrip(h.Other(), day); other != nil {
		if !c.confirmed(r, other) { // a hand that was measured twice is believed, and the other one beside it
			num(g, "ratioOther", ratio(inKgf(other), kgf))
		}
		loss(g, "otherLoss", r, other)
	}
	loss(g, "loss", r, t)
	if last := previous(r, t, true); last != nil {
		num(g, "gainShare", kgf.Sub(inKgf(last)).Quo(inKgf(last)))
		num(g, "changeKgf", inKgf(last).Sub(kgf).Abs())
	}
	return rule.Given{Node: g, Anchor: at, Places: map[string]*tree.Node{"value": at.Get("trials"), "trials": at.Get("trials"),
		"gauge": at.Get("with"), "unit": at.Get("unit"), "ageDays": at.Get("date")}}
}

// confirmed says whether an earlier test of the hand, on another day and the same gauge, agrees within the ratio from
// which a slip of unit is suspected.
func (c *Checker) confirmed(r *record.Client, t *record.GripTest) bool {
	slip := c.Base.Limit("grip-unit-slip-last", "from").Num
	for i := range r.Grip {
		if e := &r.Grip[i]; e.Hand == t.Hand && e.Date < t.Date && e.Gauge == t.Gauge && ratio(inKgf(e), inKgf(t)).Less(slip) {
			return true
		}
	}
	return false
}

// loss is what a hand lost since its last measurement on the same gauge, in kgf and as a share; a gain counts as none.
func loss(g *tree.Node, key string, r *record.Client, t *record.GripTest) {
	last := previous(r, t, true)
	if last == nil {
		return
	}
	was, is := inKgf(last), inKgf(t)
	lost := was.Sub(is)
	if lost.Sign() < 0 {
		lost = unit.Dec{}
	}
	num(g, key+"Kgf", lost)
	num(g, key+"Share", lost.Quo(was))
}

// previous is the hand's last test before t, on the same gauge if asked.
func previous(r *record.Client, t *record.GripTest, sameGauge bool) (out *record.GripTest) {
	for i := range r.Grip {
		e := &r.Grip[i]
		if e.Hand == t.Hand && e.Date < t.Date && (!sameGauge || e.Gauge == t.Gauge) && (out == nil || e.Date >= out.Date) {
			out = e
		}
	}
	return out
}

func inKgf(t *record.GripTest) unit.Dec {
	f, err := unit.NewForce(t.Score(), t.Unit)
	if err != nil {
		return t.Score() // the schema knows the units
	}
	return f.In(unit.KilogramForce)
}

// ratio is the larger over the smaller.
func ratio(a, b unit.Dec) unit.Dec {
	if a.Less(b) {
		a, b = b, a
	}
	if b.Sign() <= 0 {
		return unit.Dec{}
	}
	return a.Quo(b)
}

// spread is how far the second best trial is from the best, as a share of the best.
func spread(trials []unit.Dec) (unit.Dec, bool) {
	var best, second unit.Dec
	for _, x := range trials {
		switch {
		case best.Less(x):
			best, second = x, best
		case second.Less(x):
			second = x
		}
	}
	if len(trials) < 2 || best.Sign() <= 0 {
		return unit.Dec{}, false
	}
	return best.Sub(second).Quo(best), true
}
