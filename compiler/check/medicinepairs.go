package check

import (
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// MedicineNews is what whoever prescribes, or the coach, hears of a client's medicines; each is "" where there is nothing. On is the day of
// the newest change in it.
type MedicineNews struct {
	PairsToday, PairsWeek string // pairs, by how soon the prescriber hears of them
	Purpose               string // what is taken for something that nobody answered yes to
	Raises                string // what can raise pressure
	Stopped               string // what rebounds, stopped
	On                    unit.Date
}

// Medicines is the news of the medicines that changed after a day, of all before it where that is 0. What a clinician has cleared by its
// class is no news.
func (c *Checker) Medicines(r *record.Client, after, today unit.Date) (out MedicineNews) {
	news := func(m record.Medicine) bool { return m.Changed > after && m.Changed <= today }
	note := func(to *string, says string, on unit.Date) {
		if *to != "" {
			*to += "; "
		}
		*to, out.On = *to+says, max(out.On, on)
	}
	for _, p := range c.Base.Pairs {
		on, newest, ok := unit.Date(0), false, p.Yes == nil || anyYes(r, p.Yes)
		for _, x := range p.Yes {
			if k := condition(r, x); k != nil && k.Since > after && k.Since <= today {
				newest, on = true, max(on, k.Since)
			}
		}
		for _, classes := range p.Taken {
			one := false
			for _, m := range r.Medicines {
				if !m.Stopped && slices.Contains(classes, m.Class) && !c.clearedClass(r, m.Class, today) {
					one, on, newest = true, max(on, m.Changed), newest || news(m)
				}
			}
			ok = ok && one
		}
		if ok && (newest || after == 0) {
			to := &out.PairsWeek
			if p.HowSoon == "today" {
				to = &out.PairsToday
			}
			note(to, p.Says, on)
		}
	}
	for _, m := range r.Medicines {
		class := c.Base.Medicines[m.Class]
		switch {
		case !news(m) && after != 0 || c.clearedClass(r, m.Class, today):
			continue
		case m.Stopped:
			if c.rebounds(m, today) {
				note(&out.Stopped, c.Called(m), m.Changed)
			}
			continue
		case class.RaisesPressure:
			note(&out.Raises, c.Called(m), m.Changed)
		}
		if !c.purposeful(r, m) {
			note(&out.Purpose, c.Called(m), m.Changed)
		}
	}
	return out
}

// purposeful says whether somebody has answered yes to something that a medicine is taken for, or it needs no such answer.
func (c *Checker) purposeful(r *record.Client, m record.Medicine) bool {
	p := c.Base.Medicines[m.Class].Purpose
	return p == nil || anyYes(r, p)
}

// rebounds says whether the rule about stopped medicines finds one that was stopped.
func (c *Checker) rebounds(m record.Medicine, today unit.Date) bool {
	g := tree.NewRecord()
	str(g, "class", m.Class)
	g.Set("effort", tree.Truth(true))
	g.Set("taken", tree.Truth(false))
	g.Set("cleared", tree.Truth(false))
	g.Set("changedDays", tree.Int(int(today-m.Changed)))
	_, silent := c.Base.Rule("medicine-stopped").Judge(rule.Given{Node: g})
	return !silent
}

// clearedClass says whether a clearance for a class of medicine stands for some modality.
func (c *Checker) clearedClass(r *record.Client, class string, day unit.Date) bool {
	return slices.ContainsFunc(record.Modalities, func(m record.Modality) bool { return c.opened(r, class, m, day) != nil })
}

// anyYes says whether one of some questions is a yes.
func anyYes(r *record.Client, ids []string) bool {
	return slices.ContainsFunc(ids, func(id string) bool { return yes(r, id) })
}
