package dated

import (
	"fmt"
	"maps"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// until are the entries of a kind up to a day, those that lie ahead of today among them.
func (s *sheet) until(what record.Happening, day unit.Date) []*record.Entry {
	return slices.DeleteFunc(kind(s.all, what), func(e *record.Entry) bool { return e.Date > day })
}

// move is the move that holds on a day, nil for none.
func (s *sheet) move(day unit.Date) *record.Entry {
	return settled(s.until(record.Moved, day), func(e *record.Entry) string { return fmt.Sprint(*e.Move) })
}

// hours are the hours that hold on a day, nil for those of the record.
func (s *sheet) hours(day unit.Date) *record.Entry {
	return settled(s.until(record.HoursAre, day), func(e *record.Entry) string { return fmt.Sprint(e.Hours) })
}

// where is where the client lives, when and by whom, as it is today.
func (s *sheet) where() {
	if e := s.move(s.today); e != nil {
		s.put(says(e).Get("zone"), "zone")
	}
	if e := s.hours(s.today); e != nil {
		s.put(says(e), "hours")
	}
	said := func(e *record.Entry, key string) string {
		if e.Move != nil && key == emergency {
			return e.Move.Emergency
		}
		return e.Contacts[key]
	}
	byKey := map[string][]*record.Entry{}
	for _, e := range s.live {
		if e.What == record.Moved {
			byKey[emergency] = append(byKey[emergency], e)
		}
		for key := range e.Contacts {
			byKey[key] = append(byKey[key], e)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(byKey)) {
		if e := settled(byKey[key], func(e *record.Entry) string { return said(e, key) }); e != nil {
			s.put(says(e).Get(key), "contacts", key)
		}
	}
}

// emergency is the number that a move changes too.
const emergency = "emergency"

// later is what is otherwise from a day to come on. What of a day settles nothing leaves what was before.
func (s *sheet) later() (out []record.Later) {
	ahead := map[unit.Date][]*record.Entry{}
	for _, e := range s.all {
		if e.Date > s.today && (e.What == record.Moved || e.What == record.HoursAre) {
			ahead[e.Date] = append(ahead[e.Date], e)
		}
	}
	for _, d := range slices.Sorted(maps.Keys(ahead)) {
		x, of := record.Later{From: d}, sheet{all: ahead[d]}
		if m := of.move(d); m != nil {
			x.Zone, x.Emergency = m.Move.Zone, m.Move.Emergency
		}
		if h := of.hours(d); h != nil {
			x.Hours = h.Hours
		}
		if x.Zone != "" || x.Hours != nil {
			out = append(out, x)
		}
	}
	return out
}
