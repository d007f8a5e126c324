package check

import (
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Gate is the numbers of the pressure gate, read from the rules.
func (c *Checker) Gate() record.Gate {
	return record.Gate{Systolic: c.Base.Limit("pressure-systolic-severe", "below").Num, Diastolic: c.Base.Limit("pressure-diastolic-severe", "below").Num}
}

// GripAge is for how many days a grip measurement stands, read from the rules.
func (c *Checker) GripAge() int { return c.Base.Limit("grip-measurement-age", "ceiling").Whole() }

// Gaps is the hours from start to start that the rules ask of a modality: always kept, and kept where possible.
func (c *Checker) Gaps(m record.Modality) (floor, preferred int) {
	if m != record.Handgrip {
		return 0, 0
	}
	return c.Base.Limit("grip-gap-floor", "floor").Whole(), c.Base.Limit("grip-gap-preferred", "preferred").Whole()
}

// Dose judges one hand's load in one stage, as it can be set on the gauge.
func (c *Checker) Dose(cl *load.Client, p *record.Protocol, d record.Dose) []finding.Finding {
	g := tree.NewRecord()
	str(g, "protocol", p.ID)
	str(g, "modality", string(p.Modality))
	str(g, "hand", string(d.Hand))
	str(g, "unit", string(d.Unit))
	g.Set("ramp", tree.Truth(p.Stages[d.Stage].Ramp))
	for k, v := range map[string]unit.Dec{"fraction": p.Stages[d.Stage].Load, "share": d.Share, "wanted": d.Wanted, "set": d.Set,
		"step": d.Step, "low": d.Low, "high": d.High} {
		g.Set(k, &tree.Node{Kind: tree.Number, Num: v})
	}
	anchor := cl.Node
	for _, e := range cl.Node.Get("devices", "grip").Items() {
		if e.Get("id").Text() == d.Gauge {
			anchor = e.Get("step")
		}
	}
	return private(c.Judge("dose", rule.Given{Node: g, Anchor: anchor}))
}

// Sessions judges a protocol's sessions as they stand in the calendar.
func (c *Checker) Sessions(p *load.Protocol, all []record.Session, kinds map[string]record.Kind) []finding.Finding {
	var prev *record.Session
	gap := unit.Local(-1)
	var longest unit.Tenths
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
	}
	if prev == nil {
		return nil
	}
	g := tree.NewRecord()
	str(g, "protocol", p.Record.ID)
	str(g, "modality", string(p.Record.Modality))
	if gap >= 0 {
		g.Set("gapHours", &tree.Node{Kind: tree.Number, Num: unit.Ratio(int64(gap), 60)})
	}
	g.Set("perDay", tree.Int(most(day)))
	g.Set("perWeek", tree.Int(most(week)))
	g.Set("workMinutes", &tree.Node{Kind: tree.Number, Num: unit.Ratio(int64(longest), 600)})
	anchor := p.Node.Get("daysPerWeek")
	return c.Judge("session", rule.Given{Node: g, Anchor: anchor})
}

func most[K comparable](m map[K]int) (n int) {
	for _, v := range m {
		n = max(n, v)
	}
	return n
}

// Plan judges the programme as a whole, after placing.
func (c *Checker) Plan(cl *load.Client, all []record.Session, lost []record.Unplaced, kinds map[string]record.Kind) []finding.Finding {
	g := tree.NewRecord()
	g.Set("sessions", tree.Int(len(all)))
	g.Set("unplaced", tree.Int(len(lost)))
	if len(lost) > 0 {
		str(g, "firstUnplaced", lost[0].Reason+"; "+lost[0].Fix)
	}
	work := map[unit.Date]unit.Tenths{}
	var longest unit.Tenths
	for _, s := range all {
		d := s.Start.Date()
		work[d] += kinds[s.Kind].WorkSeconds
		longest = max(longest, work[d])
	}
	g.Set("minutesPerDay", &tree.Node{Kind: tree.Number, Num: unit.Ratio(int64(longest), 600)})
	anchor := cl.Node
	if h := cl.Node.Get("hours"); h != nil {
		anchor = h
	}
	return private(c.Judge("plan", rule.Given{Node: g, Anchor: anchor}))
}
