package compiler

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Recall judges a plan that was compiled earlier by the schema, the rules, the policy and the waivers of now: its protocols, the
// loads that were set, its sessions as they stand in the calendar. Client is the record that the plan was made for, nil where
// it is not at hand; only a barred hand is read from it. Until is the last day on which the client trains; it lies before the
// day of now where the course is over, and then nothing is judged. What the client's health asks is not judged here: a
// record does that. The others are plans of the same client that are trained as well: what they add to the dose is judged with it.
func (c *Compiler) Recall(p *load.Plan, client *load.Client, now time.Time, others ...*load.Plan) (fs []finding.Finding, until unit.Date) {
	day := history.Wall(p.Record.Zone, now).Date()
	var coming []record.Session // what is past or cancelled is trained no more
	used := map[string]bool{}
	for _, s := range p.Record.Sessions {
		if s.Status != record.Cancelled {
			if until = max(until, s.Start.Date()); s.Start.Date() >= day {
				coming = append(coming, s)
				used[s.Kind], used[s.Protocol] = true, true
			}
		}
	}
	if until < day {
		return nil, until
	}
	if client == nil {
		client = &load.Client{Node: tree.NewRecord(), Record: &record.Client{}}
	}
	r := pass{programme: &programme{c: c, in: Input{Client: client}, on: check.Occasion{Today: day}}, times: &timetable{},
		stands: check.PlanFacts{Sessions: coming, Lost: p.Record.Unplaced, Kinds: p.Record.Kinds, Start: p.Record.Start, Today: day + 1}}
	r.find(p.Broken)
	barred := c.Check.Barred(client.Record, day)
	for _, x := range p.Protocols {
		if !used[x.Record.ID] {
			continue
		}
		l := dosed{protocol: oneHanded(x, client.Record.Dominant, barred)}
		for key, k := range p.Record.Kinds {
			if !used[key] || k.Protocol != x.Record.ID || k.Stage < 0 || k.Stage >= len(x.Stages) {
				continue
			}
			for _, d := range k.Loads {
				if d.Maximum.Sign() <= 0 {
					d.Next = nil // a squat by angle or effort; a share of nothing is none
				}
				d.Protocol, d.Stage, d.Modality = k.Protocol, k.Stage, k.Modality
				l.distinct = append(l.distinct, d)
			}
		}
		r.in.Protocols, r.trained, r.loads = append(r.in.Protocols, x), append(r.trained, l.protocol), append(r.loads, l)
	}
	w := weekly{start: p.Record.Start, client: client.Record, barred: barred}
	w.add(p, coming)
	known := map[string]bool{} // an older sheet of the same course adds nothing
	for _, s := range p.Record.Sessions {
		known[s.UID] = true
	}
	for _, o := range others {
		var more []record.Session
		for _, s := range o.Record.Sessions {
			if s.Status != record.Cancelled && s.Start.Date() >= day && !known[s.UID] {
				more = append(more, s)
				known[s.UID] = true
			}
		}
		w.add(o, more)
		r.stands = beside(r.stands, o, more)
	}
	r.weeks = w.weeks
	r.through(recalling)
	return r.Findings, until
}

// weekly gathers what the sessions of plans train, by week from the start of the first.
type weekly struct {
	start  unit.Date
	client *record.Client
	barred map[record.Hand]bool
	weeks  [][]check.Part
}

// add takes the sessions of one plan in. A week that holds two stages of a protocol counts with the later one.
func (w *weekly) add(p *load.Plan, sessions []record.Session) {
	trained := map[string]*load.Protocol{}
	for _, x := range p.Protocols {
		trained[x.Record.ID] = fromLevel(oneHanded(x, w.client.Dominant, w.barred), w.client, p.Record.Start)
	}
	at := map[string]int{} // by week and protocol
	for _, s := range sessions {
		x, stage := trained[s.Protocol], p.Record.Kinds[s.Kind].Stage
		week := max(int(s.Start.Date()-w.start)/7, 0)
		if x == nil || stage < 0 || week >= maxWeeks {
			continue
		}
		for len(w.weeks) <= week {
			w.weeks = append(w.weeks, nil)
		}
		stage = min(stage, len(x.Stages)-1)
		key := fmt.Sprint(week, " ", s.Protocol)
		i, ok := at[key]
		if !ok {
			at[key] = len(w.weeks[week])
			w.weeks[week] = append(w.weeks[week], check.Part{Protocol: x, Stage: stage})
		} else if part := &w.weeks[week][i]; part.Stage < stage {
			part.Stage = stage
		}
	}
}

// beside puts the sessions of another plan among those that are judged for their gaps.
func beside(f check.PlanFacts, o *load.Plan, more []record.Session) check.PlanFacts {
	f.Kinds = maps.Clone(f.Kinds)
	for _, s := range more {
		key := "beside " + s.Kind
		f.Kinds[key] = o.Record.Kinds[s.Kind]
		s.Kind = key
		f.Sessions = append(f.Sessions, s)
	}
	slices.SortStableFunc(f.Sessions, func(a, b record.Session) int { return int(a.Start - b.Start) })
	return f
}
