package check

import (
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Trained is what a client trained last of one modality: the work of a session, and on how many days of a week, how often a day.
type Trained struct {
	Kind         record.Kind
	Days, PerDay int
}

// Step judges the step from what was trained last to a stage of a protocol that comes after it, by the rules about steps from one
// stage to the next: neither another course nor another revision is a way round them.
func (c *Checker) Step(p *load.Protocol, stage int, last Trained) (out []finding.Finding) {
	g := c.StageGiven(p, stage)
	g.Node.Link("previous", last.given())
	for _, r := range c.rules("stage", g.Node) {
		if !reads(r, "previous") {
			continue
		}
		if f, ok := c.judge(r, g); !ok {
			f.Message = "after what was trained last, " + f.Message
			out = append(out, f)
		}
	}
	name(out, p.Record)
	return out
}

// given is the facts of what was trained, as those of a stage before. They are read from the steps, which are what the client did,
// whatever has become of the protocol since.
func (t Trained) given() *tree.Node {
	g := tree.NewRecord()
	g.Set("daysPerWeek", tree.Int(t.Days))
	g.Set("sessionsPerDay", tree.Int(t.PerDay))
	l := tree.NewRecord()
	for _, d := range t.Kind.Loads {
		if d.Maximum.Sign() > 0 && t.Kind.Modality != record.WallSquat {
			num(l, "fraction", d.Wanted.Quo(d.Maximum))
		}
	}
	switch t.Kind.Modality {
	case record.Walking:
		num(g, "minutesPerSession", unit.Ratio(int64(t.Kind.WorkSeconds), 600))
	case record.Strength:
		sets, repetitions := map[string]int{}, 0
		for _, s := range t.Kind.Steps {
			if s.Kind != record.Exercise {
				continue
			}
			sets[s.Name]++
			repetitions = max(repetitions, s.Count)
			if s.Target != nil {
				num(l, "effort", *s.Target)
			}
		}
		g.Set("sets", tree.Int(most(sets)))
		g.Set("repetitions", tree.Int(repetitions))
		g.Set("exerciseTimes", tree.Int(1)) // one that was listed twice has its sets counted twice
	}
	if len(l.Keys) > 0 {
		g.Link("load", l)
	}
	return g
}
