package check

import (
	"cmp"
	"slices"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Gate is the numbers of the pressure gate for one client: the rules', the pregnancy's own where it applies, and the
// prescriber's where they are stricter.
func (c *Checker) Gate(cl *record.Client, o Occasion) record.Gate {
	g := record.Gate{Systolic: c.Base.Limit("pressure-systolic-severe", "below").Num, Diastolic: c.Base.Limit("pressure-diastolic-severe", "below").Num}
	if c.pregnant(cl) {
		g = record.Gate{Maternity: true, Systolic: c.Base.Limit("pregnancy-systolic", "below").Num, Diastolic: c.Base.Limit("pregnancy-diastolic", "below").Num,
			EmergencySystolic: c.Base.Limit("pregnancy-systolic-emergency", "below").Num, EmergencyDiastolic: c.Base.Limit("pregnancy-diastolic-emergency", "below").Num}
	}
	g.LowSystolic, g.LowClinic = c.Base.Limit("pressure-systolic-low", "floor").Num, c.Base.Limit("log-low-very", "floor").Num
	g.PulseCoach, g.PulseClinic = c.Base.Limit("pulse-usual", "below").Num, c.Base.Limit("pulse-ceiling", "ceiling").Num
	if !g.Maternity && !c.openedForEffort(cl, gatePressure, o) {
		g.EffortSystolic, g.EffortDiastolic = c.Base.Limit("pressure-systolic-clearance", "below").Num, c.Base.Limit("pressure-diastolic-clearance", "below").Num
	}
	if own := unit.Int(int64(cl.LimitSystolic)); own.Sign() > 0 && own.Less(g.Systolic) {
		g.Systolic = own
	}
	if own := unit.Int(int64(cl.LimitDiastolic)); own.Sign() > 0 && own.Less(g.Diastolic) {
		g.Diastolic = own
	}
	// a line for effort at or over the line for everything says nothing
	if !g.EffortSystolic.Less(g.Systolic) {
		g.EffortSystolic = unit.Dec{}
	}
	if !g.EffortDiastolic.Less(g.Diastolic) {
		g.EffortDiastolic = unit.Dec{}
	}
	return g
}

// PulseFloor is the pulse under which training needs a clinician's word, read from the rules; 0 where one has given it for all
// that is trained.
func (c *Checker) PulseFloor(cl *record.Client, o Occasion) unit.Dec {
	if c.openedFor(cl, gatePulse, o, everything) {
		return unit.Dec{}
	}
	return c.Base.Limit("pulse-floor", "floor").Num
}

// GripEnd is how many days after a grip measurement its load may last be repeated, read from the rules.
func (c *Checker) GripEnd() int { return c.Base.Limit("grip-provisional-end", "ceiling").Whole() }

// WeekStep is the share by which an inspiratory load may rise from one week to the next, read from the rules.
func (c *Checker) WeekStep() unit.Dec { return c.Base.Limit("inspiratory-week-step", "ceiling").Num }

// MaxAge is for how many days the measurement of a load stands, read from the rules; ok is false for a load that stands
// on none.
func (c *Checker) MaxAge(d record.Dose, high bool) (days int, ok bool) {
	switch {
	case d.Measured == 0:
		return 0, false
	case d.Modality == record.Inspiratory && high:
		return c.Base.Limit("mip-age-high", "ceiling").Whole(), true
	case d.Modality == record.Inspiratory:
		return c.Base.Limit("mip-age", "ceiling").Whole(), true
	case d.Modality == record.WallSquat:
		return c.Base.Limit("squat-age", "ceiling").Whole(), true
	}
	return c.Base.Limit("grip-measurement-age", "ceiling").Whole(), true
}

// Gaps is the minutes from start to start that the rules ask of a modality: always kept, and kept where possible.
func (c *Checker) Gaps(m record.Modality) (floor, preferred int) {
	minutes := func(rule, limit string) int {
		return int(c.Base.Limit(rule, limit).Num.Mul(unit.Int(60)).Ceil(unit.Int(1)).Int64())
	}
	switch m {
	case record.Handgrip:
		return minutes("grip-gap-floor", "floor"), minutes("grip-gap-preferred", "preferred")
	case record.WallSquat:
		return minutes("squat-gap-floor", "floor"), 0
	case record.Strength:
		return minutes("strength-gap-floor", "floor"), 0
	}
	return 0, 0
}

// PauseLighter is the days without training from which the first week back is lighter, read from the rules.
func (c *Checker) PauseLighter() int { return c.Base.Limit("pause-lighter", "below").WholeUp() }

// PauseMeasure is the days without training from which loads wait for a new measurement, read from the rules.
func (c *Checker) PauseMeasure() int { return c.Base.Limit("pause-measure", "below").WholeUp() }

// Questions are what the history knows of the screening questions: what a yes does, and how long it lasts.
// It depends on whether walks are light.
func (c *Checker) Questions(light bool) (out []history.Question) {
	for _, q := range c.Base.Questions() {
		effects := map[record.Modality]string{}
		for _, m := range record.Modalities {
			if e := q.Effect(m.Strain(light)); rule.Closes(e) {
				effects[m] = e
			}
		}
		if len(effects) > 0 {
			out = append(out, history.Question{ID: q.ID, Effects: effects, WaitDays: q.WaitDays, Lasts: q.Lasts, Ill: q.Ill})
		}
	}
	return out
}

// TellsPrescriber says whether the client takes a medicine that lowers pressure, so that readings go to the prescriber.
func (c *Checker) TellsPrescriber(cl *record.Client) bool {
	return slices.ContainsFunc(cl.Medicines, func(m record.Medicine) bool { return !m.Stopped && c.Base.Medicines[m.Class].LowersPressure })
}

// Resting is the pressure of the window at the start, with its class.
func (c *Checker) Resting(cl *record.Client, start unit.Date) *record.Pressure {
	_, w, ok := c.Pressure(cl, start)
	if !ok {
		return nil
	}
	set := cmp.Or(c.Classes, c.Base.UsualSet)
	p := &record.Pressure{Systolic: w.Systolic, Diastolic: w.Diastolic, Readings: w.Readings, Setting: w.Setting, Set: set}
	if w.Setting != "" {
		p.Class = c.Base.Class(set, w.Setting, w.Systolic, w.Diastolic)
	}
	return p
}

// Dose judges one load of one stage, as it can be set. What a gap made lighter is not refused for being too little: it is meant to do
// less for a week.
func (c *Checker) Dose(cl *load.Client, p *load.Protocol, d record.Dose) []finding.Finding {
	fs := c.dose(cl, p, d)
	if d.Eased && d.Set.Sign() > 0 {
		fs = slices.DeleteFunc(fs, func(f finding.Finding) bool { return f.Verdict == finding.OutOfEvidence })
	}
	return fs
}

func (c *Checker) dose(cl *load.Client, p *load.Protocol, d record.Dose) []finding.Finding {
	g, st := tree.NewRecord(), p.Record.Stages[d.Stage]
	str(g, "protocol", p.Record.ID)
	str(g, "modality", string(p.Record.Modality))
	str(g, "hand", string(d.Hand))
	str(g, "unit", d.Unit)
	g.Set("ramp", tree.Truth(st.Ramp))
	num(g, "share", d.Share)
	num(g, "wanted", d.Wanted)
	num(g, "set", d.Set)
	num(g, "fraction", st.Load)
	anchor, kind := p.Node.Get("load"), ""
	switch p.Record.Modality {
	case record.Handgrip:
		num(g, "step", d.Step)
		num(g, "low", d.Low)
		num(g, "high", d.High)
		kind = "grip"
	case record.Inspiratory:
		num(g, "rise", d.Rise)
		if cycle := st.Breath.Cycle(); cycle > 0 {
			num(g, "cycleSeconds", cycle.Dec())
		}
		if d.Next != nil {
			num(g, "next", d.Next.CmH2O)
			num(g, "nextShare", d.Next.CmH2O.Quo(d.Maximum))
		}
		kind = "inspiratory"
	}
	if kind == "" {
		return c.Judge("dose", rule.Given{Node: g, Anchor: anchor})
	}
	for _, e := range cl.Node.Get("devices", kind).Items() {
		if e.Get("id").Text() == d.Gauge {
			if anchor = e.Get("step"); anchor == nil {
				anchor = e
			}
		}
	}
	return private(c.Judge("dose", rule.Given{Node: g, Anchor: anchor}))
}

// Sessions judges a protocol's sessions as they stand in the calendar. last is the last day on which they may stand, 0 = none.
func (c *Checker) Sessions(p *load.Protocol, all []record.Session, kinds map[string]record.Kind, last unit.Date) []finding.Finding {
	var prev *record.Session
	gap := unit.Local(-1)
	var longest unit.Tenths
	late, early := 0, 0
	day, week := map[unit.Date]int{}, map[int]int{}
	for i := range all {
		s := &all[i]
		if s.Protocol != p.Record.ID {
			continue
		}
		if prev != nil {
			if d := s.Start - prev.Start; gap < 0 || d < gap {
				gap = d
			}
		}
		prev = s
		day[s.Start.Date()]++
		week[s.Week]++
		longest = max(longest, kinds[s.Kind].WorkSeconds)
		if last != 0 && s.Start.Date() > last {
			late++
		}
		for _, d := range kinds[s.Kind].Loads {
			if d.Measured > s.Start.Date() {
				early++
			}
		}
	}
	if prev == nil {
		return nil
	}
	g := tree.NewRecord()
	str(g, "protocol", p.Record.ID)
	str(g, "modality", string(p.Record.Modality))
	if gap >= 0 {
		num(g, "gapHours", unit.Ratio(int64(gap), 60))
	}
	g.Set("perDay", tree.Int(most(day)))
	g.Set("perWeek", tree.Int(most(week)))
	num(g, "workMinutes", unit.Ratio(int64(longest), 600))
	g.Set("behindEnd", tree.Int(late))
	g.Set("beforeMeasurement", tree.Int(early))
	anchor := p.Node.Get("daysPerWeek")
	return c.Judge("session", rule.Given{Node: g, Anchor: anchor})
}

func most[K comparable](m map[K]int) (n int) {
	for _, v := range m {
		n = max(n, v)
	}
	return n
}
