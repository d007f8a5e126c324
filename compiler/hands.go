package compiler

import (
	"slices"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
)

// oneHanded is the protocol for a client with a hand that must not be trained: squeezes, holds and rests stay as the
// author wrote them, and the other hand does them all. The stages are judged again as they will be trained. A protocol
// that does not concern the barred hand, and a client with both hands barred (whom a rule refuses), change nothing.
func oneHanded(p *load.Protocol, dominant record.Hand, barred map[record.Hand]bool) *load.Protocol {
	if p.Record.Modality != record.Handgrip || len(barred) != 1 {
		return p
	}
	only := record.Right
	if barred[record.Right] {
		only = record.Left
	}
	rec := *p.Record
	out := &load.Protocol{Node: p.Node, Record: &rec, Stages: slices.Clone(p.Stages)}
	rec.Stages = slices.Clone(p.Record.Stages)
	for i := range rec.Stages {
		s := &rec.Stages[i]
		if s.Squeezes(dominant)[only.Other()] == 0 {
			continue
		}
		s.Hands, s.StartHand = record.Hands(only), ""
		n := tree.At(p.Stages[i].Pos)
		for _, k := range p.Stages[i].Keys {
			if k != "startHand" {
				n.Link(k, p.Stages[i].Field[k])
			}
		}
		n.Link("hands", tree.Str(string(only)))
		out.Stages[i] = n
	}
	return out
}
