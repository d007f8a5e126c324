// Package dated puts a client record and a diary together: the record as it stands on a day.
//
// The record says what the first visit found, and the diary what happened since. Dated facts are one list: of one kind about one thing
// on one date the diary counts. An undated field of the record holds until the diary's first entry about it. What comes of the two is a
// record like any other, each value at the place where somebody wrote it, so that rules, loads, schedule and reports ask nothing new.
//
// What an entry closes, and what opens it again, is not here: that takes the questions, and is worked out beside the record.
package dated

import (
	"slices"
	"time"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// sheet is a record on which the entries of a diary are written.
type sheet struct {
	node  *tree.Node
	today unit.Date
	all   []*record.Entry // that were not taken back, by day; also those that lie ahead
	live  []*record.Entry // of those, what is of today or before
}

// Zone is where the client lives now: by the last move of the diary, else at home, which is the zone of the record or, where that cannot
// be read, of the plan. This is the one clock of a client: whoever needs the day of a diary asks here.
func Zone(home string, d *diary.Diary, now time.Time) string {
	if d == nil {
		return home
	}
	today := history.Wall(home, now).Date()
	if e := on(nil, d, today).move(today); e != nil {
		return e.Move.Zone
	}
	return home
}

// Today is the day of now where the client lives by record and diary.
func Today(c *record.Client, d *diary.Diary, now time.Time) unit.Date {
	return history.Wall(Zone(c.Zone, d, now), now).Date()
}

// on reads the entries as they are known on a day.
func on(n *tree.Node, d *diary.Diary, today unit.Date) *sheet {
	s := &sheet{node: n, today: today}
	for _, e := range d.Live() {
		s.all = append(s.all, &e)
		if e.Date <= today {
			s.live = append(s.live, &e)
		}
	}
	return s
}

// Record is a client as record and diary tell of them on a day. The client itself stays as it is. Conditions are left to whoever knows
// what ends them.
func Record(cl *load.Client, d *diary.Diary, today unit.Date) *load.Client {
	if d == nil || len(d.Entries) == 0 {
		return cl
	}
	s := on(cl.Node.Borrow(), d, today)
	s.tests()
	s.devices()
	medicines := s.medicines(cl.Record)
	clearances := s.clearances()
	s.limits()
	s.where()
	s.answers()
	r := load.ClientOf(s.node)
	for i, e := range medicines {
		if e.last != nil {
			r.Medicines[i].Stopped, r.Medicines[i].At = e.stopped, record.TimeOf(e.last)
		}
	}
	for i, e := range clearances {
		if e != nil && e.Date == r.Clearances[i].Date { // the time of an entry of another day is none of the clinician's
			r.Clearances[i].At = record.TimeOf(e)
		}
	}
	r.Asked = cl.Record.Asked
	for _, e := range s.live {
		switch e.What {
		case record.Taught:
			if r.TaughtOf == nil {
				r.TaughtOf = map[record.Modality]unit.Date{}
			}
			r.TaughtOf[e.Modality] = max(r.TaughtOf[e.Modality], e.Date)
		case record.Lighter:
			r.Easings = append(r.Easings, record.Easing{From: e.Date, Protocol: e.Protocol})
		}
	}
	r.Later = s.later()
	return &load.Client{Node: s.node, Record: r}
}

// of are the entries of today or before that say one kind of thing.
func (s *sheet) of(what record.Happening) (out []*record.Entry) { return kind(s.live, what) }

func kind(all []*record.Entry, what record.Happening) (out []*record.Entry) {
	for _, e := range all {
		if e.What == what {
			out = append(out, e)
		}
	}
	return out
}

// latest are those of some entries than which none is known to be later.
func latest(all []*record.Entry) (out []*record.Entry) {
	var day unit.Date
	for _, e := range all {
		day = max(day, e.Date)
	}
	named, clock := map[string]bool{}, -1 // what entries of the newest day name, and the latest of their times: as diary.Later tells
	for _, e := range all {
		if e.Date != day {
			continue
		}
		for _, id := range e.Names() {
			named[id] = true
		}
		if e.Time != nil {
			clock = max(clock, int(*e.Time))
		}
	}
	for _, e := range all {
		if e.Date == day && !named[e.ID] && (e.Time == nil || int(*e.Time) == clock) {
			out = append(out, e)
		}
	}
	return out
}

// settled is the entry that holds of some that say what is neither graver nor milder: where the latest contradict each other none of
// them counts, and what was before goes on. nil is none of them.
func settled(all []*record.Entry, says func(*record.Entry) string) *record.Entry {
	for len(all) > 0 {
		from := len(all) - 1 // entries stand by day: no day but the newest is looked at
		for from > 0 && all[from-1].Date == all[len(all)-1].Date {
			from--
		}
		for day := slices.Clone(all[from:]); len(day) > 0; {
			top := latest(day)
			if !slices.ContainsFunc(top, func(e *record.Entry) bool { return says(e) != says(top[0]) }) {
				return top[0]
			}
			gone := map[*record.Entry]bool{}
			for _, e := range top {
				gone[e] = true
			}
			day = slices.DeleteFunc(day, func(e *record.Entry) bool { return gone[e] })
		}
		all = all[:from]
	}
	return nil
}

// says is what an entry says, with its places.
func says(e *record.Entry) *tree.Node { return load.EntryNode(e).Get(string(e.What)) }

// list is a list of the record as it is written, nothing where there is none.
func (s *sheet) list(path ...string) []*tree.Node { return slices.Clone(s.node.Get(path...).Items()) }

// put writes a list or value of the record anew. What stands above it is borrowed, so that the record itself stays as it is.
func (s *sheet) put(v *tree.Node, path ...string) {
	n := s.node
	for _, p := range path[:len(path)-1] {
		below := tree.At(n.Pos)
		if old := n.Get(p); old != nil {
			below = old.Borrow()
		}
		n.Link(p, below)
		n = below
	}
	n.Link(path[len(path)-1], v)
}

// putList writes a list anew at the place of the old one.
func (s *sheet) putList(elem []*tree.Node, path ...string) {
	l := &tree.Node{Kind: tree.List, Elem: elem, Pos: s.node.Pos}
	if old := s.node.Get(path...); old != nil {
		l.Pos = old.Pos
	}
	s.put(l, path...)
}

// dayed is what an entry says as an element of a list of the record, with the entry's day.
func dayed(e *record.Entry) *tree.Node {
	n := load.EntryNode(e)
	out := n.Get(string(e.What)).Borrow()
	out.Link("date", n.Get("date"))
	return out
}
