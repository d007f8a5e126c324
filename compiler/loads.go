package compiler

import (
	"fmt"
	"slices"

	"isocue.example/compiler/dose"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// dosed is what dose gives for one protocol: the loads of each of its sessions, by date, for a new measurement changes them from
// its day.
type dosed struct {
	protocol *load.Protocol
	distinct []record.Dose   // what is judged, as it can be set: forty sessions with one coarse load are one mistake
	sessions []int           // of the timetable
	held     [][]record.Dose // what each of them trains with
	alike    []string        // the same for sessions of one stage that train with the same
}

// dose works out the loads.
func (g *programme) dose(t *timetable) (out []dosed) {
	for _, p := range g.trained {
		l := dosed{protocol: p}
		var mine []*record.Session
		for i := range t.sessions {
			if s := &t.sessions[i]; s.Protocol == p.Record.ID {
				l.sessions, mine = append(l.sessions, i), append(mine, s)
			}
		}
		asked := g.asked(t, p.Record, mine)
		l.held = g.repeated(t, p.Record, mine, asked)
		key, seen := doseKeys(), map[string]bool{}
		for i, s := range mine {
			for _, d := range asked[i] {
				d.Eased = t.works[s.Kind].Eased
				if one := key(d); !seen[one] {
					seen[one] = true
					l.distinct = append(l.distinct, d)
				}
			}
			alike := t.works[s.Kind].Key()
			for _, d := range l.held[i] {
				alike += "|" + key(d)
			}
			l.alike = append(l.alike, alike)
		}
		out = append(out, l)
	}
	return out
}

// doseKeys tells doses that train the same from others. Most sessions share theirs, so that a key is written once for each.
func doseKeys() func(record.Dose) string {
	known := map[record.Dose]string{}
	return func(d record.Dose) string {
		key, ok := known[d]
		if !ok {
			key = fmt.Sprintf("%d %s %s %s %s", d.Stage, d.From(), d.Hand, d.Set, d.Rise)
			known[d] = key
		}
		return key
	}
}

// highLoad says whether a stage breathes against so much that it has no number past its measurement.
func (c *Compiler) highLoad(p *record.Protocol, stage *record.Stage) bool {
	return p.Modality == record.Inspiratory && !stage.Load.Less(c.Check.Base.Sitting.HighLoad)
}

// repeated is the loads with those dated past their measurement held down to what was trained before: a stage that begins then
// would raise a load that must not be raised. Each load is judged as its own stage asks for it.
func (g *programme) repeated(t *timetable, p *record.Protocol, mine []*record.Session, asked [][]record.Dose) [][]record.Dose {
	last := map[record.Hand]record.Dose{}
	for _, d := range g.history.Loads(p.ID) {
		last[d.Hand] = d.Dose
	}
	out := make([][]record.Dose, len(asked))
	for i, s := range mine {
		out[i] = slices.Clone(asked[i])
		for j := range out[i] {
			d := &out[i][j]
			before, trained := last[d.Hand]
			high := g.c.highLoad(p, t.stage(*s))
			limit, ok := g.c.Check.MaxAge(*d, high)
			old := ok && int(s.Start.Date()-d.Measured) > limit
			if trained && g.steady(s.Start.Date()) {
				*d = dose.AtMost(*d, before, g.c.Check.Base.Sitting.LoadTolerance)
			}
			if old && (high || p.Modality == record.WallSquat) {
				continue // it carries no number and is not trained
			}
			if old && trained && before.Unit == d.Unit && before.Gauge == d.Gauge && before.Set.Less(d.Set) {
				before.Protocol, before.Stage, before.Modality, before.Rise = d.Protocol, d.Stage, d.Modality, unit.Dec{}
				*d = before
			}
			last[d.Hand] = *d
		}
	}
	return out
}

// asked is the loads that each session's stage asks for. A hand, trainer or test that is lacking was refused by the rules about
// measurements; meeting one here is a defect.
func (g *programme) asked(t *timetable, p *record.Protocol, mine []*record.Session) [][]record.Dose {
	c, base := g.in.Client.Record, g.c.Check.Base
	out := make([][]record.Dose, len(mine))
	lacking := func(what any) {
		panic(finding.Bug{What: fmt.Sprintf("no load (%v) for %s, though no rule refused it", what, p.ID)})
	}
	switch p.Modality {
	case record.Handgrip:
		cache := map[unit.Date][]record.Dose{}
		for i, s := range mine {
			day := max(history.Measured(c, p.Modality, record.Right, s.Start.Date()), history.Measured(c, p.Modality, record.Left, s.Start.Date()))
			all, ok := cache[day]
			if !ok {
				var missing []dose.Missing
				if all, missing = dose.Grip(p, c, max(day, g.courses[p.ID].Start), base.Sitting); len(missing) > 0 {
					lacking(missing[0])
				}
				cache[day] = all
			}
			for _, d := range all {
				if d.Stage == t.stage(*s).Index {
					out[i] = append(out[i], d)
				}
			}
		}
	case record.Inspiratory:
		var sessions []dose.Asked
		for _, s := range mine {
			w := t.works[s.Kind]
			sessions = append(sessions, dose.Asked{Date: s.Start.Date(), Week: g.week(p, s.Start.Date()), Stage: w.Stage, Down: w.Down > 0, Steady: g.steady(s.Start.Date())})
		}
		ds, lack := dose.Inspiratory(p, c, g.breathed(p), sessions, g.c.Check.WeekStep())
		if lack != "" && len(mine) > 0 {
			lacking(lack)
		}
		for i := range ds {
			out[i] = ds[i : i+1]
		}
	case record.WallSquat:
		for i, s := range mine {
			w := t.works[s.Kind]
			d, lack := dose.Squat(p, w.Stage, c, s.Start.Date(), w.Down > 0, dose.Lower(base.SquatLower))
			if lack != "" {
				lacking(lack)
			}
			out[i] = []record.Dose{d}
		}
	}
	return out
}

// week is the week of a protocol's course in which a day lies; days before the course lie in no later one than its first.
func (g *programme) week(p *record.Protocol, d unit.Date) int {
	if start := g.courses[p.ID].Start; d >= start {
		return int(d-start)/7 + 1
	}
	return 0
}

// breathed is the inspiratory loads that were trained: a re-compile must not let the load jump.
func (g *programme) breathed(p *record.Protocol) (out []dose.Trained) {
	for _, d := range g.history.Loads(p.ID) {
		out = append(out, dose.Trained{Date: d.Date, Week: g.week(p, d.Date), Set: d.Set})
	}
	return out
}
