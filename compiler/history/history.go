// Package history is what happened to one client, asked by day: what closes training and tests, which sessions have begun and
// which of them were trained, with which loads, and which measurements count. Scheduler, loads, rules and follow-up ask here, so
// that no two of them disagree.
//
// A closing is a stretch of days on which something is not trained. Closings come from the client record, its diary and the pauses
// of a plan; whoever keeps dated facts elsewhere adds closings, and nothing else. An end that nobody wrote is not assumed: an
// illness goes on until its last day is known.
//
// A session has begun when its moment, in the zone that it was planned in, lies before now. It counts as trained unless it was
// cancelled, lies on a day that was closed, carried no number where it needs one, or a session log that covers its day says
// otherwise.
package history

import (
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// Input is what a history is made of.
type Input struct {
	Client    *record.Client
	Questions []Question
	Pauses    []record.Span       // without training, as the trainer asked for
	Closed    []record.Span       // days on which the clinic is closed
	Diary     []Entered           // what entries of the diary close
	Plan      *record.Plan        // the plan before; nil without
	Log       []record.SessionRow // of the session log; nil without
	Noted     []record.Entry      // of the diary, those that note a session among them; such a note tells of no other session
	Now       time.Time
}

// History answers questions about one client. It is made once for a run and never changes.
type History struct {
	in       Input
	now      unit.Local // as the client's clock shows it
	closings []closing
	begun    []record.Session
	started  map[string]bool // by uid: those that have begun
	said     map[string]bool // by uid: whether the log says that it was trained
	covers   record.Span     // the days of the session log, zero without
}

// New reads the facts.
func New(in Input) *History {
	h := &History{in: in, now: Wall(in.Client.Zone, in.Now)}
	h.close()
	if in.Plan == nil {
		return h
	}
	h.started = Started(in.Plan, in.Now, func(s record.Session) bool {
		k, day := h.kind(s), s.Start.Date()
		return h.Open(k.Modality, day) && !h.Bars(k, day)
	})
	for _, s := range in.Plan.Sessions {
		if h.started[s.UID] {
			h.begun = append(h.begun, s)
		}
	}
	h.read()
	return h
}

// Wall is now as a zone's clock shows it; whoever read the zone has checked it.
func Wall(name string, now time.Time) unit.Local {
	loc, err := zone.Load(name)
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	t := now.In(loc)
	return unit.At(unit.DateOf(t), unit.Clock(t.Hour()*60+t.Minute()))
}

// Begun says whether a session of a plan lies before now, by the clock of the zone that it was planned in.
func Begun(p *record.Plan, s record.Session, now time.Time) bool {
	return s.Start < Wall(p.ZoneOf(s), now)
}

// Started are the sessions of a plan that have begun by now, by UID, and with one what follows at once in the sitting that is going on:
// nobody moves that any more, unless it is closed by now.
func Started(p *record.Plan, now time.Time, open func(record.Session) bool) map[string]bool {
	out := map[string]bool{}
	var last record.Session
	for _, s := range p.Sessions {
		goesOn := last.UID != "" && s.Status != record.Cancelled && p.ZoneOf(last) == p.ZoneOf(s) && s.Start <= last.Until() && Wall(p.ZoneOf(s), now) <= last.Until()
		if !Begun(p, s, now) && !(goesOn && open(s)) {
			continue
		}
		if out[s.UID] = true; s.Status != record.Cancelled {
			last = s
		}
	}
	return out
}

// Now is now as the client's clock shows it.
func (h *History) Now() unit.Local { return h.now }

// Begun are the sessions of the plan before that have begun, cancelled ones too, by start; with one, what follows it in its sitting.
func (h *History) Begun() []record.Session { return h.begun }

// HasBegun says whether a session is one of them.
func (h *History) HasBegun(s record.Session) bool { return h.started[s.UID] }

// kind is the work of a session of the plan before.
func (h *History) kind(s record.Session) record.Kind { return h.in.Plan.Kinds[s.Kind] }

// Trained says whether a session of the plan before has begun and was trained.
func (h *History) Trained(s record.Session) bool {
	k := h.kind(s)
	switch {
	case s.Status == record.Cancelled, !h.started[s.UID]:
		return false
	case s.Status == record.Provisional && k.NoNumber && (k.Modality == record.WallSquat || k.Modality == record.Inspiratory):
		return false // nobody was told what to set
	}
	if done, ok := h.said[s.UID]; ok {
		return done
	}
	if h.covers.To != 0 && h.covers.Has(s.Start.Date()) {
		return false // the log covers the day and has no row for it
	}
	return h.Open(k.Modality, s.Start.Date())
}

// TrainedOf are the sessions of a protocol that were trained, by start; "" for those of all.
func (h *History) TrainedOf(protocol string) (out []record.Session) {
	for _, s := range h.begun {
		if (protocol == "" || s.Protocol == protocol) && h.Trained(s) {
			out = append(out, s)
		}
	}
	return out
}

// Load is what a session was trained with.
type Load struct {
	Date unit.Date
	record.Dose
}

// Loads are what the trained sessions of a protocol were trained with, by start.
func (h *History) Loads(protocol string) (out []Load) {
	for _, s := range h.TrainedOf(protocol) {
		k := h.kind(s)
		for _, d := range k.Loads {
			d.Protocol, d.Stage, d.Modality = k.Protocol, k.Stage, k.Modality
			out = append(out, Load{s.Start.Date(), d})
		}
	}
	return out
}

// read takes what the session log says of each session that has begun.
func (h *History) read() {
	h.said = map[string]bool{}
	for _, x := range Matched(h.in.Plan, h.in.Log) {
		d := x.At.Date()
		if h.covers.To == 0 {
			h.covers = record.Span{From: d, To: d}
		}
		h.covers.From, h.covers.To = min(h.covers.From, d), max(h.covers.To, d)
		h.hear(x)
	}
	for _, x := range OnPaper(h.in.Plan, h.in.Noted) {
		h.hear(x)
	}
}

// hear takes one row: of two that differ the one that says not trained counts.
func (h *History) hear(x record.SessionRow) {
	if x.UID == "" {
		return
	}
	before, known := h.said[x.UID]
	h.said[x.UID] = (before || !known) && x.Outcome != record.NotStarted
}

// Matched is the rows of a session log, each with the session that it is about. A row without a uid was noted on paper: it is about
// the sitting of its day that is nearest to its hour, and stands for every session of it; one that tells of a hand, for squeezes.
func Matched(p *record.Plan, rows []record.SessionRow) (out []record.SessionRow) {
	for _, x := range rows {
		var about []string
		if x.UID == "" && p != nil {
			about = sitting(p, x)
		}
		if len(about) == 0 {
			out = append(out, x)
		}
		for _, uid := range about {
			x.UID = uid
			out = append(out, x)
		}
	}
	return out
}

// sitting is the uids of the sitting that a row on paper is about.
func sitting(p *record.Plan, x record.SessionRow) (uids []string) {
	var best, now []record.Session
	near := unit.Local(-1)
	for _, s := range p.Sessions {
		if s.Status == record.Cancelled || s.Start.Date() != x.At.Date() {
			continue
		}
		now = append(now, s)
		if gap := max(s.Start-x.At, x.At-s.Start); near < 0 || gap < near {
			near, best = gap, nil
		}
		if !s.End {
			continue
		}
		if best == nil {
			best = now
		}
		now = nil
	}
	if best == nil {
		best = now // a sitting that a cancelled session ended
	}
	for _, s := range best {
		if x.Hand == "" || p.Kinds[s.Kind].Modality == record.Handgrip {
			uids = append(uids, s.UID)
		}
	}
	return uids
}

// Last is what was trained last of a modality.
type Last struct {
	Kind         record.Kind
	Days, PerDay int // days of the seven that end with it, and sessions on the fullest of them
}

// Newest is what was trained last of a modality, whatever protocol it was of.
func (h *History) Newest(m record.Modality) (last Last, ok bool) {
	perDay := map[unit.Date]int{}
	var end unit.Date
	for i := len(h.begun) - 1; i >= 0; i-- {
		s := h.begun[i]
		if h.kind(s).Modality != m || !h.Trained(s) {
			continue
		}
		d := s.Start.Date()
		if !ok {
			last.Kind, end, ok = h.kind(s), d, true
		}
		if end-d < 7 {
			perDay[d]++
			last.Days, last.PerDay = len(perDay), max(last.PerDay, perDay[d])
		}
	}
	return last, ok
}
