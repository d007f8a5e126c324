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

func (j *judging) sitting(s progress.Sitting) (spoken bool) {
	x := about("sitting").at(s.At, j.now, s.File, s.Line)
	x.mean("systolic", s.Systolic)
	x.mean("diastolic", s.Diastolic)
	if s.Pulse.Sign() > 0 {
		x.mean("pulse", s.Pulse)
	}
	g := j.f.Gate
	x.gate("gateSystolic", g.Systolic)
	x.gate("gateDiastolic", g.Diastolic)
	x.gate("effortSystolic", g.EffortSystolic)
	x.gate("effortDiastolic", g.EffortDiastolic)
	x.gate("emergencySystolic", g.EmergencySystolic)
	x.gate("emergencyDiastolic", g.EmergencyDiastolic)
	x.gate("lowSystolic", g.LowSystolic)
	x.gate("pulseCoach", g.PulseCoach)
	x.gate("pulseClinic", g.PulseClinic)
	x.gate("pulseFloor", j.f.PulseFloor)
	x.whole("slowing", j.c.Check.Slowing(j.log.Client.Record))
	x.truth("strainCleared", j.c.Check.StrainCleared(j.log.Client.Record, j.on))
	x.truth("onMedicine", j.f.Taking)
	x.truth("maternity", g.Maternity)
	x.truth("symptoms", s.Symptoms)
	x.truth("lowSymptoms", s.LowSymptoms)
	return j.judge(x)
}

// windows judges each window and the change between them, whatever the verdict says of it.
func (j *judging) windows() {
	for i, w := range j.f.Windows {
		if w.Readings == 0 {
			continue
		}
		x := about("window")
		x.on = w.To
		x.text("which", w.Which)
		x.truth("newest", i == len(j.f.Windows)-1)
		x.mean("systolic", w.Systolic)
		x.mean("diastolic", w.Diastolic)
		x.whole("days", w.Days)
		x.whole("readings", w.Readings)
		x.truth("enough", w.Enough)
		x.truth("lowSymptoms", w.LowSymptoms)
		x.whole("highDays", j.f.HighDays)
		// What was cleared is a pressure under the line of the clinic: a mean from there on is told whoever cleared it.
		if base := j.c.Check.Base; w.Systolic.Less(base.Limit("pressure-systolic-clearance", "below").Num) && w.Diastolic.Less(base.Limit("pressure-diastolic-clearance", "below").Num) && j.openedPressure() {
			x.truth("opened", true)
		}
		x.course(w, j.f.Plan)
		j.judge(x)
	}
	if j.f.Change == nil {
		return
	}
	base, last := j.f.Windows[0], j.f.Windows[1]
	x := about("change")
	x.on = last.To
	x.mean("fall", base.Systolic.Sub(last.Systolic))
	x.text("beyond", j.f.Change.Beyond)
	x.mean("systolic", last.Systolic)
	x.mean("diastolic", last.Diastolic)
	x.truth("onMedicine", j.f.Taking)
	x.truth("dizzy", last.LowSymptoms)
	x.course(last, j.f.Plan)
	j.judge(x)
}

// openedPressure says whether a clinician's clearance for pressure opens everything that is trained but slow breathing.
func (j *judging) openedPressure() bool {
	some := false
	for _, p := range j.on.Protocols {
		if p.Modality == record.SlowBreathing {
			continue
		}
		if some = true; !j.c.Check.Opened(j.log.Client.Record, "pressure", p.Modality, j.on.Today) {
			return false
		}
	}
	return some
}

// course sets how many weeks of the course lie behind a window.
func (x facts) course(w progress.Window, p *record.Plan) {
	if p != nil && w.To >= p.Start {
		x.whole("courseWeeks", int(w.To-p.Start+1)/7)
	}
}

func (j *judging) sessions() {
	t := j.f.Training
	if t == nil {
		return
	}
	x := about("sessions")
	x.whole("stops", t.Stops)
	if t.Known {
		x.share("twoWeekShare", t.TwoWeekShare)
		x.share("courseShare", t.CourseShare)
	}
	j.judge(x)
}

// share sets an exact share that is printed to a hundredth.
func (x facts) share(key string, d unit.Dec) {
	x.node.Set(key, &tree.Node{Kind: tree.Number, Num: d, Raw: d.Text(2)})
}

func (j *judging) tests() {
	x := about("test")
	hand, day, lost := j.c.Check.OneSidedLoss(j.log.Client, j.on.Today)
	x.truth("oneSided", lost)
	if lost {
		x.on = day
		x.text("hand", string(hand))
	}
	if left, ok, _ := j.standing(j.log); ok {
		x.whole("daysLeft", max(left, 0)) // past its limit, none is left
	}
	j.judge(x)
}

// medicines judges what changed in the medicines since the first visit, or since the prescriber was reached: what a first visit finds it
// says itself.
func (j *judging) medicines() {
	r := j.log.Client.Record
	since := max(r.Screened, 1)
	for _, call := range calls(j.log.Diary, j.on.Today) {
		if call.Told.Who == "prescriber" {
			since = max(since, call.Date)
		}
	}
	news := j.c.Check.Medicines(r, since, j.on.Today)
	x := about("medicines")
	x.on = news.On
	x.text("pairsToday", news.PairsToday)
	x.text("pairsWeek", news.PairsWeek)
	x.text("purpose", news.Purpose)
	x.text("raises", news.Raises)
	x.text("stopped", news.Stopped)
	j.judge(x)
}

// rows judges what could not be used. What such a row holds is judged as of its own day, where that could be read.
func (j *judging) rows() {
	if len(j.f.Rows) == 0 {
		return
	}
	unread := 0
	for _, p := range j.f.Rows {
		if !p.Kept && !p.Repeat {
			unread++
		}
		if p.Reaches(j.f.Gate) {
			j.held(p)
		}
	}
	x := about("rows")
	x.whole("unread", unread)
	j.judge(x)
}

func (j *judging) held(p record.RowProblem) {
	x := about("row")
	if x.file, x.line = p.File, p.Line; p.At > 0 {
		x = x.at(p.At, j.f.At, p.File, p.Line)
	}
	for key, n := range map[string]int{"largest": p.Largest, "heldDiastolic": p.Diastolic, "heldPulse": p.Pulse} {
		if n > 0 {
			x.whole(key, n)
		}
	}
	x.truth("unknown", p.Unknown)
	x.gate("gateSystolic", j.f.Gate.Systolic)
	x.gate("gateDiastolic", j.f.Gate.Diastolic)
	x.gate("pulseClinic", j.f.Gate.PulseClinic)
	j.judge(x)
}
