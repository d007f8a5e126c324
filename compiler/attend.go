package compiler

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/check"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Attending is one client of whom is asked what he or she needs of the trainer.
type Attending struct {
	Following                   // Client is Bare where the record cannot be read
	Zone      string            // where the client lives by now
	Runs      bool              // by a plan that cannot be trusted, so that Plan is nil
	Made      *Result           // what a compile of now comes to, after Plan; nil where none was tried
	Trial     *Result           // what a plan for Asked comes to, where no plan runs; nil where none was tried
	Refused   []finding.Finding // what keeps files of the client from being read or followed
	Asked     *record.NewCourse // the course that the diary asks for and no plan has; nil without
}

// attending works out what one client needs.
type attending struct {
	Attending
	c     *Compiler
	today unit.Date
	now   unit.Local
	calls []record.Entry // to whomever, reached
	tells []progress.Tell
	out   []progress.Matter
	stood *record.Client // the client as it stands, once somebody asked
}

// Attend says what a client needs of the trainer, the most urgent first; never nothing at all.
func (c *Compiler) Attend(in Attending) []progress.Matter {
	if in.Diary == nil {
		in.Diary = diary.Of(nil)
	}
	a := attending{Attending: in, c: c, now: history.Wall(in.Zone, in.Now)}
	a.today = a.now.Date()
	a.calls = calls(in.Diary, a.today)
	a.Felt = true
	a.tells = c.Follow(a.Following).Tells
	a.refused()
	a.alerts()
	a.holds()
	a.lowered()
	a.sheet()
	a.due()
	a.rest()
	if over := func(m progress.Matter) bool { return m.Need == progress.Over }; slices.ContainsFunc(a.out, over) { // nothing is to be opened any more
		a.out = slices.DeleteFunc(a.out, func(m progress.Matter) bool { return m.Need == progress.OnHold && m.Rule == DiaryCloses })
	}
	progress.SortMatters(a.out)
	return a.out
}

// Bare is a client of whom nothing else is known: the rule base alone then tells what stands in the logs.
func Bare(id, zone string) *load.Client {
	return &load.Client{Node: tree.NewRecord(), Told: true, Record: &record.Client{ID: id, Zone: zone, Answers: map[string]string{}}} // nothing of the diary opens anything
}

// stands is the client as record and diary tell of it now.
func (a *attending) stands() *record.Client {
	if a.stood == nil {
		a.stood = a.c.Stands(a.Client, a.Diary, a.Now).Record
	}
	return a.stood
}

func (a *attending) add(m progress.Matter) { a.out = append(a.out, m) }

// reached says whether one of those named was reached after a moment, about everything.
func (a *attending) reached(at unit.Local, whos ...string) bool {
	return slices.ContainsFunc(a.calls, func(x record.Entry) bool {
		return slices.Contains(whos, x.Told.Who) && len(x.Told.About) == 0 && laterThan(&x, at, a.now)
	})
}

// knows says whether the client was reached about an entry.
func (a *attending) knows(e *record.Entry) bool {
	return slices.ContainsFunc(a.calls, func(x record.Entry) bool {
		return x.Told.Who == "client" && (len(x.Told.About) == 0 || slices.Contains(x.Told.About, e.ID)) && diary.Later(&x, e)
	})
}

// refused is what keeps a new plan from being made while an older one runs.
func (a *attending) refused() {
	said := map[string]bool{}
	tell := func(f finding.Finding) {
		m := a.found(progress.ThisWeek, f)
		if f.Rule == load.Unreadable && f.Pos.File != "" {
			m.Says = f.Pos.File + " " + m.Says
		}
		if f.Rejects() && a.runs() {
			m.Need, m.Says = progress.Refused, "no new plan can be made: "+m.Says
		}
		if !said[m.Says] {
			said[m.Says] = true
			a.add(m)
		}
	}
	for _, f := range a.Refused {
		tell(f)
	}
	if a.Made == nil {
		return
	}
	for _, f := range a.Made.Findings {
		if f.Rejects() && f.Held == "" {
			tell(f)
		}
	}
}

// found is a matter that a finding tells of.
func (a *attending) found(n progress.Need, f finding.Finding) progress.Matter {
	return progress.Matter{Need: n, Says: finding.Plain(f.Message), Act: f.Remedy, Rule: f.Rule, Why: f.Rationale, Sources: f.Sources, File: f.Pos.File, Line: f.Pos.Line}
}

// runs says whether the client has a plan with sessions to come.
func (a *attending) runs() bool {
	return a.Runs || a.next(func(record.Session) bool { return true }) != 0
}

// next is the first session to come of the client's plan that the client may still go to; 0 without one.
func (a *attending) next(of func(record.Session) bool) unit.Local {
	if a.Plan == nil || a.Plan.Stopped != 0 && a.Plan.Stopped <= a.today {
		return 0
	}
	for _, s := range a.Plan.Sessions {
		if s.Status != record.Cancelled && !history.Begun(a.Plan, s, a.Now) && of(s) {
			return s.Start
		}
	}
	return 0
}

// alerts are what logs and words of the diary tell of.
func (a *attending) alerts() {
	for _, t := range a.tells {
		m := progress.Matter{Says: finding.Plain(t.Why), Act: t.Do, On: t.On, Rule: t.Rule, Why: t.Rationale, Sources: t.Sources, File: t.File, Line: t.Line}
		if strings.HasSuffix(t.File, load.DiaryEnd) {
			m.Says = strings.Replace(m.Says, "the log of ", "the diary of ", 1)
		}
		switch {
		case t.HowSoon == "now":
			m.Need = progress.Emergency
			if a.reached(t.At, "client", "emergency") {
				m.Need, m.Act = progress.OnHold, "a clinician's clearance for "+check.GateLog+", of a later day, opens training again"
			}
		case t.Rule == "log-symptom-unknown":
			m.Need, m.Act = progress.Unread, t.Do+": isocue enter RECORD read nothing --row MOMENT, or the symptom that they name"
			if strings.HasSuffix(t.File, load.DiaryEnd) {
				m.Act = t.Do + ": isocue enter RECORD read ENTRY nothing, or the symptom that they name"
			}
		case t.HowSoon == "today":
			m.Need, m.Act = progress.Today, "ring the client, then the "+t.Who+"; "+t.Do
			if t.Who == "coach" {
				m.Act = "ring the client; " + t.Do
			}
			if !a.reached(t.At, t.Who) {
				break
			}
			switch m.Need = progress.OnHold; {
			case len(t.Closed) > 0 && !a.reached(t.At, "client"):
				m.Need, m.Act, m.Next = progress.NotTold, "ring the client", a.nextOf(t.Closed)
			case t.Grave:
				m.Act = "a clinician's clearance for " + check.GateLog + ", of a later day, opens training again"
			default:
				m.Act = "who has to know was reached; a harmless reading, or the symptom questions, later than that call opens training again: isocue enter RECORD asked no"
			}
		case t.Rule == "log-measure-due":
			m.Need = progress.TestDue
		case t.HowSoon == "this week":
			if m.Need = progress.ThisWeek; a.reached(t.At, t.Who) || a.reached(unit.At(a.today-6, 0), t.Who) {
				continue
			}
			if t.Who != "coach" && !strings.Contains(t.Do, t.Who) {
				m.Act = "tell the " + t.Who + "; " + t.Do
			}
		default:
			continue // it waits for the next visit
		}
		a.add(m)
	}
}

func (a *attending) nextOf(ms []record.Modality) unit.Local {
	return a.next(func(s record.Session) bool { return slices.Contains(ms, a.Plan.Kinds[s.Kind].Modality) })
}

// made is when the newest sheet was made, on the client's clock.
func (a *attending) made() unit.Local {
	t, err := time.Parse(time.RFC3339, a.Plan.Now)
	if err != nil {
		return a.now
	}
	return history.Wall(a.Plan.Zone, t)
}

// on says a moment as a trainer reads it.
func on(at unit.Local) string {
	return fmt.Sprintf("%s %s at %s", at.Date().Weekday().String()[:3], at.Date(), at.Clock())
}
