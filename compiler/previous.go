package compiler

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// origin is the start that identities stand on: that of the first plan, wherever the course was moved since.
func (b *builder) origin() unit.Date {
	if p := b.in.Previous; p != nil {
		return cmp.Or(p.Origin, p.Start)
	}
	return b.in.Start
}

// newCourse is the input of a course that begins after that of the plan before has ended: it follows nothing, has the
// identities of its own start, and goes on with the number of the sheet. A course that has not ended is moved or gone on with.
func newCourse(in Input) (Input, bool) {
	if in.Previous == nil {
		return in, false
	}
	var last unit.Date
	for _, s := range in.Previous.Sessions {
		last = max(last, s.Start.Date())
	}
	if stop := in.Previous.Stopped; stop != 0 { // what was cancelled behind the stop was never trained
		last = max(stop-1, in.Previous.Start, in.Previous.Origin)
	}
	if last == 0 || in.Start <= last || today(in.Previous.Zone, in.Now) <= last {
		return in, false
	}
	in.sheet, in.Previous = in.Previous.Sheet, nil
	in.Pauses = slices.DeleteFunc(slices.Clone(in.Pauses), func(s record.Span) bool { return s.To < in.Start })
	return in, true
}

// wall is now as the client's clock shows it.
func (b *builder) wall() unit.Local {
	return wall(b.in.Client.Record.Zone, b.in.Now)
}

func wall(name string, now time.Time) unit.Local {
	loc, err := zone.Load(name)
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	t := now.In(loc)
	return unit.At(unit.DateOf(t), unit.Clock(t.Hour()*60+t.Minute()))
}

// standing is the sessions of the plan before that have begun: they stand as they are.
func (b *builder) standing() (out []record.Session) {
	if b.in.Previous == nil {
		return nil
	}
	now := b.wall()
	for _, s := range b.in.Previous.Sessions {
		if s.Start < now {
			out = append(out, s)
		}
	}
	return out
}

// adopt gives kinds that the plan before has already its names for them, and others names that are free, so that a session
// that stands keeps its kind.
func (b *builder) adopt() {
	prev := b.in.Previous
	if prev == nil {
		return
	}
	rename, taken := map[string]string{}, map[string]bool{}
	for k := range prev.Kinds {
		taken[k] = true
	}
	keys := sorted(b.kind)
	for _, key := range keys {
		text := kindText(b.kind[key])
		for _, old := range sorted(prev.Kinds) {
			if prev.Kinds[old].Protocol == b.kind[key].Protocol && kindText(prev.Kinds[old]) == text {
				rename[key] = old
				break
			}
		}
	}
	for _, key := range keys {
		if _, ok := rename[key]; ok {
			continue
		}
		base, name := strings.SplitN(key, ".", 2)[0], key
		for n := 2; taken[name]; n++ {
			name = fmt.Sprintf("%s.%d", base, n)
		}
		rename[key], taken[name] = name, true
	}
	kinds := map[string]record.Kind{}
	for key, k := range b.kind {
		kinds[rename[key]] = k
	}
	for i := range b.sessions {
		b.sessions[i].Kind = rename[b.sessions[i].Kind]
	}
	b.kind = kinds
}

func sorted[V any](m map[string]V) (out []string) {
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

func kindText(k record.Kind) string { return text(k) }

func text(v any) string {
	j, err := json.Marshal(v)
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	return string(j)
}

// follow makes p the plan after the plan before: what has begun stands, what did not change keeps its number, what changed is
// counted up, what went away is cancelled. It returns what a person must be told.
func (b *builder) follow(p *record.Plan) []record.Change {
	prev := b.in.Previous
	p.Sheet = prev.Sheet + 1
	if o := b.origin(); o != p.Start {
		p.Origin = o
	}
	f := follower{prev: prev, next: p, now: b.wall(), was: map[string]*record.Session{}, texts: map[*record.Plan]map[string]string{}}
	f.sessions()
	f.entries(today(p.Zone, b.in.Now))
	f.kinds()
	f.carried()
	if len(f.changes) == 0 {
		p.Sheet = prev.Sheet
		same := *p
		same.Now, same.Inputs, same.Told, same.Files = prev.Now, prev.Inputs, prev.Told, prev.Files
		if text(plainStamps(&same)) == text(plainStamps(prev)) {
			sitting := p.Sitting
			*p = *prev // nothing at all changed, so the same bytes
			p.Sitting = sitting
		}
	}
	return f.changes
}

// Stop ends a programme before a day: what would have stood on it or later is cancelled, and nothing is judged, so that
// nothing can keep a stop from being made. An error says that the day lies behind the plan or before now.
func (c *Compiler) Stop(prev *record.Plan, day unit.Date, now time.Time) (*record.Plan, []record.Change, error) {
	at := wall(prev.Zone, now)
	if day < at.Date() {
		return nil, nil, fmt.Errorf("the stop is on %s, which is past, allowed: %s or later", day, at.Date())
	}
	p := *prev
	p.Now, p.Sheet, p.Stopped = now.UTC().Format(time.RFC3339), prev.Sheet+1, day
	p.Sitting, p.Unplaced = c.Check.Base.Sitting, []record.Unplaced{}
	p.Inputs, p.Told, p.Files = "", 0, nil // no run over many clients takes it for the plan that it made
	p.Sessions, p.Others = nil, nil
	f := follower{prev: prev, next: &p, now: max(at, unit.At(day, 0)), was: map[string]*record.Session{}, texts: map[*record.Plan]map[string]string{}}
	p.Kinds = map[string]record.Kind{}
	f.sessions()
	f.entries(day)
	f.kinds()
	f.carried()
	if len(f.changes) == 0 {
		return nil, nil, fmt.Errorf("nothing stands in the plan on %s or later, allowed: a day on which something does", day)
	}
	return &p, f.changes, nil
}
