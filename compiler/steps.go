package compiler

import (
	"bytes"
	"encoding/json"
	"slices"

	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// checkSteps holds the step from what was trained last of a modality to the first session to come, where that is of another protocol,
// of another revision, or of a course that begins anew. Within one protocol its own stages are held, and a gap has its table.
func (g *programme) checkSteps(t *timetable) (fs []finding.Finding) {
	plan, _ := g.before()
	if plan == nil {
		return nil
	}
	for i, p := range g.trained {
		if g.in.Previous != nil && unchanged(plan, g.in.Protocols[i]) && g.goesOn(p.Record) {
			continue
		}
		last, ok := g.past.Newest(p.Record.Modality)
		if !ok {
			continue
		}
		for _, s := range t.sessions {
			if s.Protocol != p.Record.ID || s.Start < g.now {
				continue
			}
			fs = append(fs, g.c.Waivers.apply(g.c.Check.Step(p, t.stage(s).Index, check.Trained(last)), p.Record.ID, g.on.Today)...)
			break
		}
	}
	return fs
}

// unchanged says whether a plan was compiled from a protocol as it is now.
func unchanged(plan *record.Plan, p *load.Protocol) bool {
	now := compact(json.RawMessage(text(p.Node)))
	return slices.ContainsFunc(plan.Protocols, func(src json.RawMessage) bool { return compact(src) == now })
}

// compact is JSON without its layout, which a plan that was read keeps.
func compact(src json.RawMessage) string {
	var b bytes.Buffer
	if json.Compact(&b, src) != nil {
		return string(src)
	}
	return b.String()
}
