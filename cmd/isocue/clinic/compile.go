package clinic

import (
	"path/filepath"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Order is what one compile is asked for.
type Order struct {
	Protocols     []string       // words, as Open takes them; none for those of the plan before
	Before        *Before        // the plan before; nil for none
	Client        string         // the client record
	Input         compiler.Input // start, pauses, closing days, meetings, the plan before
	Log, Sessions string         // the client's logs, "" for none
	Reading       Reading
	Pack          bool // a pack is made: the record must say whom to call
	Calendar      bool // the calendar goes out alone, without a pack
}

// Made is what became of an order.
type Made struct {
	compiler.Result
	Input  compiler.Input
	Engine *compiler.Compiler // in the client's language
}

// Compile reads what the order names and compiles it. What was found stands in j.Found; a plan is made only where none of it
// rejects.
func (j *Judging) Compile(o Order) (m Made, err error) {
	const order = "name the protocols first and the client record behind --client"
	m.Input, m.Engine = o.Input, j.Under
	in := &m.Input
	in.Now = j.Now
	if o.Before != nil && len(o.Protocols) == 0 {
		p := o.Before.Plan
		if in.Protocols, err = j.own(j.Under, p, o.Before.Name, o.Before.bytes, history.Wall(p.Zone, in.Now), nil); err != nil {
			return m, err
		}
	}
	for _, w := range o.Protocols {
		f, err := j.Open(w, "standard-input")
		if err != nil {
			return m, err
		}
		j.Found = append(j.Found, f.Findings...)
		j.WrongKind(f, load.IsProtocol, order)
		for i := range f.Protocols {
			in.Protocols = append(in.Protocols, &f.Protocols[i])
		}
	}
	f, err := j.OpenClient(o.Client)
	if err != nil {
		return m, err
	}
	in.Client = f.Client
	if o.Pack {
		j.Found = append(j.Found, callable(f.Client)...)
	}
	j.Found = append(j.Found, f.Findings...)
	var copies []string
	if f.Client != nil {
		b := j.around(o.Client, f.Client.Record.ID, o.Log, o.Sessions)
		j.Found, copies = append(j.Found, b.trouble...), b.copies
		for _, x := range []struct {
			named  *string
			beside string
		}{{&o.Log, b.log}, {&o.Sessions, b.sessions}} {
			if *x.named != x.beside {
				j.Say("read beside the record: %s", filepath.ToSlash(x.beside))
				*x.named = x.beside
			}
		}
	}
	for i := range f.Protocols {
		in.Protocols = append(in.Protocols, &f.Protocols[i])
	}
	j.WrongKind(f, load.IsClient, order)
	if in.Begin != 0 { // what is added stands beside the plan's own
		p := o.Before.Plan
		own, err := j.own(j.Under, p, o.Before.Name, o.Before.bytes, history.Wall(p.Zone, in.Now), in.Protocols)
		if err != nil {
			return m, err
		}
		for _, x := range own {
			if !named(in.Protocols, x.Record.ID) {
				in.Protocols = append(in.Protocols, x)
			}
		}
	}
	if o.Before != nil {
		if err := MayJoin(*in, o.Before.Name); err != nil {
			return m, err
		}
	}
	id := ""
	switch {
	case f.Client != nil:
		id = f.Client.Record.ID
	case o.Before != nil:
		id = o.Before.Plan.Client
	}
	told, err := withDiary(j.Under, in, diaryBy(o.Client, id), copies, f.Client, func(d *load.File) { j.Files[d.Name] = d })
	if err != nil {
		return m, err
	}
	if len(o.Protocols) == 0 && !in.Move && !finding.Rejected(told) {
		more, err := j.courses(j.Under, in, o.Client)
		if err != nil {
			return m, err
		}
		told = append(told, more...)
	}
	refused := func() (Made, error) {
		fs, err := o.holdsAlone(j.Under, &m)
		j.Found = append(j.Found, fs...)
		return m, err
	}
	if j.Found = append(j.Found, told...); finding.Rejected(j.Found) {
		return refused()
	}
	shut, err := shut(j.Under, in, o.Log, o.Sessions, j.keep, j.Say)
	if err != nil {
		return m, err
	}
	if j.Found = append(j.Found, shut...); finding.Rejected(j.Found) {
		return refused()
	}
	if m.Engine, *in, err = o.Reading.in(j.Under, *in); err != nil {
		return m, err
	}
	if in.Discreet && o.Calendar {
		return m, ErrDiscreet
	}
	m.Result, err = m.Engine.Compile(*in)
	j.Found = append(j.Found, m.Findings...)
	return m, err
}

// MayRestart says whether a start may follow a plan that was stopped: a new course, from the day of the stop on.
func MayRestart(in compiler.Input, now time.Time) bool {
	p := in.Previous
	return p == nil || p.Stopped == 0 || Today(p.Zone, now) >= p.Stopped && in.Start >= p.Stopped && in.Start > max(p.Start, p.Origin)
}

// Next is the next session that a client trains by a plan which a refusal left as it was; nil where there is none.
func Next(in compiler.Input) *record.Session {
	p := in.Previous
	if p == nil || p.Stopped != 0 {
		return nil
	}
	now := history.Wall(p.Zone, in.Now)
	for i, s := range p.Sessions {
		if s.Status != record.Cancelled && s.Start > now {
			return &p.Sessions[i]
		}
	}
	return nil
}

// Ended is a protocol of the plan before that was not named again, and how many sessions that cancels.
type Ended struct {
	Protocol string
	Sessions int
}

// LeftOut are the protocols of the plan before that were not named again: a word forgotten on the command line ends a protocol, and
// among forty cancelled sessions nobody sees that.
func (m Made) LeftOut() (out []Ended) {
	for _, c := range m.Changes {
		if c.What != "cancelled" || c.Entry != "" || c.Protocol == "" || named(m.Input.Protocols, c.Protocol) {
			continue
		}
		i := 0
		for i < len(out) && out[i].Protocol != c.Protocol {
			i++
		}
		if i == len(out) {
			out = append(out, Ended{Protocol: c.Protocol})
		}
		out[i].Sessions++
	}
	return out
}

func named(ps []*load.Protocol, id string) bool {
	for _, p := range ps {
		if p.Record.ID == id {
			return true
		}
	}
	return false
}

// Today is the civil date in a zone of a plan that was read; the reader has checked it.
func Today(name string, now time.Time) unit.Date { return history.Wall(name, now).Date() }
