package compiler

import (
	"encoding/json"
	"time"

	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// carry puts the protocols into a plan, as their authors wrote them, so that it can be judged again.
func carry(p *record.Plan, protocols []*load.Protocol) {
	p.Protocols = nil
	for _, x := range protocols {
		b, err := json.Marshal(x.Node)
		if err != nil {
			panic(finding.Bug{What: err.Error()})
		}
		p.Protocols = append(p.Protocols, b)
	}
}

// Recall judges a plan that was compiled earlier by the schema, the rules, the policy and the waivers of now: its protocols, the
// loads that were set, its sessions as they stand in the calendar. Client is the record that the plan was made for, nil where
// it is not at hand; only a barred hand is read from it. Until is the last day on which the client trains; it lies before the
// day of now where the course is over, and then nothing is judged. What the client's health asks is not judged here: a
// record does that.
func (c *Compiler) Recall(p *load.Plan, client *load.Client, now time.Time) (fs []finding.Finding, until unit.Date) {
	day := today(p.Record.Zone, now)
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
	barred := map[record.Hand]bool{}
	if client == nil {
		client = &load.Client{Node: tree.NewRecord(), Record: &record.Client{}}
	} else {
		barred = c.Check.Barred(client.Record)
	}
	fs = append(fs, p.Broken...)
	for _, x := range p.Protocols {
		if !used[x.Record.ID] {
			continue
		}
		x = oneHanded(x, client.Record.Dominant, barred)
		mine := c.protocol(x, day)
		for key, k := range p.Record.Kinds {
			if !used[key] || k.Protocol != x.Record.ID || k.Stage < 0 || k.Stage >= len(x.Stages) {
				continue
			}
			for _, d := range k.Loads {
				if d.Maximum.Sign() <= 0 {
					d.Next = nil // a squat by angle or effort; a share of nothing is none
				}
				d.Protocol, d.Stage, d.Modality = k.Protocol, k.Stage, k.Modality
				mine = append(mine, c.Check.Dose(client, x, d)...)
			}
		}
		fs = append(append(fs, mine...), c.Check.Sessions(x, coming, p.Record.Kinds, 0)...)
	}
	fs = append(fs, c.Check.Plan(client, check.PlanFacts{Sessions: coming, Lost: p.Record.Unplaced, Kinds: p.Record.Kinds, Start: p.Record.Start, Today: day + 1})...)
	return finding.Sort(fs), until
}
