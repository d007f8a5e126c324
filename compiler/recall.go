package compiler

import (
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
// record does that.
func (c *Compiler) Recall(p *load.Plan, client *load.Client, now time.Time) (fs []finding.Finding, until unit.Date) {
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
	r.through(recalling)
	return r.Findings, until
}
