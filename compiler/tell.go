package compiler

import (
	"slices"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// judging holds what was found in a log to the rules about logs.
type judging struct {
	*programme
	log   Following
	f     *progress.Followed
	tells []progress.Tell

	harmless []unit.Local // sittings in which nothing was found
}

// checkLog judges everything that was found. A clinic's limits and options make no alert milder, later or absent: what it counts in
// another way, such as the days of a window, is judged as the rule base counts it too, and what is heard only there is told as well.
func (g *programme) checkLog(in Following, f *progress.Followed) []progress.Tell {
	tells := g.judgeLog(in, f)
	if c := g.c.alone; c != nil {
		base := *g
		base.c = c
		for _, t := range base.judgeLog(in, base.read(in)) {
			if !slices.ContainsFunc(tells, func(x progress.Tell) bool { return g.c.hears(x, t) }) {
				t.Why += "; so the rule base alone counts"
				tells = append(tells, t)
			}
		}
	}
	return progress.SortTells(tells)
}

// hears says whether an alert of a judgement stands for one of another: the same thing in the log, as urgent or more, by the same rule
// or one that may silence it.
func (c *Compiler) hears(x, t progress.Tell) bool {
	return x.On == t.On && x.File == t.File && x.Line == t.Line && progress.Urgency(x) <= progress.Urgency(t) && (x.Closes || !t.Closes) && c.Check.Base.Covers(x.Rule, t.Rule)
}

// judgeLog is the alerts, each as it was found.
func (g *programme) judgeLog(in Following, f *progress.Followed) []progress.Tell {
	j := judging{programme: g, log: in, f: f}
	for _, s := range slices.Concat(f.Sittings, f.Severe) {
		if n := len(j.tells); !j.sitting(s) && len(j.tells) == n {
			j.harmless = append(j.harmless, s.At)
		}
	}
	for _, s := range f.Standing {
		x := about("standing").at(s.At, g.now, s.File, s.Line)
		x.mean("systolic", s.Systolic)
		x.mean("diastolic", s.Diastolic)
		x.truth("lowSymptoms", s.LowSymptoms)
		if s.Seated {
			x.mean("seatedSystolic", s.SeatedSystolic)
			x.mean("seatedDiastolic", s.SeatedDiastolic)
		}
		j.judge(x)
	}
	for _, e := range f.Events {
		x := about("symptom").at(e.At, g.now, e.File, e.Line)
		x.text("what", e.What)
		x.grave = e.Grave
		x.truth("grave", e.Grave)
		x.truth("injury", e.Injury)
		x.truth("forPrescriber", e.Today == "prescriber")
		x.truth("forCoach", e.Today == "coach" && !e.Matter)
		x.truth("matterToday", e.Today == "coach" && e.Matter)
		x.truth("matter", e.Today == "" && e.Matter)
		x.truth("mild", e.What != "" && !e.Grave && !e.Injury && !e.Matter && e.Today == "")
		x.truth("known", e.What != "")
		x.closes = j.closedBy(e)
		x.truth("inSession", e.Session != nil)
		j.judge(x)
	}
	j.windows()
	j.sessions()
	j.tests()
	j.medicines()
	j.rows()
	j.remembered()
	return j.open()
}

// facts are one thing in a log, and where it stands.
type facts struct {
	node  *tree.Node
	on    unit.Date
	when  unit.Local // 0 where only the day is known
	grave bool
	// What it closes; nil for everything.
	closes []record.Modality
	file   string
	line   int
}

func about(kind string) facts {
	x := facts{node: tree.NewRecord()}
	x.text("kind", kind)
	return x
}

func (x facts) text(key, s string) { x.node.Set(key, tree.Str(s)) }

func (x facts) truth(key string, b bool) { x.node.Set(key, tree.Truth(b)) }

func (x facts) whole(key string, n int) { x.node.Set(key, tree.Int(n)) }

// mean sets an exact number that is printed to a tenth.
func (x facts) mean(key string, d unit.Dec) {
	x.node.Set(key, &tree.Node{Kind: tree.Number, Num: d, Raw: d.Text(1)})
}

// gate sets a line of the gate where there is one.
func (x facts) gate(key string, d unit.Dec) {
	if d.Sign() > 0 {
		x.node.Set(key, tree.Num(d))
	}
}

// at sets day and age, and the place.
func (x facts) at(l, now unit.Local, file string, line int) facts {
	x.on, x.when, x.file, x.line = l.Date(), l, file, line
	x.text("day", x.on.String())
	x.whole("ageDays", int(now.Date()-x.on))
	return x
}

// closedBy is what an event closes where it is told today: what its symptom names, or what unknown words close, and what it arose in.
func (j *judging) closedBy(e progress.Event) []record.Modality {
	closes := e.Closes
	if e.What == "" {
		closes = j.c.Check.Base.LogWords().Unknown
	}
	if closes == nil || e.Session == nil {
		return closes
	}
	return append(slices.Clone(closes), j.trainedIn(e.Session.UID)...)
}

// trainedIn is the modality of a planned session, none where the plan has no such session.
func (j *judging) trainedIn(uid string) []record.Modality {
	if j.log.Plan == nil {
		return nil
	}
	i := slices.IndexFunc(j.log.Plan.Sessions, func(s record.Session) bool { return s.UID == uid })
	if i < 0 {
		return nil
	}
	return []record.Modality{j.log.Plan.Kinds[j.log.Plan.Sessions[i].Kind].Modality}
}

// judge runs the rules on one thing, and says whether one was silenced because a clinician has spoken since.
func (j *judging) judge(x facts) (spoken bool) {
	if x.on == 0 {
		x.on = j.on.Today
	}
	for _, f := range j.c.Check.Judge("log", rule.Given{Node: x.node}) {
		r := j.c.Check.Base.Rule(f.Rule)
		t := progress.Tell{Who: r.Tell.Who, HowSoon: r.Tell.HowSoon, Why: f.Message, Do: r.Remedy, Rule: r.ID, Rationale: r.Rationale, Sources: r.Sources, On: x.on, Closes: r.Tell.Closes(), Grave: x.grave, File: x.file, Line: x.line}
		if r.Tell.DayAlone && x.on < j.on.Today { // the day is over; the coach still hears of it
			t.Closes, t.HowSoon = false, "this week"
		}
		if t.Day = r.Tell.DayAlone; t.Closes {
			concerned := 0
			for _, p := range j.on.Protocols {
				if x.closes != nil && !slices.Contains(x.closes, p.Modality) || !r.Tell.Shuts(p.Modality) {
					continue
				}
				concerned++
				if !j.c.Check.OpenedSince(j.log.Client.Record, p.Modality, x.on, j.on.Today) {
					t.Closed = append(t.Closed, p.Modality)
				}
			}
			if len(t.Closed) == 0 && concerned > 0 {
				spoken = true
				continue
			}
		}
		if t.At = x.when; t.At == 0 {
			t.At = unit.At(x.on+1, 0) - 1
		}
		j.tells = append(j.tells, t)
	}
	return spoken
}
