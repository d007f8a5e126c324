// Package compiler turns protocols and one client's record into a plan: the only place that knows the order of work.
//
//	load      files -> records                             shape trouble stops here
//	check     protocol, stage, programme, measurement      a rejection stops here
//	schedule  dates and hours                              pure; says what it could not place, and why
//	dose      loads, by date: a new measurement counts from its day     pure
//	check     dose                                         the rounded, settable load is judged, not the wish
//	session   the kinds and their steps                    pure
//	check     session and plan                             the built plan is judged again
//
// Emitting is the caller's: calendar and report turn the plan into bytes, and only a Result without a rejection has one.
package compiler

import (
	"errors"
	"fmt"
	"path"
	"strings"
	"time"

	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
	"isocue.example/protocols"
)

// Compiler holds what every compile shares. It may be used from several goroutines.
type Compiler struct {
	Reader  *load.Reader
	Check   *check.Checker
	Waivers *Waivers // nil without
}

// New reads the embedded schema and rule base. An error is a defect of the program.
func New() (*Compiler, error) { return Watched(nil) }

// Watched is New with bounds on what reading and evaluating somebody's file may take.
func Watched(w *load.Watchdog) (*Compiler, error) {
	var r *load.Reader
	var rerr error
	done := make(chan struct{})
	go func() { // the two take nearly all the time that a start takes
		defer close(done)
		r, rerr = load.NewReader(w)
	}()
	b, err := rule.Load()
	<-done
	if err = errors.Join(err, rerr); err != nil {
		return nil, err
	}
	return &Compiler{Reader: r, Check: check.New(b)}, nil
}

// StandardIDs lists the standard protocols, sorted.
func (c *Compiler) StandardIDs() []string {
	es, err := protocols.FS.ReadDir(".")
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	var out []string
	for _, e := range es {
		if id, ok := strings.CutSuffix(e.Name(), ".cue"); ok {
			out = append(out, id)
		}
	}
	return out
}

// Standard reads a standard protocol; nil when there is none of that id.
func (c *Compiler) Standard(id string) *load.File {
	src, err := protocols.FS.ReadFile(path.Base(id) + ".cue")
	if err != nil || path.Base(id) != id {
		return nil
	}
	return c.Reader.Bytes("protocols/"+id+".cue", src)
}

// Lint judges one file by itself: a protocol in all its stages, a client record as of today. A client record is also
// judged against the protocols given, as if they started today.
func (c *Compiler) Lint(f *load.File, now time.Time, against ...*load.Protocol) []finding.Finding {
	out := append([]finding.Finding(nil), f.Findings...)
	for i := range f.Protocols {
		out = append(out, c.protocol(&f.Protocols[i], unit.DateOf(now))...)
	}
	if f.Client != nil {
		b := c.builder(Input{Protocols: against, Client: f.Client, Now: now, Start: today(f.Client.Record.Zone, now)})
		fs := c.Check.Client(f.Client, check.Occasion{Protocols: b.records(), Today: b.in.Start})
		if !finding.Rejected(fs) {
			var sound []*load.Protocol
			for i, p := range b.protocols {
				if !finding.Rejected(c.protocol(b.judged(i), b.in.Start)) { // what is refused has no loads
					sound = append(sound, p)
					b.sessions = append(b.sessions, b.rehearse(p)...)
				}
			}
			b.protocols = sound
			more, err := b.loads()
			if err != nil {
				panic(finding.Bug{What: err.Error()})
			}
			fs = append(fs, more...)
		}
		out = append(out, fs...)
	}
	return finding.Sort(out)
}

// today is the civil date of now in the client's zone, which the loader has checked.
func today(name string, now time.Time) unit.Date {
	loc, err := zone.Load(name)
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	return unit.DateOf(now.In(loc))
}

// Input is what a compile depends on, and nothing else: the same input gives the same result, byte for byte.
type Input struct {
	Protocols []*load.Protocol
	Client    *load.Client
	Start     unit.Date
	Now       time.Time
	// Previous is the plan before, of the same client: what has begun stands, the rest moves only where it must. nil for a
	// first plan.
	Previous *record.Plan
	// Pauses are stretches without training, asked for by the trainer; Closed are days on which the clinic is closed.
	Pauses, Closed []record.Span
	NoReviews      bool // leave out the meetings with the coach
	// sheet is the number of the newest sheet of a course that ended before this one, 0 without: the next one counts on, for a
	// client keeps the sheet with the higher number.
	sheet    int
	Discreet bool // the calendar's entries say nothing about health and send to the client's sheet
}

// Result is a plan, or the findings that refused it. Findings may hold cautions beside a plan.
type Result struct {
	Plan     *record.Plan // nil when a finding rejects
	Findings []finding.Finding
	Changes  []record.Change // against the plan before
	// New says that the course of the plan before had ended: this is another one, with identities of its own.
	New bool
}

// Compile runs the whole sequence. An error means that the input could not be compiled for a reason that is not about
// the author's data.
func (c *Compiler) Compile(in Input) (Result, error) {
	if in.Previous != nil && in.Previous.Client != in.Client.Record.ID {
		return Result{}, fmt.Errorf("the plan before is of client %s, the record of client %s, allowed: the same", in.Previous.Client, in.Client.Record.ID)
	}
	in, anew := newCourse(in)
	b := c.builder(in)
	var fs []finding.Finding
	seen := map[string]bool{}
	for i, p := range in.Protocols {
		if seen[p.Record.ID] {
			return Result{}, fmt.Errorf("protocol %s is named twice, allowed: each once", p.Record.ID)
		}
		seen[p.Record.ID] = true
		mine := c.protocol(b.judged(i), today(in.Client.Record.Zone, in.Now))
		for _, f := range mine {
			if f.Waiver != "" {
				b.waived = append(b.waived, f)
			}
		}
		fs = append(fs, mine...)
	}
	o := check.Occasion{Protocols: b.records(), Start: in.Start, Today: today(in.Client.Record.Zone, in.Now), Again: in.Previous != nil}
	o.Pause, o.Away = b.pauseOf(o.Today), b.pauses()
	fs = append(fs, c.Check.Client(in.Client, o)...)
	if finding.Rejected(fs) {
		return Result{Findings: finding.Sort(fs)}, nil
	}
	if err := b.place(); err != nil {
		return Result{}, err
	}
	more, err := b.loads()
	if err != nil {
		return Result{}, err
	}
	if fs = append(fs, more...); finding.Rejected(fs) {
		return Result{Findings: finding.Sort(fs)}, nil
	}
	b.adopt()
	if fs = append(fs, b.judge()...); finding.Rejected(fs) {
		return Result{Findings: finding.Sort(fs)}, nil
	}
	r := Result{Plan: b.plan(), Findings: finding.Sort(fs), New: anew}
	carry(r.Plan, in.Protocols)
	if in.Previous != nil {
		r.Changes = b.follow(r.Plan)
	}
	return r, nil
}

// protocol judges a protocol and applies the waivers that stand on a day.
func (c *Compiler) protocol(p *load.Protocol, day unit.Date) []finding.Finding {
	return c.Waivers.apply(c.Check.Protocol(p), p.Record.ID, day)
}

// builder prepares a compile: the protocols as this client can train them.
func (c *Compiler) builder(in Input) *builder {
	b := &builder{c: c, in: in}
	barred := c.Check.Barred(in.Client.Record)
	for _, p := range in.Protocols {
		b.protocols = append(b.protocols, fromLevel(oneHanded(p, in.Client.Record.Dominant, barred), in.Client.Record, in.Start))
	}
	return b
}

func (b *builder) records() (out []*record.Protocol) {
	for _, p := range b.protocols {
		out = append(out, p.Record)
	}
	return out
}
