package compiler

import (
	"cmp"
	"time"

	"isocue.example/compiler/check"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/history"
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
	// Diary is the client's, nil without: who was told of an alert, and what the coach read in words that nobody knew. Felt says that
	// its own words are read as a log's are; whoever judges the entries themselves does not need it.
	Diary *diary.Diary
	Felt  bool
	Now   time.Time
	Weeks int // in each window, 0 for the usual
	// Modalities are those that an alert may close; none for those of the plan, or all without one.
	Modalities []record.Modality
}

// LogSpan is what a log of a client may hold at a moment. What can be a reading is the rule base's to say: a clinic's tighter limit
// would take readings out of the means, and an alert with them.
func (c *Compiler) LogSpan(cl *record.Client, now time.Time) (load.LogSpan, error) {
	loc, err := zone.Load(cl.Zone)
	return load.LogSpan{Comparison: c.compared(), Client: cl.ID, Gate: c.Check.Gate(cl, check.Occasion{}), Sitting: c.Check.Base.Sitting.SameSitting, LeastApart: c.byItself().Check.Base.Limit("pressure-difference-floor", "floor").Whole(),
		Zone: loc, Now: history.Wall(cl.Zone, now)}, err
}

// compared is the figures of a comparison under the clinic's policy.
func (c *Compiler) compared() record.Comparison {
	f := c.Check.Base.Compared()
	f.KeepFirstDay = c.Check.AllDays
	return f
}

// Follow follows one client: windows, change and verdict, and what the rules about a log say must be told.
func (c *Compiler) Follow(in Following) progress.Followed {
	in.Client = c.Stands(in.Client, in.Diary, in.Now)
	start := Input{Client: in.Client, Now: in.Now, Start: history.Wall(in.Client.Record.Zone, in.Now).Date(), Diary: in.Diary}
	if in.Plan != nil {
		start.Pauses, start.Closed = in.Plan.Pauses, in.Plan.Closed
	}
	g := c.programme(start)
	g.on.Protocols = modalitiesOf(in.Plan, in.Modalities)
	r := pass{programme: g, log: in}
	r.through(following)
	return *r.followed
}

// read makes facts of the logs, and of the record's readings.
func (g *programme) read(in Following) *progress.Followed {
	c, cl, base := g.c, in.Client.Record, g.c.Check.Base
	p := progress.Input{Client: cl, Plan: in.Plan, Figures: c.compared(), Sitting: base.Sitting, Gate: c.Check.Gate(cl, g.on), PulseFloor: c.Check.PulseFloor(cl, g.on), Lexicon: base.Lexicon,
		Now: g.now, Open: g.history.Open, Weeks: cmp.Or(in.Weeks, base.Comparison.Weeks), Asked: in.Sessions != nil}
	f := &progress.Followed{Client: cl.ID, Now: in.Now.UTC().Format(time.RFC3339), At: p.Now, Zone: cl.Zone, Rules: base.Version, Plan: in.Plan, Weeks: p.Weeks,
		Gate: p.Gate, PulseFloor: p.PulseFloor, Figures: p.Figures, Contacts: cl.Contacts, Taking: c.Check.TellsPrescriber(cl), Cautions: base.Cautions, Lines: c.lines(p.Gate)}
	for _, b := range cl.BloodPressure {
		p.Readings = append(p.Readings, b.Logged())
	}
	words := understood{lexicon: c.lexicon, read: readNotes(in.Diary, g.on.Today)}
	for _, l := range []*record.Log{in.Log, in.Sessions} {
		if l = words.log(l); l != nil {
			p.Readings, p.Sessions = append(p.Readings, l.Readings...), append(p.Sessions, l.Sessions...)
			f.Logs, f.Rows = append(f.Logs, l), append(f.Rows, l.Problems...)
		}
	}
	p.Readings = append(p.Readings, words.entries(in, g.now)...)
	if in.Diary != nil {
		g.noted(in, &p, f)
	}
	f.Result = progress.Compute(p)
	f.Medicines = g.c.changes(in, g.on.Today, f.Windows)
	set := cmp.Or(c.Check.Classes, base.UsualSet)
	for i := range f.Windows {
		if w := &f.Windows[i]; w.Readings > 0 {
			w.Set, w.Class = set, base.Class(set, "home", w.Systolic, w.Diastolic)
		}
	}
	_, _, f.Next.Newer = g.standing(in)
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
			if k.Modality != "" { // one that could not be trusted says nothing of what is trained, so that all counts
				have[k.Modality] = true
			}
		}
	}
	for _, m := range record.Modalities {
		if len(have) == 0 || have[m] {
			out = append(out, &record.Protocol{ID: string(m), Modality: m})
		}
	}
	return out
}

// standing says of the measurements under the loads of coming sessions for how many days all of them still stand, by the rules,
// and whether the record has one that no such load stands on; ok is false where nothing comes that stands on one. A newer
// measurement in the record counts.
func (g *programme) standing(in Following) (left int, ok, newer bool) {
	if in.Plan == nil {
		return 0, false, false
	}
	for _, s := range in.Plan.Sessions {
		if s.Status == record.Cancelled || s.Start < g.now {
			continue
		}
		k := in.Plan.Kinds[s.Kind]
		for _, d := range k.Loads {
			d.Modality = k.Modality
			measured := history.Measured(in.Client.Record, d.Modality, d.Hand, g.on.Today)
			newer = newer || measured > d.Measured
			if limit, stands := g.c.Check.MaxAge(d, k.NoNumber); stands {
				days := limit - int(g.on.Today-max(d.Measured, measured))
				if !ok || days < left {
					left, ok = days, true
				}
			}
		}
	}
	return left, ok, newer
}
