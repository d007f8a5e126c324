package compiler

import (
	"fmt"
	"slices"
	"strconv"

	"isocue.example/compiler/dose"
	"isocue.example/compiler/finding"
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
				if one := key(d); !seen[one] {
					seen[one] = true
					l.distinct = append(l.distinct, d)
				}
			}
			alike := strconv.Itoa(t.stage(p.Record, s.Week).Index)
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
func (g *programme) highLoad(p *record.Protocol, stage *record.Stage) bool {
	return p.Modality == record.Inspiratory && !stage.Load.Less(g.c.Check.Base.Sitting.HighLoad)
}

// repeated is the loads with those dated past their measurement held down to what was trained before: a stage that begins then
// would raise a load that must not be raised. Each load is judged as its own stage asks for it.
func (g *programme) repeated(t *timetable, p *record.Protocol, mine []*record.Session, asked [][]record.Dose) [][]record.Dose {
	last := map[record.Hand]record.Dose{}
	for _, s := range g.begun {
		k := g.in.Previous.Kinds[s.Kind]
		if s.Protocol == p.ID && s.Status != record.Cancelled && !(s.Status == record.Provisional && k.NoNumber) {
			for _, d := range k.Loads {
				last[d.Hand] = d
			}
		}
	}
	out := make([][]record.Dose, len(asked))
	for i, s := range mine {
		out[i] = slices.Clone(asked[i])
		for j := range out[i] {
			d := &out[i][j]
			before, trained := last[d.Hand]
			high := g.highLoad(p, t.stage(p, s.Week))
			limit, ok := g.c.Check.MaxAge(*d, high)
			old := ok && int(s.Start.Date()-d.Measured) > limit
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
			day := max(newestOf(c, p.Modality, record.Right, s.Start.Date()), newestOf(c, p.Modality, record.Left, s.Start.Date()))
			all, ok := cache[day]
			if !ok {
				var missing []dose.Missing
				if all, missing = dose.Grip(p, c, max(day, t.start), base.Sitting); len(missing) > 0 {
					lacking(missing[0])
				}
				cache[day] = all
			}
			for _, d := range all {
				if d.Stage == t.stage(p, s.Week).Index {
					out[i] = append(out[i], d)
				}
			}
		}
	case record.Inspiratory:
		var dates []unit.Date
		for _, s := range mine {
			dates = append(dates, s.Start.Date())
		}
		stage := func(d unit.Date) *record.Stage { return t.stage(p, int(d-t.start)/7+1) }
		ds, lack := dose.Inspiratory(p, c, stage, g.breathed(p), dates, g.c.Check.WeekStep())
		if lack != "" && len(mine) > 0 {
			lacking(lack)
		}
		for i := range ds {
			out[i] = ds[i : i+1]
		}
	case record.WallSquat:
		for i, s := range mine {
			d, lack := dose.Squat(p, t.stage(p, s.Week), c, s.Start.Date())
			if lack != "" {
				lacking(lack)
			}
			out[i] = []record.Dose{d}
		}
	}
	return out
}

// breathed is the inspiratory loads of the sessions that have begun: a re-compile must not let the load jump.
func (g *programme) breathed(p *record.Protocol) (out []dose.Trained) {
	for _, s := range g.begun {
		if s.Protocol == p.ID && s.Status != record.Cancelled {
			for _, d := range g.in.Previous.Kinds[s.Kind].Loads {
				out = append(out, dose.Trained{Date: s.Start.Date(), Set: d.Set})
			}
		}
	}
	return out
}
