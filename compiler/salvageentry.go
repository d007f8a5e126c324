package compiler

import (
	"slices"
	"strconv"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// salvage gathers the entries of one plan.
type salvage struct {
	c             *Compiler
	l             *say.Language
	p             *record.Plan
	from          unit.Local
	start, origin unit.Date
	courses       map[string]record.Course // by protocol; none in a plan of version 1
	known         bool                     // client and origin are those on which the uids of the plan stand
	seen          map[string]bool
	lost, past    int
}

// word is a field that is a text, "" for another.
func (l loose) word(name string) (s string) {
	l.into(name, &s)
	return s
}

// identity is the uid that a session has by what the plan says of it: a uid that is the same vouches for client, protocol, origin, week
// and number in the week.
func (s *salvage) identity(x loose) string {
	var week, slot int
	x.into("week", &week)
	x.into("slot", &slot)
	return record.Identity(s.p.Client, x.word("protocol"), s.course(x).Origin.String(), strconv.Itoa(week), strconv.Itoa(slot))
}

// course is that of an entry's protocol.
func (s *salvage) course(x loose) record.Course {
	if c, ok := s.courses[x.word("protocol")]; ok {
		return c
	}
	return record.Course{Start: s.start, Origin: s.origin}
}

// over says whether a session that the plan dates before now is past by its uid as well. Another may have been moved there by whoever
// edited the plan, and stand in a week to come on the phone.
func (s *salvage) over(x loose, uid string) bool {
	var week int
	x.into("week", &week)
	return uid == s.identity(x) && max(s.course(x).Origin, s.course(x).Start)+unit.Date(7*week) <= s.from.Date()
}

// named takes the sequence of an entry. Whatever the plan says of its sequence, what is called back must be newer than what the
// client has, and no entry changed more often than there were sheets.
func (s *salvage) named(x loose, uid string) (sequence int, ok bool) {
	if x.into("sequence", &sequence); sequence < 0 || sequence > most {
		sequence = 0
	}
	if !uidText.MatchString(uid) || s.seen[uid] || len(s.seen) == bound.Entries { // no calendar that isocue wrote has more
		s.lost++
		return 0, false
	}
	return max(sequence, s.p.Sheet), true
}

// dated says whether a day is one that a calendar of ours may have.
func (s *salvage) dated(d unit.Date) bool {
	return d >= s.from.Date()-366*20 && d <= s.from.Date()+366*20
}

func (s *salvage) session(x loose, uid string) {
	sequence, ok := s.named(x, uid)
	if !ok {
		return
	}
	var start unit.Local
	good := x.into("start", &start) && s.dated(start.Date())
	switch {
	case good && start < s.from && s.over(x, uid):
		s.past++
		return
	case !good || start < s.from:
		start = unit.At(s.from.Date()+1, 12*60) // its uid calls it back, wherever it stands
	}
	if loc, err := zone.Load(s.p.Zone); err != nil || !zone.Clean(loc, start) {
		start = unit.At(start.Date(), 12*60)
	}
	out := record.Session{UID: uid, Sequence: sequence, Sheet: s.p.Sheet, Status: record.Confirmed, Start: start, Week: 1, Slot: 1, Seconds: 60, End: true}
	x.into("protocol", &out.Protocol)
	if !idText.MatchString(out.Protocol) {
		out.Protocol = "training"
	}
	if x.into("week", &out.Week); out.Week < 1 || out.Week > maxWeeks {
		out.Week = 1
	}
	if x.into("slot", &out.Slot); out.Slot < 1 || out.Slot > most {
		out.Slot = 1
	}
	if x.into("seconds", &out.Seconds); out.Seconds < 60 || out.Seconds > 24*60*60 {
		out.Seconds = 60
	}
	out.Kind = out.Protocol + "/0"
	if _, ok := s.p.Kinds[out.Kind]; !ok {
		s.p.Kinds[out.Kind] = s.bare(out.Protocol)
	}
	s.seen[uid] = true
	s.p.Sessions = append(s.p.Sessions, out)
}

// bare is a kind that says nothing of what was to be done: a standard protocol's own title, else a word for any appointment.
func (s *salvage) bare(id string) record.Kind {
	k := record.Kind{Protocol: id, Title: s.l.Frame.Discreet, WorkSeconds: unit.Seconds(60), Steps: []record.Step{{Kind: record.Sit, Seconds: unit.Seconds(60)}}}
	if f := s.c.Standard(id); f != nil && len(f.Protocols) == 1 {
		k.Title = TitlesIn(s.l, []*load.Protocol{&f.Protocols[0]})[0].Record.Title
	}
	return k
}

func (s *salvage) other(x loose) {
	uid := x.word("uid")
	sequence, ok := s.named(x, uid)
	if !ok {
		return
	}
	out := record.Other{UID: uid, Sequence: sequence, Sheet: s.p.Sheet, Status: record.Confirmed, What: record.Review}
	if !x.into("date", &out.Date) || !s.dated(out.Date) {
		out.Date = s.from.Date() + 1
	}
	if out.Date < s.from.Date() {
		s.past++
		return
	}
	if x.into("what", &out.What); !slices.Contains(record.OtherKinds, out.What) {
		out.What = record.Review
	}
	s.seen[uid] = true
	s.p.Others = append(s.p.Others, out)
}
