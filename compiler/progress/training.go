package progress

import (
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/history"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Training is what was done of what was due.
type Training struct {
	Weeks []Week // empty without a plan
	// Known says whether shares are known: there is a plan, and its first weeks have passed. TwoWeekShare is of the last weeks,
	// CourseShare of the course so far.
	Known                     bool
	TwoWeekShare, CourseShare unit.Dec
	Due, Done                 int  // over the course so far
	Partial                   bool // the diary alone tells of sessions: Done are those that it names, and what was due is not counted
	// Stops counts the sessions of the last weeks that were stopped, or not begun because of a reading.
	Stops    int
	DropOuts []DropOut // squeezes of the last weeks that were let go early, by hand
	Strange  int       // rows whose session the plan does not have
}

// Week counts the sessions of one week of the course.
type Week struct {
	Week                              int `json:"week"`
	Due, Done, Stopped, GateShut, Not int `json:"-"`
}

// DropOut is how often one hand let go early, and the shortest it held.
type DropOut struct {
	Hand     record.Hand
	Sessions int
	Shortest unit.Dec // seconds
}

// Incident is a faint, chest pain or injury in or after a session. It is shown, and never counts as training done.
type Incident struct {
	At                  unit.Local
	What, Session, Load string
	UID                 string
	Told                string // who was told, "" where nobody is named
	File                string
	Line                int
}

// state is what became of one session.
type state struct {
	outcome record.Outcome
	gate    bool // not begun because of a reading
	at      unit.Local
	hands   map[record.Hand]unit.Dec
}

// training counts the session log against the plan.
func training(in Input, incidents []Incident) *Training {
	if !in.Asked {
		return nil
	}
	t := &Training{}
	states := t.states(in)
	for _, x := range incidents {
		if s := states[x.UID]; s != nil && s.outcome == record.Completed {
			s.outcome = record.Stopped
		}
	}
	recent := in.Now - unit.Local(in.Figures.RecentDays)*24*60
	drops := map[record.Hand]*DropOut{}
	for _, s := range states {
		if s.at <= recent || s.at > in.Now {
			continue
		}
		if s.outcome == record.Stopped || s.gate {
			t.Stops++
		}
		for h, held := range s.hands {
			d := drops[h]
			if d == nil {
				d = &DropOut{Hand: h, Shortest: held}
				drops[h] = d
			}
			d.Sessions++
			if held.Less(d.Shortest) {
				d.Shortest = held
			}
		}
	}
	for _, h := range []record.Hand{record.Left, record.Right} {
		if d := drops[h]; d != nil {
			t.DropOuts = append(t.DropOuts, *d)
		}
	}
	switch t.Partial = in.Partial; {
	case t.Partial:
		for _, s := range states {
			if s.outcome == record.Completed {
				t.Done++
			}
		}
	case in.Plan != nil:
		t.count(in, states)
	}
	return t
}

// states folds the rows of each session into one. A row without a uid is a session of its own.
func (t *Training) states(in Input) map[string]*state {
	out := map[string]*state{}
	for _, x := range history.Matched(in.Plan, in.Sessions) {
		key := x.UID
		if key == "" {
			key = fmt.Sprintf("%s:%d", x.File, x.Line)
		}
		if in.Plan != nil && planned(in.Plan, x.UID) == nil {
			t.Strange++
		}
		s := out[key]
		if s == nil {
			s = &state{at: x.At, hands: map[record.Hand]unit.Dec{}}
			out[key] = s
		}
		switch {
		case x.Outcome == record.Stopped || s.outcome == record.Stopped:
			s.outcome = record.Stopped
		case x.Outcome == record.Completed || s.outcome == "":
			s.outcome = x.Outcome
		}
		if x.Outcome == record.NotStarted && x.Systolic > 0 {
			sys, dia := unit.Int(int64(x.Systolic)), unit.Int(int64(x.Diastolic))
			s.gate = s.gate || in.over(sys, dia) || sys.Less(in.Gate.LowSystolic)
		}
		if x.Outcome == record.Stopped && x.Hand != "" {
			if held, ok := s.hands[x.Hand]; !ok || x.HeldSeconds.Less(held) {
				s.hands[x.Hand] = x.HeldSeconds
			}
		}
	}
	return out
}

// count sets what was done against what was due, by week of the course.
func (t *Training) count(in Input, states map[string]*state) {
	week := map[int]*Week{}
	due14, done14 := 0, 0
	recent := in.Now - unit.Local(in.Figures.RecentDays)*24*60
	for _, p := range in.Plan.Sessions {
		if p.Status == record.Cancelled || p.Start > in.Now || states[p.UID] == nil && !in.Open(in.Plan.Kinds[p.Kind].Modality, p.Start.Date()) {
			continue
		}
		w := week[p.Week]
		if w == nil {
			w = &Week{Week: p.Week}
			week[p.Week] = w
		}
		w.Due++
		done := false
		switch s := states[p.UID]; {
		case s == nil:
			w.Not++
		case s.outcome == record.Completed:
			w.Done++
			done = true
		case s.outcome == record.Stopped:
			w.Stopped++
		case s.gate:
			w.GateShut++
		default:
			w.Not++
		}
		t.Due++
		if done {
			t.Done++
		}
		if p.Start > recent {
			due14++
			if done {
				done14++
			}
		}
	}
	for _, w := range week {
		t.Weeks = append(t.Weeks, *w)
	}
	slices.SortFunc(t.Weeks, func(a, b Week) int { return a.Week - b.Week })
	if t.Due == 0 || in.Now.Date() < in.Plan.Start+unit.Date(in.Figures.RecentDays) {
		return
	}
	t.Known = true
	t.CourseShare = unit.Ratio(int64(t.Done), int64(t.Due))
	t.TwoWeekShare = t.CourseShare
	if due14 > 0 {
		t.TwoWeekShare = unit.Ratio(int64(done14), int64(due14))
	}
}

// incidents picks the events that the lead coach is shown.
func incidents(in Input, es []Event) (out []Incident) {
	for _, e := range es {
		if !e.Incident || e.Session == nil {
			continue
		}
		x := Incident{At: e.At, What: e.What, UID: e.Session.UID, Told: e.Session.Told, File: e.File, Line: e.Line, Session: "session of " + e.Session.At.Date().String()}
		if p := planned(in.Plan, e.Session.UID); p != nil {
			k := in.Plan.Kinds[p.Kind]
			x.Session, x.Load = fmt.Sprintf("%s, week %d", k.Title, p.Week), loadWords(k)
		}
		out = append(out, x)
	}
	return out
}

// loadWords is the loads of a kind on one line: right 12 kgf, left 10.5 kgf.
func loadWords(k record.Kind) string {
	var parts []string
	for _, d := range k.Loads {
		parts = append(parts, strings.TrimSpace(fmt.Sprintf("%s %s %s", d.Hand, d.Set, d.Unit)))
	}
	return strings.Join(parts, ", ")
}
