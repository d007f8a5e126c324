package compiler

import (
	"slices"
	"time"

	"isocue.example/compiler/history"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// whole marks, of the sessions of a day that are gathered, the one whose entry stands for all: one that has begun, else the first.
func whole(all []record.Session, begun func(record.Session) bool) {
	of := map[string][]int{}
	for i, s := range all {
		if s.Gathered && s.Status != record.Cancelled {
			key := s.Protocol + s.Start.Date().String()
			of[key] = append(of[key], i)
		}
	}
	for _, day := range of {
		coming := slices.DeleteFunc(slices.Clone(day), func(i int) bool { return begun(all[i]) })
		stands := slices.ContainsFunc(day, func(i int) bool { return begun(all[i]) && all[i].Whole })
		for n, i := range coming {
			all[i].Whole = n == 0 && len(coming) > 1 && !stands
		}
	}
}

// merge marks the sessions whose day has one entry for them now, and had one of their own.
func (f *follower) merge() {
	whole(f.next.Sessions, func(s record.Session) bool { old := f.was[s.UID]; return old != nil && f.begun(*old) })
	for i := range f.next.Sessions {
		s := &f.next.Sessions[i]
		if old := f.was[s.UID]; old != nil && !f.begun(*old) {
			s.Merged = s.Gathered && !s.Whole && s.Status != record.Cancelled && old.Text != ""
		}
	}
}

// write gives each entry the digest of its text. One that says the same facts in other words counts up too, and keeps its sheet.
func (f *follower) write(now map[string]string, today unit.Date) {
	at, _ := time.Parse(time.RFC3339, f.next.Now)
	for i := range f.next.Sessions {
		s := &f.next.Sessions[i]
		old, known := f.was[s.UID]
		s.Text = now[s.UID]
		switch {
		case known && f.begun(*old) && (at.IsZero() || history.Begun(f.prev, *old, at)):
			s.Text = old.Text // it stands as it was; what follows on it in its sitting is still read
		case !known || s.Sequence != old.Sequence || old.Text == "" || s.Text == old.Text:
		case s.Gathered: // another session of its day is new
			s.Sequence, s.Sheet, s.Modified = s.Sequence+1, f.next.Sheet, ""
		default:
			s.Sequence, s.Modified = s.Sequence+1, ""
			f.rewords++
		}
	}
	was := map[string]record.Other{}
	for _, o := range f.prev.Others {
		was[o.UID] = o
	}
	for i := range f.next.Others {
		o := &f.next.Others[i]
		old, known := was[o.UID]
		if known && o.Date < today {
			o.Text = old.Text
			continue
		}
		if o.Text = now[o.UID]; known && old.Sequence == o.Sequence && old.Text != "" && o.Text != old.Text {
			o.Sequence, o.Modified = o.Sequence+1, ""
			f.rewords++
		}
	}
}
