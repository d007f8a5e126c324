package compiler

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/schedule"
	"isocue.example/compiler/session"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// builder carries one compile from loads to plan.
type builder struct {
	c         *Compiler
	in        Input
	protocols []*load.Protocol // as they are trained: a barred hand left out
	kind      map[string]record.Kind
	weeks     map[string][]int  // by protocol: the course week of each calendar week
	waived    []finding.Finding // accepted by a reviewer
	sessions  []record.Session
	unplaced  []record.Unplaced
}

// place gives the sessions dates and hours. Their kinds are named by stage here; the loads, which depend on the date,
// come after. How long a session is does not depend on its load.
func (b *builder) place() error {
	c, base := b.in.Client.Record, b.c.Check.Base
	loc, err := zone.Load(c.Zone)
	if err != nil {
		return err
	}
	b.weeks = map[string][]int{}
	weeks := 2 // a little longer than the longest
	for _, p := range b.protocols {
		b.weeks[p.Record.ID] = b.courseWeeks(p.Record)
		weeks = max(weeks, len(b.weeks[p.Record.ID])+2)
	}
	in := schedule.Input{Start: b.in.Start, Clean: cleanIn(loc, b.in.Start, weeks), Hours: c.Hours, Away: b.away(),
		Sitting: base.Sitting}
	if prev := b.in.Previous; prev != nil {
		in.Now, in.Held = b.wall(), prev.Sessions
	}
	for _, p := range b.protocols {
		co := schedule.Course{Protocol: p.Record.ID, Modality: p.Record.Modality, Gate: true}
		co.Floor, co.Preferred = b.c.Check.Gaps(p.Record.Modality)
		long := map[int]unit.Tenths{} // by stage: working it out is slower than placing
		for i, w := range b.weeks[p.Record.ID] {
			if w == 0 {
				co.Weeks = append(co.Weeks, schedule.Week{})
				continue
			}
			s := b.stage(p.Record, i+1)
			work, ok := long[s.Index]
			if !ok {
				if work, err = session.Length(p.Record, s, base.Sitting); err != nil {
					return err
				}
				long[s.Index] = work
			}
			co.Weeks = append(co.Weeks, schedule.Week{Kind: session.Key(p.Record.ID, s.Index), Work: work, Days: s.DaysPerWeek, PerDay: s.PerDay})
		}
		co.Last, co.LastWhy, co.LastFix = b.lastDay(p.Record)
		in.Courses = append(in.Courses, co)
	}
	b.sessions, b.unplaced = schedule.Place(in)
	return nil
}

// cleanIn is zone.Clean for some weeks from start on, which looks closely only at days around a clock change.
func cleanIn(loc *time.Location, start unit.Date, weeks int) func(unit.Local) bool {
	t := start.Time().AddDate(0, 0, -2)
	end := t.AddDate(0, 0, 7*weeks)
	near := map[unit.Date]bool{}
	for t.Before(end) {
		next, ok := zone.Next(loc, t)
		if !ok {
			break
		}
		for d := unit.DateOf(next.UTC()) - 2; d <= unit.DateOf(next.UTC())+2; d++ {
			near[d] = true
		}
		t = next
	}
	return func(l unit.Local) bool { return !near[l.Date()] || zone.Clean(loc, l) }
}

// lastDay is the last day on which a protocol may be trained: while its clearances stand, and while a grip measurement
// may still be repeated as the last load.
func (b *builder) lastDay(p *record.Protocol) (last unit.Date, why, fix string) {
	c := b.in.Client.Record
	for _, f := range b.waived {
		until, err := unit.ParseDate(f.WaivedUntil)
		if err == nil && f.Protocol == p.ID && (last == 0 || until < last) {
			last, why, fix = until, fmt.Sprintf("the waiver of %s ends on %s", f.Rule, until), "have a reviewer sign it anew, or change the protocol"
		}
	}
	if day, pause := b.afterPause(p); day != 0 && (last == 0 || day < last) {
		last, why = day, fmt.Sprintf("training pauses from %s to %s; measure first", pause.From, pause.To)
		fix = fmt.Sprintf("measure again after %s and compile again", pause.To)
	}
	if day, gate := b.c.Check.LastDay(c, p.Modality, b.day()); day != 0 && (last == 0 || day < last) {
		last, why, fix = day, fmt.Sprintf("the clearance for %s ends on %s", gate, day), "ask the clinician for a new clearance and compile again"
	}
	if p.Modality == record.Handgrip {
		for _, h := range []record.Hand{record.Right, record.Left} {
			t := c.NewestGrip(h, b.end(p))
			if t == nil || !trained(p, h, c.Dominant) {
				continue
			}
			if end := t.Date + unit.Date(b.c.Check.GripEnd()); last == 0 || end < last {
				last, why, fix = end, fmt.Sprintf("the %s hand was measured on %s; measure first", h, t.Date), "measure again and compile again"
			}
		}
	}
	return last, why, fix
}

// judge holds the built sessions to the rules about session and plan.
func (b *builder) judge() (fs []finding.Finding) {
	all, kinds := b.around()
	for _, p := range b.protocols {
		last, _, _ := b.lastDay(p.Record)
		fs = append(fs, b.c.Check.Sessions(p, all, kinds, last)...)
	}
	f := check.PlanFacts{Sessions: all, Lost: b.unplaced, Kinds: kinds, Start: b.in.Start, Today: today(b.in.Client.Record.Zone, b.in.Now)}
	return append(fs, b.c.Check.Plan(b.in.Client, f)...)
}

// around is the new sessions and, before them, those of the week before that have begun: gaps and counts do not begin anew
// with a re-compile.
func (b *builder) around() ([]record.Session, map[string]record.Kind) {
	kinds := maps.Clone(b.kind)
	var all []record.Session
	for _, s := range b.standing() {
		if s.Status == record.Cancelled || s.Start < b.wall()-7*24*60 {
			continue
		}
		key := "before " + s.Kind
		kinds[key] = b.in.Previous.Kinds[s.Kind]
		s.Kind = key
		all = append(all, s)
	}
	return append(all, b.sessions...), kinds
}

// day is the day to which ages run: the start, or today where a course that has begun is compiled again.
func (b *builder) day() unit.Date {
	if b.in.Previous == nil {
		return b.in.Start
	}
	return max(b.in.Start, today(b.in.Client.Record.Zone, b.in.Now))
}

// plan puts everything together, with identities and standing.
func (b *builder) plan() *record.Plan {
	base, c := b.c.Check.Base, b.in.Client.Record
	p := &record.Plan{
		Version: 1, Client: c.ID, Start: b.in.Start, Now: b.in.Now.UTC().Format(time.RFC3339), Sheet: b.in.sheet + 1,
		Pauses: b.in.Pauses, Closed: b.in.Closed, NoReviews: b.in.NoReviews, Zone: c.Zone, TZData: zone.Version(),
		Rules: base.Version, Waivers: []string{}, Measured: []string{}, Gate: b.c.Check.Gate(c, check.Occasion{Protocols: b.records(), Start: b.in.Start, Today: b.day(), Again: b.in.Previous != nil}), Cautions: base.Cautions, Kinds: b.kind,
		Sessions: b.sessions, Others: []record.Other{}, Unplaced: b.unplaced,
		Emergency: c.Contacts.Emergency, Coach: c.Contacts.Coach, Clinic: c.Contacts.Clinic, Sitting: base.Sitting, Language: base.Language, Discreet: b.in.Discreet,
	}
	p.Pressure = b.c.Check.Resting(c, b.in.Start)
	for _, f := range b.waived {
		p.Waivers = append(p.Waivers, fmt.Sprintf("%s %s %s: %s", f.Protocol, f.Rule, f.Path, f.Waiver))
	}
	trained := map[string]bool{}
	for _, s := range b.standing() {
		if s.Status != record.Cancelled {
			trained[s.Protocol], trained[s.Protocol+loadKey(b.in.Previous.Kinds[s.Kind])] = true, true
		}
	}
	first, origin := len(trained) == 0, b.origin().String()
	keys := map[string]string{} // of the loads of each kind
	for i := range p.Sessions {
		s := &p.Sessions[i]
		s.Sheet = p.Sheet
		s.UID = record.Identity(c.ID, s.Protocol, origin, strconv.Itoa(s.Week), strconv.Itoa(s.Slot))
		s.Status = record.Confirmed
		k := b.kind[s.Kind]
		for _, d := range k.Loads {
			if limit, ok := b.c.Check.MaxAge(d, k.NoNumber); ok && int(s.Start.Date()-d.Measured) > limit {
				s.Status = record.Provisional
			}
		}
		loads, ok := keys[s.Kind]
		if !ok {
			loads = s.Protocol + loadKey(k)
			keys[s.Kind] = loads
			for _, d := range k.Loads {
				if d.Measured != 0 && !slices.Contains(p.Measured, d.From()) {
					p.Measured = append(p.Measured, d.From())
				}
			}
		}
		s.Supervised = first && i == 0 && c.Taught == 0 || !trained[s.Protocol] && b.newGauge(k)
		s.First = k.Modality == record.Handgrip && !trained[loads]
		trained[s.Protocol], trained[loads] = true, true
	}
	slices.Sort(p.Measured)
	b.others(p)
	for i := range p.Others {
		p.Others[i].Sheet = p.Sheet
	}
	return p
}

// loadKey tells kinds with the same measurements apart from kinds with new ones.
func loadKey(k record.Kind) (s string) {
	for _, d := range k.Loads {
		s += "\n" + d.From()
	}
	return s
}

// newGauge says whether a load stands on a gauge or unit that the hand had never been measured with before, and that the
// client was not taught on since: a slip of unit in a weak hand looks like a normal load.
func (b *builder) newGauge(k record.Kind) bool {
	c := b.in.Client.Record
	for _, d := range k.Loads {
		if d.Modality != record.Handgrip {
			continue
		}
		for i := range c.Grip {
			if t := &c.Grip[i]; t.Hand == d.Hand && t.Date < d.Measured && t.Gauge != d.Gauge && c.Taught < d.Measured {
				return true
			}
		}
	}
	return false
}
