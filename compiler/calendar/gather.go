package calendar

import (
	"fmt"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
)

// A gathered entry stands for all sessions of one breathing protocol on one day: a reminder without an hour, for clients whose
// calendar would otherwise hold little else. It goes by the identity of the day's first session.

// gathered is the sessions that session i stands for; ok is false where it stands for itself, and all is empty where an earlier
// one stands for it.
func (e *Encoder) gathered(p *record.Plan, i int) (all []*record.Session, ok bool) {
	s := &p.Sessions[i]
	one := func(s *record.Session) bool {
		return (e.opt.Gather || s.Gathered) && s.Status != record.Cancelled && p.Kinds[s.Kind].Modality == record.SlowBreathing
	}
	if !one(s) {
		return nil, false
	}
	first, whole := true, e.opt.Gather
	for j := range p.Sessions {
		o := &p.Sessions[j]
		if o.Protocol == s.Protocol && o.Start.Date() == s.Start.Date() && one(o) {
			first, whole = first && j >= i, whole || o.Whole
			all = append(all, o)
		}
	}
	switch {
	case !e.opt.Gather && s.Whole:
		return all, true
	case !whole, e.opt.Gather && len(all) < 2:
		return nil, false
	case e.opt.Gather && first:
		return all, true
	}
	return nil, true
}

// day writes the gathered entry of a day.
func (e *Encoder) day(l *line, p *record.Plan, all []*record.Session) error {
	s := all[0]
	var times []string
	at := place{sheet: s.Sheet, Place: say.Place{End: true}}
	for _, o := range all {
		times = append(times, o.Start.Clock().String())
		at.Gate = at.Gate || o.Gate
	}
	k := p.Kinds[s.Kind]
	lines, err := e.bodies.describe(p, &k, record.Confirmed, at)
	if err != nil {
		return err
	}
	if err := e.head(l, s.UID, s.Sequence, s.Modified); err != nil {
		return err
	}
	d := s.Start.Date()
	l.buf = appendDate(append(l.buf, "DTSTART;VALUE=DATE:"...), d)
	l.buf = appendDate(append(l.buf, "\r\nDTEND;VALUE=DATE:"...), d+1)
	l.buf = append(l.buf, "\r\n"...)
	title, err := oneLine(k.Title)
	if err != nil {
		return err
	}
	l.begin("SUMMARY:")
	words := e.bodies.words
	l.text(fmt.Sprintf("%s%s%d", e.bodies.title(title), words.Session.Week, s.Week))
	l.end()
	lines = append(append(e.bodies.sheet(at.sheet), fmt.Sprintf(words.Frame.Gather, words.Count(len(all), words.Words.Time), strings.Join(times, words.Words.And))), lines...)
	if err := e.bodies.tail(l, lines, record.Confirmed, "TRANSPARENT", string(k.Modality)); err != nil {
		return err
	}
	l.buf = append(l.buf, "END:VEVENT\r\n"...)
	return nil
}
