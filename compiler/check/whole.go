package check

import (
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// PlanFacts is a built plan as it is judged, without what was cancelled.
type PlanFacts struct {
	Sessions     []record.Session // by start
	Lost         []record.Unplaced
	Kinds        map[string]record.Kind
	Start, Today unit.Date
}

// Plan judges the programme as a whole, after placing.
func (c *Checker) Plan(cl *load.Client, f PlanFacts) []finding.Finding {
	all, lost, kinds := f.Sessions, f.Lost, f.Kinds
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
		if kinds[s.Kind].Modality != record.Walking { // the line is drawn from trials of the others
			work[d] += kinds[s.Kind].WorkSeconds
		}
		longest = max(longest, work[d])
	}
	holds, beside, strength := together(all, kinds)
	g.Set("holdProtocolsADay", tree.Int(holds))
	g.Set("holdsBesideLoaded", tree.Int(beside))
	g.Set("holdsBesideStrength", tree.Int(strength))
	num(g, "minutesPerDay", unit.Ratio(int64(longest), 600))
	g.Set("zoneAgeDays", tree.Int(int(f.Start-zone.Released())))
	if ahead, ok := c.baselineDays(cl.Record, f); ok {
		g.Set("baselineDays", tree.Int(ahead))
	}
	if wait, ok := readingWait(all, c.Base.Sitting); ok {
		g.Set("readingWaitMinutes", tree.Int(wait))
	}
	anchor := cl.Node
	if h := cl.Node.Get("hours"); h != nil {
		anchor = h
	}
	return private(c.Judge("plan", rule.Given{Node: g, Anchor: anchor}))
}

// together counts the most holding protocols on one day, and the sittings in which a hold stands beside loaded breathing, and
// beside exercises. A sitting ends with the session that carries its end.
func together(all []record.Session, kinds map[string]record.Kind) (holds, beside, strength int) {
	day := map[unit.Date]map[string]bool{}
	in := map[record.Modality]bool{}
	for _, s := range all {
		m := kinds[s.Kind].Modality
		if m.Hold() {
			d := s.Start.Date()
			if day[d] == nil {
				day[d] = map[string]bool{}
			}
			day[d][s.Protocol] = true
			holds = max(holds, len(day[d]))
		}
		if in[m] = true; !s.End {
			continue
		}
		if in[record.Handgrip] || in[record.WallSquat] {
			if in[record.Inspiratory] {
				beside++
			}
			if in[record.Strength] {
				strength++
			}
		}
		clear(in)
	}
	return holds, beside, strength
}

// baselineDays is how many of the days before the start are left for readings, or have some already; ok is false once the
// course has begun, and where the window itself has too few days: that is told of the window.
func (c *Checker) baselineDays(r *record.Client, f PlanFacts) (n int, ok bool) {
	_, window, known := c.Pressure(r, max(f.Today, f.Start))
	if f.Today > f.Start || known && unit.Int(int64(window.Days)).Less(c.Base.Limit("window-days", "floor").Num) {
		return 0, false
	}
	read := map[unit.Date]bool{}
	for _, x := range r.BloodPressure {
		read[x.At.Date()] = true
	}
	for d := f.Start - unit.Date(c.Base.Course.Baseline); d < f.Start; d++ {
		if d >= f.Today || read[d] {
			n++
		}
	}
	return n, true
}

// readingWait is the fewest minutes from the end of a sitting to the next reading on the same day; ok is false where no
// reading follows a sitting.
func readingWait(all []record.Session, t record.Sitting) (least int, ok bool) {
	var end unit.Local
	for _, s := range all {
		if s.Gate && end != 0 && end.Date() == s.Start.Date() {
			if w := int(s.Start-end) + t.SitSeconds/60; !ok || w < least {
				least, ok = w, true
			}
		}
		if s.End {
			end = s.Until()
		}
	}
	return least, ok
}
