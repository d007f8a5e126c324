package compiler

import (
	"cmp"
	"slices"
	"time"

	"isocue.example/compiler/check"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// Following is what a follow-up depends on, and nothing else.
type Following struct {
	Client   *load.Client
	Log      *record.Log  // nil without
	Sessions *record.Log  // nil without
	Plan     *record.Plan // nil without
	Now      time.Time
	Weeks    int // in each window, 0 for the usual
	// Modalities are those that an alert may close; none for those of the plan, or all without one.
	Modalities []record.Modality
}

// LogSpan is what a log of a client may hold at a moment.
func (c *Compiler) LogSpan(cl *record.Client, now time.Time) (load.LogSpan, error) {
	loc, err := zone.Load(cl.Zone)
	return load.LogSpan{Comparison: c.compared(), Client: cl.ID, Gate: c.Check.Gate(cl, check.Occasion{}), Sitting: c.Check.Base.Sitting.SameSitting, LeastApart: c.Check.Base.Limit("pressure-difference-floor", "floor").Whole(),
		Zone: loc, Now: wall(cl.Zone, now)}, err
}

// compared is the figures of a comparison under the clinic's policy.
func (c *Compiler) compared() record.Comparison {
	f := c.Check.Base.Compared()
	f.KeepFirstDay = c.Check.AllDays
	return f
}

// Follow follows one client: windows, change and verdict, and what the rules about a log say must be told.
func (c *Compiler) Follow(in Following) progress.Followed {
	cl, base := in.Client.Record, c.Check.Base
	o := check.Occasion{Protocols: modalitiesOf(in.Plan, in.Modalities), Start: today(cl.Zone, in.Now), Today: today(cl.Zone, in.Now)}
	p := progress.Input{Client: cl, Plan: in.Plan, Figures: c.compared(), Sitting: base.Sitting, Gate: c.Check.Gate(cl, o), Symptoms: base.Symptoms(), Words: base.LogWords(),
		Now: wall(cl.Zone, in.Now), Weeks: cmp.Or(in.Weeks, base.Comparison.Weeks)}
	f := progress.Followed{Client: cl.ID, Now: in.Now.UTC().Format(time.RFC3339), At: p.Now, Zone: cl.Zone, Rules: base.Version, Plan: in.Plan, Weeks: p.Weeks,
		Gate: p.Gate, Figures: p.Figures, Contacts: cl.Contacts, Taking: c.Check.TellsPrescriber(cl), Cautions: base.Cautions, Lines: c.lines(p.Gate)}
	for _, b := range cl.BloodPressure {
		p.Readings = append(p.Readings, record.LogReading{At: b.At, Systolic: b.Systolic, Diastolic: b.Diastolic, Pulse: b.Pulse, Arm: b.Arm, Clinic: b.Setting != "home", FromRecord: true})
	}
	for _, l := range []*record.Log{in.Log, in.Sessions} {
		if l != nil {
			p.Readings, p.Sessions = append(p.Readings, l.Readings...), append(p.Sessions, l.Sessions...)
			f.Logs, f.Rows = append(f.Logs, l), append(f.Rows, l.Problems...)
		}
	}
	p.Asked = in.Sessions != nil
	f.Result = progress.Compute(p)
	set := cmp.Or(c.Check.Classes, base.UsualSet)
	for i := range f.Windows {
		if w := &f.Windows[i]; w.Readings > 0 {
			w.Set, w.Class = set, base.Class(set, "home", w.Systolic, w.Diastolic)
		}
	}
	j := judging{c: c, in: in, f: &f, o: o}
	j.all(p)
	f.Tells = progress.SortTells(j.tells)
	progress.Decide(&f)
	f.Next.Newer = newerMeasurement(in)
	return f
}

// lines are the limits that a chart shows, by name: where home pressure is called hypertension, and the client's own gate.
func (c *Compiler) lines(g record.Gate) []progress.Line {
	limit := func(rule string) unit.Dec { return c.Check.Base.Limit(rule, "below").Num }
	return []progress.Line{
		{Name: "high at home", Systolic: limit("log-still-high-systolic"), Diastolic: limit("log-still-high-diastolic")},
		{Name: "no session", Systolic: g.Systolic, Diastolic: g.Diastolic},
	}
}

// modalitiesOf is one protocol for each modality named; for each of the plan where none is, and for all without a plan.
func modalitiesOf(p *record.Plan, named []record.Modality) (out []*record.Protocol) {
	have := map[record.Modality]bool{}
	for _, m := range named {
		have[m] = true
	}
	if p != nil && len(named) == 0 {
		for _, k := range p.Kinds {
			have[k.Modality] = true
		}
	}
	for _, m := range record.Modalities {
		if len(have) == 0 || have[m] {
			out = append(out, &record.Protocol{ID: string(m), Modality: m})
		}
	}
	return out
}

// standsUntil is the least number of days for which a measurement under a load of a coming session still stands, by the rules;
// ok is false where nothing comes that stands on one. A newer measurement in the record counts.
func (c *Compiler) standsUntil(in Following, now unit.Local) (days int, ok bool) {
	if in.Plan == nil {
		return 0, false
	}
	for _, s := range in.Plan.Sessions {
		if s.Status == record.Cancelled || s.Start < now {
			continue
		}
		k := in.Plan.Kinds[s.Kind]
		for _, d := range k.Loads {
			d.Modality = k.Modality
			limit, stands := c.Check.MaxAge(d, k.NoNumber)
			if !stands {
				continue
			}
			measured := max(d.Measured, newestOf(in.Client.Record, d, now.Date()))
			if left := limit - int(now.Date()-measured); !ok || left < days {
				days, ok = left, true
			}
		}
	}
	return days, ok
}

// newestOf is the day of the newest measurement of the kind that a load stands on, until a day; 0 without one.
func newestOf(cl *record.Client, d record.Dose, day unit.Date) (out unit.Date) {
	switch d.Modality {
	case record.Handgrip:
		for _, t := range cl.Grip {
			if t.Hand == d.Hand && t.Date <= day {
				out = max(out, t.Date)
			}
		}
	case record.Inspiratory:
		for _, t := range cl.Inspiratory {
			if t.Static && t.Date <= day {
				out = max(out, t.Date)
			}
		}
	case record.WallSquat:
		for _, t := range cl.Squat {
			if t.Date <= day {
				out = max(out, t.Date)
			}
		}
	}
	return out
}

// newerMeasurement says whether the record has a measurement that no coming load of the plan stands on.
func newerMeasurement(in Following) bool {
	if in.Plan == nil {
		return false
	}
	now := wall(in.Client.Record.Zone, in.Now)
	return slices.ContainsFunc(in.Plan.Sessions, func(s record.Session) bool {
		k := in.Plan.Kinds[s.Kind]
		return s.Status != record.Cancelled && s.Start >= now && slices.ContainsFunc(k.Loads, func(d record.Dose) bool {
			d.Modality = k.Modality
			return newestOf(in.Client.Record, d, now.Date()) > d.Measured
		})
	})
}
