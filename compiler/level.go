package compiler

import (
	"slices"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// fromLevel is a walking protocol for a client who walks already: the ramp begins at its highest stage that asks for no more
// minutes a week than the client walks at the start, the lower stages fall away, and the main course is longer by their weeks.
// Without a level the ramp begins at its lowest stage.
func fromLevel(p *load.Protocol, c *record.Client, start unit.Date) *load.Protocol {
	level := c.WalkedOn(start)
	if p.Record.Modality != record.Walking || level == nil {
		return p
	}
	first := 0
	for i := range p.Record.Stages {
		if !unit.Int(int64(level.Minutes)).Less(p.Record.Stages[i].WeekMinutes()) {
			first = i
		}
	}
	if first == 0 {
		return p
	}
	rec := *p.Record
	out := &load.Protocol{Node: p.Node, Record: &rec, Stages: slices.Clone(p.Stages[first:])}
	rec.Stages = slices.Clone(p.Record.Stages[first:])
	week := 1
	for i := range rec.Stages {
		s := &rec.Stages[i]
		if s.Index, s.FromWeek = i, week; !s.Ramp {
			s.Weeks = rec.Weeks - (week - 1)
		}
		week += s.Weeks
	}
	return out
}

// judged is the protocol that the rules about protocols and stages look at: as it is trained where a hand is left out, as its
// author wrote it where lower stages of a walk fell away, for those must be sound too.
func (b *builder) judged(i int) *load.Protocol {
	if p := b.in.Protocols[i]; p.Record.Modality == record.Walking {
		return p
	}
	return b.protocols[i]
}
