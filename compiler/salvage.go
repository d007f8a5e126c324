package compiler

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"iter"
	"math"
	"regexp"
	"slices"
	"time"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/check"
	"isocue.example/compiler/history"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/zone"
)

// A stop must work from a plan that cannot be trusted: the client still has its calendar. So of such a plan only that is taken by which
// an entry is called back, its uid, its time and how often it changed, and in what language and by which numbers the client is told of
// it; each by itself, so that one that is broken hides no other. No load, step, title or line of the gate comes out of it.

// uidText are the uids that a calendar takes.
var uidText = regexp.MustCompile(`^[A-Za-z0-9.@-]{1,200}$`)

// loose are the fields of a JSON record, each read by itself.
type loose map[string]json.RawMessage

// into reads one field, and says whether it could be read; what cannot be leaves v as it was.
func (l loose) into(name string, v any) bool {
	src, ok := l[name]
	return ok && json.Unmarshal(src, v) == nil
}

// list are the records of a list field, one by one: of a plan that somebody padded there may be millions, and few are wanted.
func (l loose) list(name string) iter.Seq[loose] {
	return func(yield func(loose) bool) {
		d := json.NewDecoder(bytes.NewReader(l[name]))
		if open, err := d.Token(); err != nil || open != json.Delim('[') {
			return
		}
		var src json.RawMessage
		for d.More() {
			if d.Decode(&src) != nil {
				return
			}
			var x loose
			if len(src) > len("{}") && json.Unmarshal(src, &x) == nil && !yield(x) {
				return
			}
		}
	}
}

// Salvage is what can be called back of a plan that cannot be trusted: its entries from now on, bare of all that they say. lost is how
// many entries could not even be named. calendar is the one that stands beside it, nil for none: it names what the plan does not. An
// error says that nothing could.
func (c *Compiler) Salvage(src, calendar []byte, now time.Time) (p *record.Plan, lost int, err error) {
	top, sessions, others := ofPlan(src)
	entries, zoneThere := inCalendar(calendar)
	p = &record.Plan{Version: record.PlanVersion, Kinds: map[string]record.Kind{}, Waivers: []string{}, Measured: []string{}, Sitting: c.Check.Base.Sitting}
	top.into("client", &p.Client)
	if !idText.MatchString(p.Client) {
		p.Client = "unknown"
	}
	top.into("zone", &p.Zone)
	p.Zone = cmp.Or(p.Zone, zoneThere, "UTC")
	if _, err := zone.Load(p.Zone); err != nil {
		p.Zone = "UTC"
	}
	l := say.English()
	if top.into("language", &p.Language); p.Language != "" {
		if in, ok := say.In(p.Language); ok {
			l = in
		} else {
			p.Language = ""
		}
	}
	if mine, err := c.In(l); err == nil {
		p.Cautions = mine.Check.Base.Cautions
	}
	top.into("discreet", &p.Discreet)
	for name, into := range map[string]*string{"emergency": &p.Emergency, "coach": &p.Coach, "clinic": &p.Clinic} {
		if top.into(name, into); !phoneText.MatchString(*into) {
			*into = ""
		}
	}
	squeezes := &record.Protocol{Modality: record.Handgrip} // so that the line for effort is among those of the rules
	p.Gate = c.Check.Gate(&record.Client{}, check.Occasion{Protocols: []*record.Protocol{squeezes}})
	p.Rules, p.TZData = c.Check.Base.Version, zone.Version()
	p.Now = now.UTC().Format(time.RFC3339)
	s := salvage{c: c, l: l, p: p, from: history.Wall(p.Zone, now), seen: map[string]bool{}}
	if top.into("sheet", &p.Sheet); p.Sheet < 1 || p.Sheet > most {
		p.Sheet = 1
	}
	top.into("start", &s.start)
	if !top.into("origin", &s.origin) {
		s.origin = s.start
	}
	s.courses = map[string]record.Course{}
	for x := range top.list("courses") {
		if len(s.courses) == bound.Protocols {
			break
		}
		c := record.Course{Protocol: x.word("protocol")}
		if x.into("start", &c.Start) && x.into("origin", &c.Origin) {
			s.courses[c.Protocol] = c
		}
	}
	s.all(sessions, others, entries)
	if len(s.seen) == 0 && s.lost == 0 && s.past == 0 {
		return nil, 0, errors.New("no entry of the plan can be read; delete the programme's own calendar on the client's phone")
	}
	for _, x := range p.Sessions {
		p.Start = min(cmp.Or(p.Start, x.Start.Date()), x.Start.Date())
		p.Sheet = max(p.Sheet, x.Sequence+1)
	}
	for _, x := range p.Others {
		p.Start = min(cmp.Or(p.Start, x.Date), x.Date)
		p.Sheet = max(p.Sheet, x.Sequence+1)
	}
	slices.SortStableFunc(p.Sessions, func(x, y record.Session) int { return int(x.Start - y.Start) })
	slices.SortStableFunc(p.Others, byDate)
	return p, s.lost, nil
}

var (
	idText    = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$`)
	phoneText = regexp.MustCompile(`^[+0-9][0-9 ()/.-]{1,30}$`)
)

// most is the highest number of changes that is believed; a calendar counts them in 32 bits.
const most = math.MaxInt16
