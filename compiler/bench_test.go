package compiler

import (
	"bytes"
	"testing"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
)

// The rules alone, warm, on a protocol that is read: what a thousand protocols cost.
func BenchmarkLintProtocol(b *testing.B) {
	c := engine(b)
	for _, id := range c.StandardIDs() {
		b.Run(id, func(b *testing.B) {
			p := &c.Standard(id).Protocols[0]
			b.ReportAllocs()
			for b.Loop() {
				c.Check.Protocol(p)
			}
		})
	}
}

// One file, warm: parse, guard, schema, rules.
func BenchmarkLintFile(b *testing.B) {
	c := engine(b)
	src := c.Standard("handgrip-alternating").Source
	b.ReportAllocs()
	for b.Loop() {
		if fs := c.Lint(c.Reader.Bytes("a.cue", src), now); len(fs) > 0 {
			b.Fatal(fs)
		}
	}
}

// A file with nine slips of shape: every round of peeling is paid for.
func BenchmarkLintBrokenFile(b *testing.B) {
	c := engine(b)
	src := bytes.ReplaceAll(c.Standard("handgrip-alternating").Source, []byte("Seconds:"), []byte("Second:"))
	for b.Loop() {
		if fs := c.Lint(c.Reader.Bytes("a.cue", src), now); len(fs) == 0 {
			b.Fatal("no finding")
		}
	}
}

// The demo client with two protocols, from records to a plan.
func BenchmarkCompileDemo(b *testing.B) {
	c := engine(b)
	in := demo(b, c, "handgrip-alternating", "slow-breathing-short-pause")
	b.ReportAllocs()
	for b.Loop() {
		if r, err := c.Compile(in); err != nil || r.Plan == nil {
			b.Fatal(err)
		}
	}
}

// The plan of the demo client in each of its forms.
func BenchmarkEmitDemo(b *testing.B) {
	c := engine(b)
	p := plan(b, c, demo(b, c, "handgrip-alternating", "slow-breathing-short-pause"))
	for name, emit := range map[string]func() error{
		"ics":   func() error { _, err := calendar.Encode(nil, p, calendar.Options{Version: "t"}); return err },
		"plan":  func() error { return plans.JSON(&bytes.Buffer{}, p) },
		"table": func() error { return plans.Table(&bytes.Buffer{}, p) },
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := emit(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Reading the embedded schema and rule base: what every process pays first.
func BenchmarkStart(b *testing.B) {
	for b.Loop() {
		engine(b)
	}
}

// BenchmarkTwelveWeeks places and writes a programme of three protocols over twelve weeks: placing should cost no more than
// writing the calendar.
func BenchmarkTwelveWeeks(b *testing.B) {
	c := engine(b)
	in := demo(b, c, "handgrip-start", "slow-breathing-short-pause")
	file := c.Reader.Bytes("inspiratory.cue", []byte(`id: "breath-load", title: "Light loaded breathing", revision: 1, modality: "slow-breathing"
breath: {inhaleSeconds: 5, exhaleSeconds: 5}
minutesPerSession: 10, sessionsPerDay: 1, daysPerWeek: 3, weeks: 12`))
	in.Protocols = append(in.Protocols, &file.Protocols[0])
	long := *in.Protocols[1]
	rec := *long.Record
	rec.Weeks, rec.Stages = 12, append([]record.Stage{}, rec.Stages...)
	rec.Stages[0].Weeks = 12
	long.Record = &rec
	in.Protocols[1] = &long
	p := plan(b, c, in)
	b.Run("place", func(b *testing.B) {
		for b.Loop() {
			if _, err := c.programme(in).place(nil); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("write", func(b *testing.B) {
		var buf []byte
		for b.Loop() {
			var err error
			if buf, err = calendar.Encode(buf[:0], p, calendar.Options{Version: "bench"}); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(len(p.Sessions)), "sessions")
	})
}
