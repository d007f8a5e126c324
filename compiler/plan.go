package compiler

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/zone"
)

// plan puts everything together, with identities and standing.
func (g *programme) plan(t *timetable, b built, waived []finding.Finding, held []record.Hold) *record.Plan {
	base, c := g.c.Check.Base, g.in.Client.Record
	sheet := 1
	if g.in.ended != nil {
		sheet += g.in.ended.Sheet // a client keeps the sheet with the higher number
	}
	p := &record.Plan{
		Version: record.PlanVersion, Client: c.ID, Start: g.in.Start, Now: g.in.Now.UTC().Format(time.RFC3339), Sheet: sheet,
		Holds: held, Pauses: g.in.Pauses, Closed: g.in.Closed, NoReviews: g.in.NoReviews, Gather: g.in.Gather, Remind: g.in.Remind, Zone: c.Zone, TZData: zone.Version(),
		Rules: base.Version, Waivers: []string{}, Measured: []string{}, Gate: g.c.Check.Gate(c, g.on), Cautions: base.Cautions, Kinds: b.kinds,
		Sessions: b.sessions, Unplaced: t.unplaced, Pressure: g.c.Check.Resting(c, g.resting()),
		Emergency: c.Contacts.Emergency, Moves: c.Moves(g.now.Date()), Coach: c.Contacts.Coach, Clinic: c.Contacts.Clinic, Sitting: base.Sitting, Language: base.Language, Discreet: g.in.Discreet,
	}
	for _, f := range waived {
		p.Waivers = append(p.Waivers, fmt.Sprintf("%s %s %s: %s", f.Protocol, f.Rule, f.Path, f.Waiver))
	}
	trained := map[string]bool{}
	for _, s := range g.history.TrainedOf("") {
		trained[s.Protocol], trained[s.Protocol+loadKey(g.in.Previous.Kinds[s.Kind])] = true, true
	}
	first := len(trained) == 0
	keys := map[string]string{} // of the loads of each kind
	for i := range p.Sessions {
		s := &p.Sessions[i]
		s.Sheet = p.Sheet
		s.UID = record.Identity(c.ID, s.Protocol, g.courses[s.Protocol].Origin.String(), strconv.Itoa(s.Week), strconv.Itoa(s.Slot))
		s.Status, s.Gathered = record.Confirmed, g.in.Gather && b.kinds[s.Kind].Modality == record.SlowBreathing
		k := b.kinds[s.Kind]
		for _, d := range k.Loads {
			if limit, ok := g.c.Check.MaxAge(d, k.NoNumber); ok && int(s.Start.Date()-d.Measured) > limit {
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
		s.Supervised = first && i == 0 && c.TaughtIn(k.Modality) == 0 || !trained[s.Protocol] && newGauge(c, k)
		s.First = k.Modality == record.Handgrip && !trained[loads]
		trained[s.Protocol], trained[loads] = true, true
	}
	slices.Sort(p.Measured)
	p.Others = g.others(t, p)
	if len(held) > 0 {
		p.Others = g.stay(p.Others)
	}
	for _, x := range g.trained {
		p.Courses = append(p.Courses, g.courses[x.Record.ID])
	}
	for _, x := range g.in.Protocols { // as their authors wrote them, so that the plan can be judged again
		p.Protocols = append(p.Protocols, json.RawMessage(text(x.Node)))
	}
	for _, x := range g.named { // a held course keeps the day on which it begins, one that is held before its first session too
		if id := x.Record.ID; slices.ContainsFunc(held, func(h record.Hold) bool { return h.Protocol == id }) {
			p.Courses = append(p.Courses, g.courses[id])
			if _, known := g.in.Previous.Course(id); !known {
				p.Protocols = append(p.Protocols, json.RawMessage(text(x.Node)))
			}
		}
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
func newGauge(c *record.Client, k record.Kind) bool {
	for _, d := range k.Loads {
		if d.Modality != record.Handgrip {
			continue
		}
		for i := range c.Grip {
			if t := &c.Grip[i]; t.Hand == d.Hand && t.Date < d.Measured && t.Gauge != d.Gauge && c.TaughtIn(d.Modality) < d.Measured {
				return true
			}
		}
	}
	return false
}
