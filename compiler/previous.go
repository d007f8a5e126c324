package compiler

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// origin is the start that identities stand on: that of the first plan, wherever the course was moved since.
func (b *builder) origin() unit.Date {
	if p := b.in.Previous; p != nil {
		return cmp.Or(p.Origin, p.Start)
	}
	return b.in.Start
}

// wall is now as the client's clock shows it.
func (b *builder) wall() unit.Local {
	return wall(b.in.Client.Record.Zone, b.in.Now)
}

func wall(name string, now time.Time) unit.Local {
	loc, err := zone.Load(name)
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	t := now.In(loc)
	return unit.At(unit.DateOf(t), unit.Clock(t.Hour()*60+t.Minute()))
}

// standing is the sessions of the plan before that have begun: they stand as they are.
func (b *builder) standing() (out []record.Session) {
	if b.in.Previous == nil {
		return nil
	}
	now := b.wall()
	for _, s := range b.in.Previous.Sessions {
		if s.Start < now {
			out = append(out, s)
		}
	}
	return out
}

// adopt gives kinds that the plan before has already its names for them, and others names that are free, so that a session
// that stands keeps its kind.
func (b *builder) adopt() {
	prev := b.in.Previous
	if prev == nil {
		return
	}
	rename, taken := map[string]string{}, map[string]bool{}
	for k := range prev.Kinds {
		taken[k] = true
	}
	keys := sorted(b.kind)
	for _, key := range keys {
		text := kindText(b.kind[key])
		for _, old := range sorted(prev.Kinds) {
			if prev.Kinds[old].Protocol == b.kind[key].Protocol && kindText(prev.Kinds[old]) == text {
				rename[key] = old
				break
			}
		}
	}
	for _, key := range keys {
		if _, ok := rename[key]; ok {
			continue
		}
		base, name := strings.SplitN(key, ".", 2)[0], key
		for n := 2; taken[name]; n++ {
			name = fmt.Sprintf("%s.%d", base, n)
		}
		rename[key], taken[name] = name, true
	}
	kinds := map[string]record.Kind{}
	for key, k := range b.kind {
		kinds[rename[key]] = k
	}
	for i := range b.sessions {
		b.sessions[i].Kind = rename[b.sessions[i].Kind]
	}
	b.kind = kinds
}

func sorted[V any](m map[string]V) (out []string) {
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

func kindText(k record.Kind) string { return text(k) }

func text(v any) string {
	j, err := json.Marshal(v)
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	return string(j)
}

// follow makes p the plan after the plan before: what has begun stands, what did not change keeps its number, what changed is
// counted up, what went away is cancelled. It returns what a person must be told.
func (b *builder) follow(p *record.Plan) []record.Change {
	prev := b.in.Previous
	p.Sheet = prev.Sheet + 1
	if o := b.origin(); o != p.Start {
		p.Origin = o
	}
	f := follower{prev: prev, next: p, now: b.wall(), was: map[string]*record.Session{}, texts: map[*record.Plan]map[string]string{}}
	f.sessions()
	f.entries(today(p.Zone, b.in.Now))
	f.kinds()
	if len(f.changes) == 0 {
		p.Sheet = prev.Sheet
		same := *p
		same.Now = prev.Now
		if text(plainStamps(&same)) == text(plainStamps(prev)) {
			sitting := p.Sitting
			*p = *prev // nothing at all changed, so the same bytes
			p.Sitting = sitting
		}
	}
	return f.changes
}

// plainStamps is a plan in which an entry that was modified with its plan does not say so.
func plainStamps(p *record.Plan) *record.Plan {
	out := *p
	out.Sessions, out.Others = slices.Clone(p.Sessions), slices.Clone(p.Others)
	for i := range out.Sessions {
		if s := &out.Sessions[i]; s.Modified == p.Now {
			s.Modified = ""
		}
	}
	for i := range out.Others {
		if o := &out.Others[i]; o.Modified == p.Now {
			o.Modified = ""
		}
	}
	return &out
}

// follower compares two plans of a course.
type follower struct {
	prev, next *record.Plan
	now        unit.Local
	was        map[string]*record.Session // of the plan before, by uid
	texts      map[*record.Plan]map[string]string
	changes    []record.Change
}

// says is everything that a session's calendar entry says, and nothing else.
func (f *follower) says(p *record.Plan, s record.Session) string {
	if f.texts[p] == nil {
		f.texts[p] = map[string]string{"": text(p.Gate) + text(p.Cautions) + p.Emergency + "\n" + p.Coach + p.Zone}
	}
	k, ok := f.texts[p][s.Kind]
	if !ok {
		k = text(p.Kinds[s.Kind])
		f.texts[p][s.Kind] = k
	}
	s.Sequence, s.Sheet, s.Modified, s.Kind, s.Moved = 0, 0, "", "", ""
	if s.Status == record.Cancelled {
		return "cancelled" + s.Start.String()
	}
	return text(s) + k + f.texts[p][""]
}

func (f *follower) sessions() {
	coming := map[string]bool{}
	var all []record.Session
	for i := range f.prev.Sessions {
		s := &f.prev.Sessions[i]
		if f.was[s.UID] = s; s.Start < f.now {
			all = append(all, f.kept(*s))
		}
	}
	for _, s := range f.next.Sessions {
		old := f.was[s.UID]
		switch {
		case old == nil:
			s.Sheet = f.next.Sheet
			f.tell(record.Change{What: "added", Protocol: s.Protocol, Week: s.Week, To: s.Start})
		case f.says(f.prev, *old) == f.says(f.next, s):
			s.Sequence, s.Sheet, s.Modified = old.Sequence, old.Sheet, f.stamp(old.Modified)
		default:
			s.Sequence, s.Sheet = old.Sequence+1, f.next.Sheet
			f.tell(change(*old, s))
		}
		coming[s.UID] = true
		all = append(all, s)
	}
	for _, s := range f.prev.Sessions {
		if s.Start < f.now || coming[s.UID] {
			continue
		}
		if s.Status != record.Cancelled {
			s.Status, s.Sequence, s.Sheet, s.Modified = record.Cancelled, s.Sequence+1, f.next.Sheet, ""
			f.tell(record.Change{What: "cancelled", Protocol: s.Protocol, Week: s.Week, From: s.Start})
		} else {
			s = f.kept(s)
		}
		all = append(all, s)
	}
	slices.SortStableFunc(all, func(x, y record.Session) int {
		return cmp.Or(cmp.Compare(x.Start, y.Start), cmp.Compare(x.Protocol, y.Protocol), cmp.Compare(x.UID, y.UID))
	})
	f.next.Sessions = all
}

// stamp is when an entry of the plan before last changed.
func (f *follower) stamp(modified string) string { return cmp.Or(modified, f.prev.Now) }

func (f *follower) kept(s record.Session) record.Session {
	s.Modified = f.stamp(s.Modified)
	return s
}

func (f *follower) tell(c record.Change) { f.changes = append(f.changes, c) }

func change(old, s record.Session) record.Change {
	c := record.Change{What: "changed", Protocol: s.Protocol, Week: s.Week, From: old.Start, To: s.Start}
	switch {
	case old.Status == record.Cancelled:
		c.What = "added"
	case old.Start != s.Start:
		c.What = "moved"
	}
	return c
}

// entries follows the all-day entries. What lies before today stands.
func (f *follower) entries(today unit.Date) {
	was, coming := map[string]*record.Other{}, map[string]bool{}
	var all []record.Other
	for i := range f.prev.Others {
		o := &f.prev.Others[i]
		if was[o.UID] = o; o.Date < today {
			o := *o
			o.Modified = f.stamp(o.Modified)
			all, coming[o.UID] = append(all, o), true
		}
	}
	for _, o := range f.next.Others {
		if coming[o.UID] {
			continue // it was due before today
		}
		old := was[o.UID]
		switch {
		case old == nil:
			o.Sheet = f.next.Sheet
			f.tell(record.Change{What: "added", Entry: o.What, Protocol: o.About, To: unit.At(o.Date, 0)})
		case old.Date == o.Date && old.Status == o.Status:
			o.Sequence, o.Sheet, o.Modified = old.Sequence, old.Sheet, f.stamp(old.Modified)
		default:
			o.Sequence, o.Sheet = old.Sequence+1, f.next.Sheet
			f.tell(record.Change{What: "moved", Entry: o.What, Protocol: o.About, From: unit.At(old.Date, 0), To: unit.At(o.Date, 0)})
		}
		all, coming[o.UID] = append(all, o), true
	}
	for _, o := range f.prev.Others {
		if coming[o.UID] {
			continue
		}
		if o.Status != record.Cancelled {
			o.Status, o.Sequence, o.Sheet, o.Modified = record.Cancelled, o.Sequence+1, f.next.Sheet, ""
			f.tell(record.Change{What: "cancelled", Entry: o.What, Protocol: o.About, From: unit.At(o.Date, 0)})
		} else {
			o.Modified = f.stamp(o.Modified)
		}
		all = append(all, o)
	}
	slices.SortStableFunc(all, byDate)
	f.next.Others = all
}

// kinds keeps those that a session of the new plan needs.
func (f *follower) kinds() {
	for _, s := range f.next.Sessions {
		if _, ok := f.next.Kinds[s.Kind]; !ok {
			f.next.Kinds[s.Kind] = f.prev.Kinds[s.Kind]
		}
	}
}

// Stop ends a programme before a day: what would have stood on it or later is cancelled, and nothing is judged, so that
// nothing can keep a stop from being made. An error says that the day lies behind the plan or before now.
func (c *Compiler) Stop(prev *record.Plan, day unit.Date, now time.Time) (*record.Plan, []record.Change, error) {
	at := wall(prev.Zone, now)
	if day < at.Date() {
		return nil, nil, fmt.Errorf("the stop is on %s, which is past, allowed: %s or later", day, at.Date())
	}
	p := *prev
	p.Now, p.Sheet, p.Stopped = now.UTC().Format(time.RFC3339), prev.Sheet+1, day
	p.Sitting, p.Unplaced = c.Check.Base.Sitting, []record.Unplaced{}
	p.Sessions, p.Others = nil, nil
	f := follower{prev: prev, next: &p, now: max(at, unit.At(day, 0)), was: map[string]*record.Session{}, texts: map[*record.Plan]map[string]string{}}
	p.Kinds = map[string]record.Kind{}
	f.sessions()
	f.entries(day)
	f.kinds()
	if len(f.changes) == 0 {
		return nil, nil, fmt.Errorf("nothing stands in the plan on %s or later, allowed: a day on which something does", day)
	}
	return &p, f.changes, nil
}
