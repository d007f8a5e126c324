package compiler

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// Closing is what in a client's logs closes training in some modalities.
type Closing struct {
	finding.Finding
	Modalities []record.Modality
	Day        bool        // today alone: its sessions are cancelled, and the course goes on tomorrow
	kept       record.Kept // of an alert of a log
}

// checkClient judges the record. What it finds refuses a first plan. A running course goes on: an answer, a medicine, a pause or a
// reading that bars a protocol holds that protocol alone, and the others are judged without it; missing or aged data refuse as
// before, for they are no reason to stop what is trained.
func (r *pass) checkClient() {
	all := r.c.Check.Client(r.in.Client, r.on)
	for _, x := range r.in.Closings {
		if !x.Day || r.in.Previous != nil || r.on.Start <= r.on.Today {
			all = append(all, x.Finding)
		}
	}
	if r.in.Previous == nil || !finding.Rejected(all) {
		r.find(all)
		return
	}
	var held []finding.Finding
	var protocols, trained []*load.Protocol
	for i, p := range r.trained {
		on := r.on
		on.Protocols = []*record.Protocol{p.Record}
		bars := slices.DeleteFunc(r.c.Check.Client(r.in.Client, on), func(f finding.Finding) bool { return !r.holds(f) })
		for _, x := range r.in.Closings {
			switch {
			case !slices.Contains(x.Modalities, p.Record.Modality):
			case x.Day:
				f := x.Finding
				f.Held = p.Record.ID
				held = append(held, f)
			default:
				bars = append(bars, x.Finding)
			}
		}
		if len(bars) == 0 {
			protocols, trained = append(protocols, r.in.Protocols[i]), append(trained, p)
			continue
		}
		for _, f := range bars {
			f.Held = p.Record.ID
			held = append(held, f)
		}
		r.hold(p.Record.ID, bars[0])
	}
	r.in.Protocols, r.trained, r.on.Protocols = protocols, trained, nil
	for _, p := range trained {
		r.on.Protocols = append(r.on.Protocols, p.Record)
	}
	r.find(held)
	if len(trained) > 0 {
		r.find(r.c.Check.Client(r.in.Client, r.on))
	}
}

// holds says whether a finding about the record holds a running course.
func (r *pass) holds(f finding.Finding) bool {
	if f.Verdict != finding.Unsafe {
		return false
	}
	rule := r.c.Check.Base.Rule(f.Rule)
	return r.in.Hold || rule != nil && rule.Holds
}

// hold closes a protocol for now; one that was held already is held since then.
func (r *pass) hold(protocol string, f finding.Finding) {
	h := record.Hold{Protocol: protocol, Since: r.on.Today, Rule: f.Rule, Why: f.Message}
	for _, was := range r.in.Previous.Holds {
		if was.Protocol == protocol {
			h.Since = was.Since
		}
	}
	r.held = append(r.held, h)
}

// heldAlone is the plan before with the sessions to come of some protocols cancelled, and those of days and hands that are closed to
// the client, where what else was asked for is refused: a client who is ill, or away, must not train by the old sheet because a
// measurement of another protocol is missing.
func (c *Compiler) heldAlone(in Input, h *history.History, held []record.Hold) (*record.Plan, []record.Change, error) {
	prev := in.Previous
	is := func(protocol string) bool {
		return slices.ContainsFunc(held, func(h record.Hold) bool { return h.Protocol == protocol })
	}
	begun := func(s record.Session) bool { return history.Begun(prev, s, in.Now) }
	closed := func(s record.Session) bool {
		k := prev.Kinds[s.Kind]
		return !h.Open(k.Modality, s.Start.Date()) || h.Bars(k, s.Start.Date())
	}
	p := *prev
	p.Now, p.Sheet, p.Version = in.Now.UTC().Format(time.RFC3339), prev.Sheet+1, record.PlanVersion
	p.Holds, p.Pauses, p.Closed, p.Sitting = held, in.Pauses, in.Closed, c.Check.Base.Sitting
	p.Inputs, p.Told, p.Files = "", 0, nil
	for _, h := range prev.Holds {
		if !is(h.Protocol) {
			p.Holds = append(p.Holds, h)
		}
	}
	p.Sessions = c.sittings(prev, func(s record.Session) bool { return !is(s.Protocol) && !closed(s) }, begun)
	today := history.Wall(prev.Zone, in.Now).Date()
	p.Others = slices.DeleteFunc(slices.Clone(prev.Others), func(o record.Other) bool {
		return is(o.About) || o.Status == record.Cancelled || o.About != "" && o.Date >= today && !h.Testable(o.Date)
	})
	p.Unplaced = slices.DeleteFunc(slices.Clone(prev.Unplaced), func(u record.Unplaced) bool { return is(u.Protocol) })
	p.Courses, p.Kinds = slices.Clone(prev.Courses), maps.Clone(prev.Kinds)
	changes, err := after(prev, &p, begun, today)
	standsOn(&p, prev, in.Now)
	if err == nil && len(changes) == 0 {
		p.Sheet = prev.Sheet
	}
	return &p, changes, err
}

// Holding says in a sentence what a plan holds.
func Holding(p *record.Plan) (out []string) {
	for _, h := range p.Holds {
		out = append(out, fmt.Sprintf("%s is held since %s: its sessions are cancelled until it is opened again", h.Protocol, h.Since))
	}
	return out
}
