package compiler

import (
	"fmt"
	"slices"
	"strconv"

	"isocue.example/compiler/dose"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/session"
	"isocue.example/compiler/unit"
)

// loads works out what each session trains with, by its date: a new measurement changes the loads from its day. Every
// distinct load is judged as it can be set; forty sessions with one coarse load are one mistake. Sessions with the same loads share a kind.
func (b *builder) loads() (fs []finding.Finding, err error) {
	b.kind = map[string]record.Kind{}
	for _, p := range b.protocols {
		var mine []*record.Session
		for i := range b.sessions {
			if b.sessions[i].Protocol == p.Record.ID {
				mine = append(mine, &b.sessions[i])
			}
		}
		doses, err := b.doses(p.Record, mine)
		if err != nil {
			return nil, err
		}
		repeated := b.repeated(p.Record, mine, doses)
		doseKey := doseKeys()
		judged := map[string]bool{}
		keys := map[string]string{} // loads of a stage -> key of the kind
		count := map[int]int{}
		for i, s := range mine {
			stage := b.stage(p.Record, s.Week)
			sig := strconv.Itoa(stage.Index)
			for _, d := range doses[i] {
				one := doseKey(d)
				if !judged[one] {
					judged[one] = true
					fs = append(fs, b.c.Check.Dose(b.in.Client, p, d)...)
				}
			}
			for _, d := range repeated[i] {
				sig += "|" + doseKey(d)
			}
			if finding.Rejected(fs) {
				continue // what is refused is not built
			}
			key, ok := keys[sig]
			if !ok {
				key = session.Key(p.Record.ID, stage.Index)
				if count[stage.Index]++; count[stage.Index] > 1 {
					key += fmt.Sprintf(".%d", count[stage.Index])
				}
				keys[sig] = key
				k, err := session.Build(p.Record, stage, repeated[i], b.in.Client.Record, b.c.Check.Base.Sitting)
				if err != nil {
					return nil, err
				}
				k.NoNumber = k.Modality == record.WallSquat && len(k.Loads) > 0 && k.Loads[0].Measured != 0 || b.highLoad(p.Record, stage)
				b.kind[key] = k
			}
			s.Kind = key
		}
	}
	return finding.Sort(fs), nil
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
func (b *builder) highLoad(p *record.Protocol, stage *record.Stage) bool {
	return p.Modality == record.Inspiratory && !stage.Load.Less(b.c.Check.Base.Sitting.HighLoad)
}

// repeated is the loads with those dated past their measurement held down to what was trained before: a stage that begins then
// would raise a load that must not be raised. Each load is judged as its own stage asks for it.
func (b *builder) repeated(p *record.Protocol, mine []*record.Session, doses [][]record.Dose) [][]record.Dose {
	last := map[record.Hand]record.Dose{}
	for _, s := range b.standing() {
		k := b.in.Previous.Kinds[s.Kind]
		if s.Protocol == p.ID && s.Status != record.Cancelled && !(s.Status == record.Provisional && k.NoNumber) {
			for _, d := range k.Loads {
				last[d.Hand] = d
			}
		}
	}
	out := make([][]record.Dose, len(doses))
	for i, s := range mine {
		out[i] = slices.Clone(doses[i])
		for j := range out[i] {
			d := &out[i][j]
			before, trained := last[d.Hand]
			high := b.highLoad(p, b.stage(p, s.Week))
			limit, ok := b.c.Check.MaxAge(*d, high)
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

// doses is the loads of each session. A hand, trainer or test that is lacking was refused by the rules about
// measurements; meeting one here is a defect.
func (b *builder) doses(p *record.Protocol, mine []*record.Session) ([][]record.Dose, error) {
	c, base := b.in.Client.Record, b.c.Check.Base
	out := make([][]record.Dose, len(mine))
	lacking := func(what any) {
		panic(finding.Bug{What: fmt.Sprintf("no load (%v) for %s, though no rule refused it", what, p.ID)})
	}
	switch p.Modality {
	case record.Handgrip:
		cache := map[unit.Date][]record.Dose{}
		for i, s := range mine {
			day := newestTest(c, s.Start.Date())
			all, ok := cache[day]
			if !ok {
				var missing []dose.Missing
				if all, missing = dose.Grip(p, c, max(day, b.in.Start), base.Sitting); len(missing) > 0 {
					lacking(missing[0])
				}
				cache[day] = all
			}
			for _, d := range all {
				if d.Stage == b.stage(p, s.Week).Index {
					out[i] = append(out[i], d)
				}
			}
		}
	case record.Inspiratory:
		var dates []unit.Date
		for _, s := range mine {
			dates = append(dates, s.Start.Date())
		}
		ds, lack := dose.Inspiratory(p, c, b.stageOn(p), b.trained(p), dates, b.c.Check.WeekStep())
		if lack != "" && len(mine) > 0 {
			lacking(lack)
		}
		for i := range ds {
			out[i] = ds[i : i+1]
		}
	case record.WallSquat:
		for i, s := range mine {
			d, lack := dose.Squat(p, b.stage(p, s.Week), c, s.Start.Date())
			if lack != "" {
				lacking(lack)
			}
			out[i] = []record.Dose{d}
		}
	}
	return out, nil
}

// trained is the inspiratory loads of the sessions that have begun: a re-compile must not let the load jump.
func (b *builder) trained(p *record.Protocol) (out []dose.Trained) {
	for _, s := range b.standing() {
		if s.Protocol == p.ID && s.Status != record.Cancelled {
			for _, d := range b.in.Previous.Kinds[s.Kind].Loads {
				out = append(out, dose.Trained{Date: s.Start.Date(), Set: d.Set})
			}
		}
	}
	return out
}

// newestTest is the day of the newest grip test on or before a day; 0 where there is none.
func newestTest(c *record.Client, day unit.Date) (out unit.Date) {
	for _, t := range c.Grip {
		if t.Date <= day && t.Date > out {
			out = t.Date
		}
	}
	return out
}

// rehearse works out the loads of each stage on one day, for judging a client before dates are set.
func (b *builder) rehearse(p *load.Protocol) []record.Session {
	var out []record.Session
	for _, s := range p.Record.Stages {
		for w := s.FromWeek; w < s.FromWeek+s.Weeks; w++ {
			out = append(out, record.Session{Protocol: p.Record.ID, Week: w, Start: unit.At(b.in.Start+unit.Date(7*(w-1)), 0)})
		}
	}
	return out
}
