package calendar

import (
	"fmt"
	"isocue.example/compiler/record"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	"isocue.example/compiler/zone"
)

func perEvent(b *testing.B, events, bytes int) {
	b.SetBytes(int64(bytes))
	b.ReportMetric(float64(events)*float64(b.N)/b.Elapsed().Seconds(), "events/s")
}

// reused encodes p over and over with one encoder and one buffer.
func reused(b *testing.B, p *record.Plan) {
	e := NewEncoder(Options{Version: "v0.1"})
	buf, err := e.Append(nil, p)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		buf, _ = e.Append(buf[:0], p)
	}
	perEvent(b, len(p.Sessions)+len(p.Others), len(buf))
}

// BenchmarkEncode is one client after the other with one encoder, as a roster does.
func BenchmarkEncode(b *testing.B) {
	reused(b, eightWeeks(b))
}

// BenchmarkEncodeOnce makes a new encoder and a new buffer each time.
func BenchmarkEncodeOnce(b *testing.B) {
	p := eightWeeks(b)
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		out, _ := Encode(nil, p, Options{Version: "v0.1"})
		n = len(out)
	}
	perEvent(b, len(p.Sessions)+len(p.Others), n)
}

// BenchmarkEncodeNoShare gives every session a kind of its own, so that every description is composed and folded anew.
func BenchmarkEncodeNoShare(b *testing.B) {
	p := eightWeeks(b)
	for i := range p.Sessions {
		s := &p.Sessions[i]
		name := fmt.Sprint(s.Kind, i)
		p.Kinds[name] = p.Kinds[s.Kind]
		s.Kind = name
	}
	reused(b, p)
}

// BenchmarkOtherLibrary writes the same sessions with a general library. Its texts are ready before the clock starts.
func BenchmarkOtherLibrary(b *testing.B) {
	p := eightWeeks(b)
	text := encode(b, p)
	type ready struct{ uid, start, duration, summary, description, status string }
	var events []ready
	octets := 0
	for _, s := range p.Sessions {
		e := event(b, text, s.UID)
		r := ready{s.UID, property(e, "DTSTART;TZID=Europe/Lisbon"), property(e, "DURATION"), property(e, "SUMMARY"), property(e, "DESCRIPTION"), property(e, "STATUS")}
		octets += len(r.description)
		events = append(events, r)
	}
	stamp, _ := time.Parse(time.RFC3339, p.Now)
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		cal := ics.NewCalendarFor("isocue")
		for i := range events {
			r := &events[i]
			e := cal.AddEvent(r.uid)
			e.SetDtStampTime(stamp)
			e.SetModifiedAt(stamp)
			e.SetSequence(0)
			e.SetProperty(ics.ComponentPropertyDtStart, r.start, ics.WithTZID(p.Zone))
			e.SetProperty(ics.ComponentPropertyDuration, r.duration)
			e.SetSummary(r.summary)
			e.SetDescription(r.description)
			e.AddCategory("Training")
			e.SetStatus(ics.ObjectStatus(r.status))
			e.SetClass(ics.ClassificationPrivate)
			e.SetTimeTransparency(ics.TransparencyOpaque)
		}
		n = len(cal.Serialize(ics.WithNewLineWindows))
	}
	perEvent(b, len(events), n)
	b.ReportMetric(float64(octets)/float64(len(events)), "octets/description")
}

func BenchmarkZone(b *testing.B) {
	loc, _ := zone.Load("Europe/Lisbon")
	p := eightWeeks(b)
	first, last := zone.Instant(loc, p.Sessions[0].Start), zone.Instant(loc, p.Sessions[135].Start)
	b.ReportAllocs()
	var buf []byte
	for b.Loop() {
		buf = appendZone(buf[:0], loc, first, last)
	}
}
