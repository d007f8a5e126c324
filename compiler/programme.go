package compiler

import (
	"cmp"
	"slices"

	"isocue.example/compiler/check"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// programme is who trains what, and from when: what every stage reads and none changes.
type programme struct {
	c       *Compiler
	in      Input
	history *history.History
	past    *history.History         // of the plan whose sessions were trained before this one's, also where its course has ended
	named   []*load.Protocol         // those of the input, what is held of them too
	trained []*load.Protocol         // as this client can train them: a barred hand left out, a walk from the client's level on
	courses map[string]record.Course // by protocol
	now     unit.Local               // as the client's clock shows it
	on      check.Occasion
	weeks   [][]check.Part // of a plan that is judged again: what its sessions train, by week
}

// programme is what a run's input comes to.
func (c *Compiler) programme(in Input) *programme {
	if in.Previous != nil && !in.Move {
		in.Start = in.Previous.Start
	}
	in.Start = in.first()
	in.Client = c.Stands(in.Client, in.Diary, in.Now)
	cl := in.Client.Record
	today := history.Wall(cl.Zone, in.Now).Date()
	light := c.lightWalk(in, today)
	shut := c.entered(in.Diary, cl, today, in.Start, light)
	var closes []history.Entered
	for _, x := range shut {
		closes = append(closes, x.Entered)
	}
	for _, x := range in.Closings {
		if x.Day {
			closes = append(closes, history.Entered{Span: record.Span{From: today, To: today}, Why: history.Wait, Only: x.Modalities, Tests: true})
		}
	}
	var ms []record.Modality
	for _, p := range in.Protocols {
		ms = append(ms, p.Record.Modality)
	}
	in.Closings = slices.Concat(in.Closings, closings(shut, today, ms))
	of := history.Input{Diary: closes, Client: cl, Questions: c.Check.Questions(light), Pauses: in.Pauses, Closed: in.Closed, Plan: in.Previous, Log: in.Sessions, Now: in.Now}
	if in.Diary != nil {
		of.Noted = in.Diary.Live()
	}
	h := history.New(of)
	past := h
	if in.ended != nil {
		of.Plan = in.ended
		past = history.New(of)
	}
	if sound := h.Sound(); sound != cl {
		in.Client, cl = &load.Client{Node: in.Client.Node, Record: sound, Told: true}, sound
	}
	g := &programme{c: c, in: in, history: h, past: past, named: in.Protocols, now: h.Now(), courses: map[string]record.Course{}}
	g.on.Start, g.on.Today, g.on.Again = in.Start, g.now.Date(), in.Previous != nil
	barred := c.Check.Barred(cl, g.day())
	for _, p := range in.Protocols {
		g.courses[p.Record.ID] = in.course(p.Record.ID)
		p = fromLevel(oneHanded(p, cl.Dominant, barred), cl, g.beginning(p.Record.ID))
		g.trained, g.on.Protocols = append(g.trained, p), append(g.on.Protocols, p.Record)
	}
	for _, s := range h.Spans("") {
		if s.From > in.Start && s.To != history.Ahead && int(s.To-s.From)+1 >= c.Check.PauseLighter() {
			g.on.Away = append(g.on.Away, s)
		}
	}
	for _, s := range in.Pauses {
		if s.From <= g.on.Today && (g.on.Pause == nil || s.From > g.on.Pause.From) {
			g.on.Pause = &s
		}
	}
	g.on.Fresh = slices.DeleteFunc(slices.Clone(g.on.Protocols), g.goesOn)
	for _, p := range g.on.Fresh {
		g.on.Passed = max(g.on.Passed, g.passed(p))
	}
	return g
}

// lightWalk says whether the walks of an input are light for its client.
func (c *Compiler) lightWalk(in Input, today unit.Date) bool {
	on := check.Occasion{Start: in.Start, Today: today, Again: in.Previous != nil}
	for _, p := range in.Protocols {
		start := max(in.Start, today)
		if on.Again {
			start = in.course(p.Record.ID).Start
		}
		on.Protocols = append(on.Protocols, fromLevel(p, in.Client.Record, start).Record)
	}
	return c.Check.LightWalk(in.Client.Record, on)
}

// passed is how many stages lie between the one that a protocol was trained in last and the one that comes next.
func (g *programme) passed(p *record.Protocol) int {
	last := -1
	if done := g.history.TrainedOf(p.ID); len(done) > 0 {
		last = g.in.Previous.Kinds[done[len(done)-1].Kind].Stage
	}
	for _, stages := range g.expected(p) {
		if len(stages) > 0 {
			return max(stages[0]-last-1, 0)
		}
	}
	return 0
}

// goesOn says whether a protocol was trained so lately that what comes is the same course. After as many days without a session as
// a pause has that asks for a measurement, everything is asked as before a start; days of a pause that was asked for do not
// count, for such a pause has questions of its own.
func (g *programme) goesOn(p *record.Protocol) bool {
	done := g.history.TrainedOf(p.ID)
	if len(done) == 0 {
		return false
	}
	idle := 0
	for d := done[len(done)-1].Start.Date() + 1; d < max(g.in.Start, g.on.Today) && idle < g.c.Check.PauseMeasure(); d++ {
		if !slices.ContainsFunc(g.in.Pauses, func(s record.Span) bool { return s.Has(d) }) {
			idle++
		}
	}
	return idle < g.c.Check.PauseMeasure()
}

// judged is the protocol that the rules about protocols and stages look at: as it is trained where a hand is left out, as its
// author wrote it where lower stages of a walk fell away, for those must be sound too.
func (g *programme) judged(i int) *load.Protocol {
	if p := g.in.Protocols[i]; p.Record.Modality == record.Walking {
		return p
	}
	return g.trained[i]
}

// day is the first day on which the client may train: the start, or today where that is past.
func (g *programme) day() unit.Date { return max(g.in.Start, g.on.Today) }

// resting is the day whose pressure a plan shows: the start, or today in a first plan whose start is past.
func (g *programme) resting() unit.Date {
	if g.in.Previous == nil {
		return g.day()
	}
	return g.in.Start
}

// beginning is the day on which a protocol's course begins for the client: its start, or today in a first plan whose start is past.
func (g *programme) beginning(protocol string) unit.Date {
	if g.in.Previous == nil {
		return max(g.in.Start, g.now.Date())
	}
	return g.courses[protocol].Start
}

// origin is the start that the identities of all-day entries stand on: that of the first plan, wherever the course was moved since.
func (g *programme) origin() unit.Date {
	if p := g.in.Previous; p != nil {
		return cmp.Or(p.Origin, p.Start)
	}
	return g.in.Start
}

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

// fromLevel is a walking protocol for a client who walks already: the ramp begins at its highest stage that asks for no more
// minutes a week than the client walks at the start, the lower stages fall away, and the main course is longer by their weeks.
// Without a level the ramp begins at its lowest stage.
func fromLevel(p *load.Protocol, c *record.Client, start unit.Date) *load.Protocol {
	level := c.WalkedOn(start)
	if p.Record.Modality != record.Walking || level == nil {
		return p
	}
	return fromStage(p, levelStage(p.Record, level))
}

// levelStage is the highest stage of a walk that asks for no more minutes a week than a level has; the first without one.
func levelStage(p *record.Protocol, level *record.WalkingLevel) (highest int) {
	if level == nil {
		return 0
	}
	for i := range p.Stages {
		if !unit.Int(int64(level.Minutes)).Less(p.Stages[i].WeekMinutes()) {
			highest = i
		}
	}
	return highest
}

// fromStage is a protocol whose course begins at a stage: those before it fall away, and the main course is longer by their weeks.
func fromStage(p *load.Protocol, first int) *load.Protocol {
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
