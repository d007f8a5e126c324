package compiler

import (
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// What each kind of thing in a follow-up is to the rules: sittings, windows and the change between them, sessions, tests, medicines, rows.

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
