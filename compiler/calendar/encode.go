// Package calendar writes a plan as an iCalendar file (RFC 5545, with the names of RFC 7986).
//
// A calendar is one VCALENDAR; an event is one VEVENT of it, for a session or for an all-day entry; a content line is
// one property of it, folded into physical lines of at most 75 octets. A body is what all sessions of one kind, status
// and place in their sitting have in common, its description above all: it is written once a plan and copied into each
// event, so that an event costs little more than its date.
//
// A reader may show nothing but the description, so every description carries every caution of the plan, and a plan
// without cautions is refused. Neither the client's name nor the id stands anywhere in a calendar.
//
// It also reads the closing days of a clinic from the calendar of another program.
package calendar

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// Large is the size in bytes over which a calendar deserves a warning: a widely used importer takes at most a megabyte.
const Large = 900_000

// Options is what a calendar needs beside the plan.
type Options struct {
	Version string // of the program, for PRODID
	// Remind is how many minutes before a session its one alarm sounds; 0 = none. Cautions never stand in an alarm alone.
	Remind int
	// Gather makes one all-day entry a day of a breathing protocol that is trained several times a day.
	Gather bool
	// Discreet entries say nothing about health and send to the client's sheet, which must be written with them: their titles are
	// neutral, and they carry neither gate nor cautions.
	Discreet bool
	Language *say.Language // nil is English
}

// Encode appends the calendar of p to dst. On error it returns dst as it was. Whoever writes many calendars keeps an
// Encoder.
func Encode(dst []byte, p *record.Plan, opt Options) ([]byte, error) {
	return NewEncoder(opt).Append(dst, p)
}

// Encoder writes calendars one after the other and keeps its buffers between them. It is not safe for use by several
// goroutines at once.
type Encoder struct {
	opt    Options
	bodies bodies
	uids   map[string]struct{}
	order  []int      // sessions that are not cancelled, by start
	shared []bool     // by session: an earlier session of its sitting carries the gate
	stamp  []byte     // DTSTAMP and LAST-MODIFIED
	zones  []zoneText // the last VTIMEZONEs: the clients of a roster mostly share zone and dates
}

// zoneText is one VTIMEZONE.
type zoneText struct {
	name        string
	first, last unit.Local
	text        []byte
}

// NewEncoder makes an Encoder.
func NewEncoder(opt Options) *Encoder {
	return &Encoder{opt: opt, uids: map[string]struct{}{}, bodies: bodies{words: opt.words(), discreet: opt.Discreet, byKind: map[string]*kindBodies{}, others: map[record.Other][]byte{}}}
}

// Append appends the calendar of p to dst: its zone, one event a session in the plan's order, then the all-day entries.
// The same plan and options give the same bytes. On error it returns dst as it was. It refuses what would make a
// calendar that a reader misreads, or that lacks a caution.
func (e *Encoder) Append(dst []byte, p *record.Plan) ([]byte, error) {
	l := line{buf: dst}
	if err := e.calendar(&l, p); err != nil {
		return dst, err
	}
	return l.buf, nil
}

func (e *Encoder) calendar(l *line, p *record.Plan) error {
	if err := e.prepare(p); err != nil {
		return err
	}
	version, err := oneLine(e.opt.Version)
	if err != nil {
		return fmt.Errorf("the program's version: %w", err)
	}
	put(l, "BEGIN:VCALENDAR")
	put(l, "VERSION:2.0")
	l.begin("PRODID:")
	l.text("-//isocue//isocue " + version + " tz" + zone.Version() + "//" + strings.ToUpper(e.bodies.words.Tag))
	l.end()
	put(l, "CALSCALE:GREGORIAN")
	// Two names: the standard's, and the one that programs read before there was a standard.
	for _, name := range []string{"NAME:", "X-WR-CALNAME:"} {
		l.begin(name)
		l.text(e.calendarName())
		l.end()
	}
	if err := e.timezones(l, p); err != nil {
		return err
	}
	for i := range p.Sessions {
		all, ok := e.gathered(p, i)
		switch {
		case !ok:
			err = e.session(l, p, i)
		case len(all) > 0:
			err = e.day(l, p, all)
		case p.Sessions[i].Merged:
			was := p.Sessions[i]
			was.Status = record.Cancelled
			err = e.event(l, p, &was, e.shared[i])
		}
		if err != nil {
			return fmt.Errorf("session %d: %w", i+1, err)
		}
		if n := len(l.buf); n > bound.Output {
			return &bound.Over{What: "the calendar would have", Has: bound.Output, AtLeast: true, Of: "bytes", Most: bound.Output, Then: "make a plan of fewer sessions"}
		}
	}
	for i := range p.Others {
		if err := e.other(l, p, &p.Others[i]); err != nil {
			return fmt.Errorf("all-day entry %d: %w", i+1, err)
		}
	}
	put(l, "END:VCALENDAR")
	return nil
}

func (e *Encoder) calendarName() string {
	if f := e.bodies.words.Frame; !e.opt.Discreet {
		return f.Calendar
	} else {
		return f.DiscreetCalendar
	}
}

func put(l *line, s string) { l.begin(s); l.end() }

// prepare checks the plan as a whole and works out what its events share.
func (e *Encoder) prepare(p *record.Plan) error {
	now, err := time.Parse(time.RFC3339, p.Now)
	if err != nil {
		return fmt.Errorf("the plan's now is %q, allowed: a moment such as 2027-01-03T12:00:00Z", p.Now)
	}
	if len(p.Sessions)+len(p.Others) == 0 {
		return fmt.Errorf("the plan has no session and no all-day entry, allowed: at least one")
	}
	stamp := now.UTC().Format(stampForm)
	e.stamp = append(append(append(append(e.stamp[:0], "DTSTAMP:"...), stamp...), "LAST-MODIFIED:"...), stamp...)
	clear(e.uids)
	if err := checkSessions(p, e.uids); err != nil {
		return err
	}
	if err := checkOthers(p, e.uids); err != nil {
		return err
	}
	e.sittings(p)
	return e.bodies.reset(p)
}

// timezones writes the VTIMEZONE of each zone that a session is trained in, in the order in which the plan comes to them.
func (e *Encoder) timezones(l *line, p *record.Plan) error {
	var names []string
	for i := range p.Sessions {
		if z := p.ZoneOf(p.Sessions[i]); !slices.Contains(names, z) {
			names = append(names, z)
		}
	}
	for len(e.zones) < len(names) {
		e.zones = append(e.zones, zoneText{})
	}
	for i, name := range names {
		if err := e.zones[i].write(l, p, name); err != nil {
			return err
		}
	}
	return nil
}

// write writes a zone from its first session to a day after its last one starts.
func (z *zoneText) write(l *line, p *record.Plan, name string) error {
	first, last, any := unit.Local(0), unit.Local(0), false
	for i := range p.Sessions {
		if s := &p.Sessions[i]; p.ZoneOf(*s) == name {
			if !any {
				first, last, any = s.Start, s.Start, true
			}
			first, last = min(first, s.Start), max(last, s.Start)
		}
	}
	if z.name != name || z.first != first || z.last != last {
		loc, err := zone.Load(name)
		if err != nil {
			return err
		}
		text := appendZone(z.text[:0], loc, zone.Instant(loc, first), zone.Instant(loc, last).Add(24*time.Hour))
		*z = zoneText{name, first, last, text}
	}
	l.buf = append(l.buf, z.text...)
	return nil
}

// sittings finds the sessions whose reading was taken before an earlier session of the same sitting. Sessions of a
// sitting stand back to back (a start may wait for the grid of start times), and only the last one has End.
func (e *Encoder) sittings(p *record.Plan) {
	e.order, e.shared = e.order[:0], slices.Grow(e.shared[:0], len(p.Sessions))[:len(p.Sessions)]
	for i := range p.Sessions {
		e.shared[i] = false
		if p.Sessions[i].Status != record.Cancelled {
			e.order = append(e.order, i)
		}
	}
	slices.SortStableFunc(e.order, func(a, b int) int { return int(p.Sessions[a].Start - p.Sessions[b].Start) })
	grid := int64(max(p.Sitting.StartMinutes, 1)) * 60
	gated, open, end := false, false, int64(0) // of the sitting so far; end is the last session's, in seconds
	for _, i := range e.order {
		s := &p.Sessions[i]
		begin := int64(s.Start) * 60
		gated = gated && open && begin >= end && begin < end+grid
		e.shared[i] = gated && !s.Gate
		gated = gated || s.Gate
		open, end = !s.End, begin+int64(s.Seconds)
	}
}

func (e *Encoder) session(l *line, p *record.Plan, i int) error {
	return e.event(l, p, &p.Sessions[i], e.shared[i])
}

func (e *Encoder) event(l *line, p *record.Plan, s *record.Session, shared bool) error {
	b, err := e.bodies.of(p, s, shared)
	if err != nil {
		return err
	}
	if err := e.head(l, s.UID, s.Sequence, s.Modified); err != nil {
		return err
	}
	l.begin("DTSTART;TZID=")
	l.buf = append(append(l.buf, p.ZoneOf(*s)...), ':')
	l.buf = appendDate(l.buf, s.Start.Date())
	c := int(s.Start.Clock())
	l.buf = append(l.buf, 'T')
	l.buf = append(appendTwo(appendTwo(l.buf, c/60), c%60), "00\r\n"...)
	l.buf = append(l.buf, "DURATION:PT"...)
	if s.Seconds%60 == 0 {
		l.buf = append(strconv.AppendInt(l.buf, int64(s.Seconds/60), 10), "M\r\n"...)
	} else {
		l.buf = append(strconv.AppendInt(l.buf, int64(s.Seconds), 10), "S\r\n"...)
	}
	l.buf, l.octets = append(l.buf, b.summary...), b.octets
	number := strconv.AppendInt(make([]byte, 0, 20), int64(s.Week), 10)
	for j := range number {
		l.room(1)
		l.buf = append(l.buf, number[j])
	}
	l.end()
	l.buf = append(l.buf, b.rest...)
	if e.opt.Remind > 0 && s.Status != record.Cancelled {
		e.alarm(l)
	}
	l.buf = append(l.buf, "END:VEVENT\r\n"...)
	return nil
}

func (e *Encoder) other(l *line, p *record.Plan, o *record.Other) error {
	rest, err := e.bodies.other(p, o)
	if err != nil {
		return err
	}
	if err := e.head(l, o.UID, o.Sequence, o.Modified); err != nil {
		return err
	}
	l.buf = appendDate(append(l.buf, "DTSTART;VALUE=DATE:"...), o.Date)
	l.buf = appendDate(append(l.buf, "\r\nDTEND;VALUE=DATE:"...), o.Date+1) // the end is excluded
	l.buf = append(append(append(l.buf, "\r\n"...), rest...), "END:VEVENT\r\n"...)
	return nil
}

func appendDate(dst []byte, d unit.Date) []byte {
	y, m, day := d.Time().Date()
	return appendTwo(appendTwo(appendTwo(appendTwo(dst, y/100), y%100), int(m)), day)
}

func appendTwo(dst []byte, n int) []byte { return append(dst, byte('0'+n/10), byte('0'+n%10)) }
