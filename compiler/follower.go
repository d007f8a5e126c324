package compiler

import (
	"cmp"
	"encoding/json"
	"maps"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

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
	begun      func(record.Session) bool
	was        map[string]*record.Session // of the plan before, by uid
	rewords    int                        // entries of which a new program's wording alone is new
	texts      map[*record.Plan]map[string]string
	changes    []record.Change
}

// after makes next the plan after prev, and says what changed. What has begun stands, and of whole days what lies before today. An
// entry counts up where anything that it says is new.
func after(prev, next *record.Plan, begun func(record.Session) bool, today unit.Date) ([]record.Change, error) {
	f := follower{prev: prev, next: next, begun: begun, was: map[string]*record.Session{}, texts: map[*record.Plan]map[string]string{}}
	f.sessions()
	f.entries(today)
	f.kinds()
	f.carried(today)
	f.merge()
	now, err := texts(next)
	if err != nil {
		return nil, err
	}
	f.write(now, today)
	if f.rewords > 0 {
		f.changes = append(f.changes, record.Change{What: "reworded", Count: f.rewords})
	}
	return f.changes, nil
}

// says is everything that a session's calendar entry says, and nothing else.
func (f *follower) says(p *record.Plan, s record.Session) string {
	if f.texts[p] == nil {
		f.texts[p] = map[string]string{"": text(p.Gate) + text(p.Cautions) + "\n" + p.Coach + text(p.Discreet) + text(p.Language) + text(p.Remind)}
	}
	k, ok := f.texts[p][s.Kind]
	if !ok {
		k = text(p.Kinds[s.Kind])
		f.texts[p][s.Kind] = k
	}
	s.Sequence, s.Sheet, s.Modified, s.Kind, s.Moved, s.Text, s.Zone, s.Call, s.Merged, s.Whole = 0, 0, "", "", "", "", p.ZoneOf(s), p.CallOf(s), false, false
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
		if f.was[s.UID] = s; f.begun(*s) {
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
		if f.begun(s) || coming[s.UID] {
			continue
		}
		if s.Status != record.Cancelled {
			s = f.there(s)
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
	s = f.there(s)
	s.Modified = f.stamp(s.Modified)
	return s
}

// there is a session of the plan before where it was to be trained, wherever the client lives now, by the number that was answered there.
func (f *follower) there(s record.Session) record.Session {
	if s.Zone = f.prev.ZoneOf(s); s.Zone == f.next.Zone {
		s.Zone = ""
	}
	if s.Call = f.prev.CallOf(s); s.Call == f.next.Emergency {
		s.Call = ""
	}
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
		case old.Date == o.Date && old.Status == o.Status && f.prev.Language == f.next.Language && f.prev.Discreet == f.next.Discreet:
			o.Sequence, o.Sheet, o.Modified = old.Sequence, old.Sheet, f.stamp(old.Modified)
		default:
			o.Sequence, o.Sheet = old.Sequence+1, f.next.Sheet
			what := "moved"
			switch {
			case old.Status == record.Cancelled:
				what = "added"
			case old.Date == o.Date:
				what = "changed"
			}
			f.tell(record.Change{What: what, Entry: o.What, Protocol: o.About, From: unit.At(old.Date, 0), To: unit.At(o.Date, 0)})
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

// carried keeps the protocols and courses of the plan before whose sessions the new plan still shows. A course that goes on no more
// has ended, unless it is held.
func (f *follower) carried(today unit.Date) {
	shown, have := map[string]bool{}, map[string]bool{}
	for _, s := range f.next.Sessions {
		shown[s.Protocol] = true
	}
	id := func(src json.RawMessage) string {
		var p struct{ ID string }
		if json.Unmarshal(src, &p) != nil {
			return ""
		}
		return p.ID
	}
	for _, p := range f.next.Protocols {
		have[id(p)] = true
	}
	for _, p := range f.prev.Protocols {
		if x := id(p); shown[x] && !have[x] {
			f.next.Protocols = append(f.next.Protocols, p)
		}
	}
	goes := map[string]bool{}
	for _, c := range f.next.Courses {
		goes[c.Protocol] = true
	}
	for _, s := range f.prev.Sessions {
		c, ok := f.prev.Course(s.Protocol)
		if !ok || goes[s.Protocol] || !shown[s.Protocol] {
			continue
		}
		goes[s.Protocol] = true
		if held := slices.ContainsFunc(f.next.Holds, func(h record.Hold) bool { return h.Protocol == c.Protocol }); !held && c.Ended == 0 {
			c.Ended = today
		}
		f.next.Courses = append(f.next.Courses, c)
	}
}

// kinds keeps those that a session of the new plan needs, and the names of those that it has no more.
func (f *follower) kinds() {
	for _, s := range f.next.Sessions {
		if _, ok := f.next.Kinds[s.Kind]; !ok {
			f.next.Kinds[s.Kind] = f.prev.Kinds[s.Kind]
		}
	}
	ended := map[string]record.EndedKind{}
	for _, e := range f.prev.Ended {
		ended[e.Kind] = e
	}
	for name, k := range f.prev.Kinds {
		ended[name] = record.EndedKind{Kind: name, Modality: k.Modality, Title: k.Title}
	}
	f.next.Ended = nil
	for _, name := range slices.Sorted(maps.Keys(ended)) {
		if _, ok := f.next.Kinds[name]; !ok {
			f.next.Ended = append(f.next.Ended, ended[name])
		}
	}
}
