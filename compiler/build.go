package compiler

import (
	"fmt"
	"slices"
	"time"

	"isocue.example/compiler/check"
	"isocue.example/compiler/dose"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/schedule"
	"isocue.example/compiler/session"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// builder carries one compile from loads to plan.
type builder struct {
	c        *Compiler
	in       Input
	dose     [][]record.Dose // by protocol
	kind     map[string]record.Kind
	sessions []record.Session
	unplaced []record.Unplaced
}

// doses works out the loads and has each judged as it can be set.
func (b *builder) doses() (fs []finding.Finding, err error) {
	for _, p := range b.in.Protocols {
		var ds []record.Dose
		if p.Record.Modality == record.Handgrip {
			// A hand without a test or gauge was refused by the rules about measurements.
			var lacking []dose.Missing
			ds, lacking = dose.Grip(p.Record, b.in.Client.Record, b.in.Start, b.c.Check.Base.Sitting)
			if len(lacking) > 0 {
				panic(finding.Bug{What: fmt.Sprintf("no load for %v of %s, though no rule refused it", lacking[0], p.Record.ID)})
			}
		}
		b.dose = append(b.dose, ds)
		for _, d := range ds {
			fs = append(fs, b.c.Check.Dose(b.in.Client, p.Record, d)...)
		}
	}
	return fs, nil
}

// kinds builds the step list of every stage.
func (b *builder) kinds() ([]finding.Finding, error) {
	b.kind = map[string]record.Kind{}
	for i, p := range b.in.Protocols {
		for j := range p.Record.Stages {
			s := &p.Record.Stages[j]
			k, err := session.Build(p.Record, s, b.dose[i], b.in.Client.Record, b.c.Check.Base.Sitting)
			if err != nil {
				return nil, err
			}
			if err := session.Verify(k); err != nil {
				panic(finding.Bug{What: err.Error()})
			}
			b.kind[session.Key(p.Record.ID, s.Index)] = k
		}
	}
	return nil, nil
}

// place gives the sessions dates and hours and judges the built plan.
func (b *builder) place() ([]finding.Finding, error) {
	c := b.in.Client.Record
	loc, err := zone.Load(c.Zone)
	if err != nil {
		return nil, err
	}
	in := schedule.Input{Start: b.in.Start, Clean: func(l unit.Local) bool { return zone.Clean(loc, l) }, Hours: c.Hours, Away: c.Away,
		Sitting: b.c.Check.Base.Sitting}
	for _, p := range b.in.Protocols {
		co := schedule.Course{Protocol: p.Record.ID, Modality: p.Record.Modality, Gate: true}
		co.Floor, co.Preferred = b.c.Check.Gaps(p.Record.Modality)
		for w := 1; w <= p.Record.Weeks; w++ {
			s := p.Record.StageAt(w)
			key := session.Key(p.Record.ID, s.Index)
			co.Weeks = append(co.Weeks, schedule.Week{Kind: key, Work: b.kind[key].WorkSeconds, Days: s.DaysPerWeek, PerDay: s.PerDay})
		}
		in.Courses = append(in.Courses, co)
	}
	b.sessions, b.unplaced = schedule.Place(in)
	var fs []finding.Finding
	for _, p := range b.in.Protocols {
		fs = append(fs, b.c.Check.Sessions(p, b.sessions, b.kind)...)
	}
	return append(fs, b.c.Check.Plan(b.in.Client, b.sessions, b.unplaced, b.kind)...), nil
}

// plan puts everything together, with identities and standing.
func (b *builder) plan() *record.Plan {
	base, c := b.c.Check.Base, b.in.Client.Record
	p := &record.Plan{
		Version: 1, Client: c.ID, Start: b.in.Start, Now: b.in.Now.UTC().Format(time.RFC3339), Zone: c.Zone, TZData: zone.Version(),
		Rules: base.Version, Waivers: []string{}, Measured: []string{}, Gate: b.c.Check.Gate(), Cautions: base.Cautions, Kinds: b.kind,
		Sessions: b.sessions, Others: []record.Other{}, Unplaced: b.unplaced,
		Emergency: c.Contacts.Emergency, Coach: c.Contacts.Coach, Sitting: base.Sitting,
	}
	for _, ds := range b.dose {
		for _, d := range ds {
			if m := check.Measured(d.Hand, d.Measured); !slices.Contains(p.Measured, m) {
				p.Measured = append(p.Measured, m)
			}
		}
	}
	for i := range p.Sessions {
		s := &p.Sessions[i]
		s.UID = identity(c.ID, s.Protocol, b.in.Start.String(), fmt.Sprint(s.Week), fmt.Sprint(s.Slot))
		s.Status = record.Confirmed
		for _, d := range b.kind[s.Kind].Loads {
			if int(s.Start.Date()-d.Measured) > b.c.Check.GripAge() {
				s.Status = record.Provisional
			}
		}
	}
	for _, pr := range b.in.Protocols {
		b.measuringDay(p, pr.Record.ID)
	}
	return p
}

// measuringDay puts a day to measure again before the first provisional session of a protocol: the day of the last
// firm session, while the measurement still holds.
func (b *builder) measuringDay(p *record.Plan, protocol string) {
	last := b.in.Start
	for _, s := range p.Sessions {
		if s.Protocol != protocol {
			continue
		}
		if s.Status == record.Provisional {
			p.Others = append(p.Others, record.Other{UID: identity(p.Client, protocol, p.Start.String(), string(record.Measure), last.String()),
				Status: record.Confirmed, What: record.Measure, Date: last, About: protocol})
			return
		}
		last = s.Start.Date()
	}
}
