package compiler

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

// newCourse is the input of a course that begins after that of the plan before has ended: it follows nothing, has the
// identities of its own start, and goes on with the number of the sheet. A course that has not ended is moved or gone on with.
func newCourse(in Input) (Input, bool) {
	if in.Previous == nil {
		return in, false
	}
	var last unit.Date
	for _, s := range in.Previous.Sessions {
		last = max(last, s.Start.Date())
	}
	if stop := in.Previous.Stopped; stop != 0 { // what was cancelled behind the stop was never trained
		last = max(stop-1, in.Previous.Start, in.Previous.Origin)
	}
	if last == 0 || in.Start <= last || history.Wall(in.Previous.Zone, in.Now).Date() <= last {
		return in, false
	}
	in.ended, in.Previous = in.Previous, nil
	in.Pauses = slices.DeleteFunc(slices.Clone(in.Pauses), func(s record.Span) bool { return s.To < in.Start })
	return in, true
}

// follow makes p the plan after the plan before: what has begun stands, what did not change keeps its number, what changed is
// counted up, what went away is cancelled. It returns what a person must be told.
func (g *programme) follow(p *record.Plan) ([]record.Change, error) {
	prev := g.in.Previous
	if prev == nil {
		return nil, fresh(p)
	}
	p.Sheet = prev.Sheet + 1
	if o := g.origin(); o != p.Start {
		p.Origin = o
	}
	begun := func(s record.Session) bool {
		held := slices.ContainsFunc(p.Holds, func(h record.Hold) bool { return h.Protocol == s.Protocol })
		return history.Begun(prev, s, g.in.Now) || g.history.HasBegun(s) && !held
	}
	changes, err := after(prev, p, begun, g.on.Today)
	if err != nil {
		return nil, err
	}
	standsOn(p, prev, g.in.Now)
	if !slices.ContainsFunc(changes, func(c record.Change) bool { return c.What != "reworded" }) {
		p.Sheet = prev.Sheet
	}
	if len(changes) == 0 {
		same := *p
		same.Now, same.Inputs, same.Told, same.Files = prev.Now, prev.Inputs, prev.Told, prev.Files
		same.Kept, same.Entered = prev.Kept, prev.Entered // what a plan remembers is no change of it
		if text(plainStamps(&same)) == text(plainStamps(prev)) {
			sitting := p.Sitting
			*p = *prev // nothing at all changed, so the same bytes
			p.Sitting = sitting
		}
	}
	return changes, nil
}

// standsOn lets a plan name each measurement that the loads of its sessions to come stand on, whatever plan they were made for.
func standsOn(p, prev *record.Plan, now time.Time) {
	p.Measured = slices.Clone(p.Measured)
	for _, s := range p.Sessions {
		if s.Status == record.Cancelled || history.Begun(prev, s, now) {
			continue
		}
		for _, d := range p.Kinds[s.Kind].Loads {
			if d.Measured != 0 && !slices.Contains(p.Measured, d.From()) {
				p.Measured = append(p.Measured, d.From())
			}
		}
	}
	slices.Sort(p.Measured)
}

// fresh gives the entries of a first plan the digests of their texts.
func fresh(p *record.Plan) error {
	whole(p.Sessions, func(record.Session) bool { return false })
	now, err := texts(p)
	for i := range p.Sessions {
		p.Sessions[i].Text = now[p.Sessions[i].UID]
	}
	for i := range p.Others {
		p.Others[i].Text = now[p.Others[i].UID]
	}
	return err
}

// texts are digests of the entries of a plan's calendar, as its own options make them.
func texts(p *record.Plan) (map[string]string, error) {
	blank := func(c record.Caution) bool { return strings.TrimSpace(c.Text) == "" }
	if len(p.Cautions) == 0 || slices.ContainsFunc(p.Cautions, blank) {
		return nil, nil // no calendar is written of it, and whoever tries is told
	}
	l, err := say.Of(p)
	if err != nil {
		return nil, err
	}
	return calendar.Texts(p, calendar.Options{Language: l, Discreet: p.Discreet, Remind: p.Remind})
}

func text(v any) string {
	j, err := json.Marshal(v)
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	return string(j)
}

// Stop ends a programme before a day: what would have stood on it or later is cancelled, and nothing is judged, so that
// nothing can keep a stop from being made. An error says that the day lies behind the plan or before now.
func (c *Compiler) Stop(prev *record.Plan, day unit.Date, now time.Time) (*record.Plan, []record.Change, error) {
	at := history.Wall(prev.Zone, now)
	if day < at.Date() {
		return nil, nil, fmt.Errorf("the stop is on %s, which is past, allowed: %s or later", day, at.Date())
	}
	p := *prev
	p.Now, p.Sheet, p.Stopped = now.UTC().Format(time.RFC3339), prev.Sheet+1, day
	p.Sitting, p.Unplaced = c.Check.Base.Sitting, []record.Unplaced{}
	p.Inputs, p.Told, p.Files = "", 0, nil // no run over many clients takes it for the plan that it made
	p.Sessions, p.Others, p.Kinds = nil, nil, map[string]record.Kind{}
	p.Version, p.Holds = record.PlanVersion, nil
	p.Courses = slices.Clone(prev.Courses)
	for i := range p.Courses { // one that never began has ended too
		p.Courses[i].Ended = cmp.Or(p.Courses[i].Ended, day)
	}
	changes, err := after(prev, &p, func(s record.Session) bool { return s.Start < unit.At(day, 0) || history.Begun(prev, s, now) }, day)
	if err != nil {
		return nil, nil, err
	}
	standsOn(&p, prev, now)
	if len(changes) == 0 {
		return nil, nil, fmt.Errorf("nothing stands in the plan on %s or later, allowed: a day on which something does", day)
	}
	return &p, changes, nil
}
