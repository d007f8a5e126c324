package check

import (
	"fmt"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// gripGivens is one set of facts for each hand that a handgrip protocol of the occasion trains.
func gripGivens(cl *load.Client, o Occasion) (out []rule.Given) {
	need := map[record.Hand]bool{}
	for _, p := range o.Protocols {
		if p.Modality != record.Handgrip {
			continue
		}
		for i := range p.Stages {
			for h := range p.Stages[i].Squeezes(cl.Record.Dominant) {
				need[h] = true
			}
		}
	}
	for _, h := range []record.Hand{record.Right, record.Left} {
		if need[h] {
			out = append(out, gripGiven(cl, h, o.day()))
		}
	}
	return out
}

// gripGiven is the facts of one hand's newest test. A test dated after the day is used too, so that a start before
// the measurement is found and said, not passed over.
func gripGiven(cl *load.Client, h record.Hand, day unit.Date) rule.Given {
	g := tree.NewRecord()
	str(g, "kind", "grip")
	str(g, "hand", string(h))
	list := cl.Node.Get("measured", "grip")
	anchor := cl.Node
	if list != nil {
		anchor = list
	}
	t := cl.Record.NewestGrip(h, day)
	if t == nil {
		return rule.Given{Node: g, Anchor: anchor, Places: map[string]*tree.Node{}}
	}
	at := list.Elem[t.Index]
	g.Set("value", tree.Num(t.Score()))
	str(g, "unit", string(t.Unit))
	str(g, "gauge", t.Gauge)
	if gauge := cl.Record.Gauge(t.Gauge); gauge != nil {
		str(g, "gaugeUnit", string(gauge.Unit))
		g.Set("sameUnit", tree.Truth(gauge.Unit == t.Unit))
	}
	g.Set("ageDays", tree.Int(int(day-t.Date)))
	return rule.Given{Node: g, Anchor: at, Places: map[string]*tree.Node{"value": at.Get("trials"), "gauge": at.Get("with"),
		"unit": at.Get("unit"), "ageDays": at.Get("date")}}
}

// pressureGivens is the latest sitting's mean and the mean of the window: the readings of the days that end with the latest
// one; schema/sitting.cue says how many. Readings after the day of judgement do not count.
func (c *Checker) pressureGivens(cl *load.Client, o Occasion) (out []rule.Given) {
	list := cl.Node.Get("measured", "bloodPressure")
	var latest unit.Local
	for _, r := range cl.Record.BloodPressure {
		if r.At.Date() <= max(o.day(), o.Today) && r.At > latest {
			latest = r.At
		}
	}
	if latest == 0 {
		return nil
	}
	for _, of := range []string{"latest", "window"} {
		span := unit.Local(c.Base.Sitting.SameSitting)
		if of == "window" {
			span = unit.Local(c.Base.Sitting.WindowDays) * 24 * 60
		}
		n, sys, dia, last := int64(0), unit.Dec{}, unit.Dec{}, 0
		for _, r := range cl.Record.BloodPressure {
			if r.At <= latest && latest-r.At < span {
				n++
				sys, dia = sys.Add(unit.Int(int64(r.Systolic))), dia.Add(unit.Int(int64(r.Diastolic)))
				if r.At == latest {
					last = r.Index
				}
			}
		}
		g := tree.NewRecord()
		str(g, "kind", "pressure")
		str(g, "of", of)
		g.Set("systolic", &tree.Node{Kind: tree.Number, Num: sys.Quo(unit.Int(n))})
		g.Set("diastolic", &tree.Node{Kind: tree.Number, Num: dia.Quo(unit.Int(n))})
		g.Set("ageDays", tree.Int(int(o.day()-latest.Date())))
		at := list.Elem[last]
		out = append(out, rule.Given{Node: g, Anchor: at, Places: map[string]*tree.Node{"systolic": at.Get("systolic"),
			"diastolic": at.Get("diastolic"), "ageDays": at.Get("at")}})
	}
	return out
}

// Measured names a grip measurement in plans and steps: grip:right:2027-01-02.
func Measured(h record.Hand, d unit.Date) string { return fmt.Sprintf("grip:%s:%s", h, d) }
