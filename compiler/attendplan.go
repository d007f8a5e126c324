package compiler

import (
	"fmt"
	"slices"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// What the plan asks of the trainer: a hold, a stop or a lowered load that the client was not told of, and a sheet that is not in the
// client's hands.

// holds are what is closed for now, each cause once.
func (a *attending) holds() {
	if a.Plan == nil {
		return
	}
	if p := a.Plan; p.Stopped != 0 && p.Stopped <= a.today {
		if at := a.cancelled(func(record.Session) bool { return true }); at != 0 && !a.reached(a.made(), "client") {
			a.add(progress.Matter{Need: progress.NotTold, Says: fmt.Sprintf("the programme was stopped on %s", p.Stopped), Act: "ring the client, whose sheet is void", Next: at, On: p.Stopped})
		}
		return
	}
	a.hands()
	causes := a.causes()
	for _, x := range causes {
		m := a.found(progress.OnHold, x.Finding)
		m.On = x.on
		shut := func(s record.Session) bool { return slices.Contains(x.protocols, s.Protocol) }
		if coming := a.next(shut); coming != 0 {
			m.Says += fmt.Sprintf("; sheet %d still has a session on %s", a.Plan.Sheet, on(coming))
		}
		if x.told && x.Path == string(record.Stop) {
			m.Need = progress.Over
		}
		if !x.told {
			m.Need, m.Act = progress.NotTold, "ring the client, whose sheet is void"
			if m.Next = a.next(shut); m.Next == 0 {
				m.Next = a.cancelled(shut)
			}
		}
		a.add(m)
	}
}

// hands are those that must not be trained by now, as long as the client was not told: the sheet in the client's hands still squeezes
// with them.
func (a *attending) hands() {
	grip := func(s record.Session) bool { return a.Plan.Kinds[s.Kind].Modality == record.Handgrip }
	for _, e := range a.Diary.Live() {
		if e.What != record.Begins || e.Condition.Side == "" || a.next(grip) == 0 || a.knows(&e) {
			continue
		}
		if a.c.Check.Barred(a.stands(), a.today)[e.Condition.Side] {
			a.add(progress.Matter{Need: progress.NotTold, Says: fmt.Sprintf("the %s hand must not be trained (%s from %s)", e.Condition.Side, e.Condition.Code, e.Date),
				Act: "ring the client, whose sheet still squeezes with it", Next: a.next(grip), On: e.Date})
		}
	}
}

// cancelled is the first session to come that the newest sheet cancels, and that an older one in the client's hands has.
func (a *attending) cancelled(of func(record.Session) bool) unit.Local {
	for _, s := range a.Plan.Sessions {
		if s.Status == record.Cancelled && !history.Begun(a.Plan, s, a.Now) && of(s) {
			return s.Start
		}
	}
	return 0
}

// cause is why protocols are held.
type cause struct {
	finding.Finding
	on        unit.Date
	protocols []string
	told      bool
}

// causes are why the plan, or the one that would be made now, holds protocols.
func (a *attending) causes() (out []cause) {
	if a.Made != nil {
		for _, f := range a.Made.Findings {
			if f.Held != "" {
				out = a.because(out, f, f.Held)
			}
		}
	} else {
		for _, h := range a.Plan.Holds {
			out = a.because(out, finding.Finding{Rule: h.Rule, Message: h.Why, Verdict: finding.Unsafe}, h.Protocol)
		}
	}
	return out
}

// because adds a cause, or a protocol to one that is there. An alert of a log is told where it was found.
func (a *attending) because(all []cause, f finding.Finding, protocol string) []cause {
	if slices.ContainsFunc(a.tells, func(t progress.Tell) bool { return t.Rule == f.Rule && len(t.Closed) > 0 }) {
		return all
	}
	if f.Rule == DiaryCloses && slices.ContainsFunc(a.tells, func(t progress.Tell) bool { return t.Line == f.Pos.Line && t.File == f.Pos.File && len(t.Closed) > 0 }) {
		return all // its words tell a danger sign
	}
	for i := range all {
		if all[i].Message == f.Message && all[i].Pos == f.Pos {
			all[i].protocols = append(all[i].protocols, protocol)
			return all
		}
	}
	x := cause{Finding: f, on: a.today, protocols: []string{protocol}}
	for _, h := range a.Plan.Holds {
		if h.Protocol == protocol {
			x.on = h.Since
			x.told = a.reached(a.made(), "client")
		}
	}
	for _, e := range a.Diary.Live() {
		if e.Line == f.Pos.Line && e.File == f.Pos.File {
			x.on, x.told = e.Date, a.knows(&e)
		}
	}
	return append(all, x)
}

// lowered is a load that the newest sheet lowered, as long as the client was not told.
func (a *attending) lowered() {
	if a.Plan == nil || a.Plan.Sheet < 2 || a.reached(a.made(), "client") {
		return
	}
	type hand struct {
		protocol string
		hand     record.Hand
	}
	last := map[hand]record.Dose{}
	for _, s := range a.Plan.Sessions {
		if s.Status == record.Cancelled {
			continue
		}
		begun := history.Begun(a.Plan, s, a.Now)
		for _, d := range a.Plan.Kinds[s.Kind].Loads {
			k := hand{s.Protocol, d.Hand}
			was, known := last[k]
			switch {
			case begun:
				last[k] = d
			case known && s.Sheet == a.Plan.Sheet && d.Unit == was.Unit && d.Set.Sign() > 0 && d.Set.Cmp(was.Set) < 0:
				side := ""
				if d.Hand != "" {
					side = string(d.Hand) + " "
				}
				a.add(progress.Matter{Need: progress.NotTold, Says: fmt.Sprintf("sheet %d lowers %s from %s%s to %s %s", a.Plan.Sheet, s.Protocol, side, was.Set, d.Set, d.Unit),
					Act: "ring the client, and hand out the sheet", Next: s.Start, On: a.made().Date()})
				return
			}
		}
	}
}

// sheet is a plan that has to be made anew, or the newest sheet as long as it is not in the client's hands.
func (a *attending) sheet() {
	switch {
	case a.Asked != nil && (a.Plan == nil || !a.runs()) && a.Trial != nil && a.Trial.Plan == nil && finding.Rejected(a.Trial.Findings):
		for _, f := range a.Trial.Findings {
			if f.Rejects() {
				m := a.found(progress.Refused, f)
				m.Says, m.On = progress.Asks(a.Asked)+", and no plan can be made: "+m.Says, a.Asked.Start
				a.add(m)
			}
		}
	case a.Asked != nil && (a.Plan == nil || !a.runs()):
		a.add(progress.Matter{Need: progress.HandOut, Says: progress.Asks(a.Asked) + ", and no plan is made yet", Act: "make the plan, and hand out the sheet", On: a.Asked.Start})
	case a.Plan == nil || a.Plan.Stopped != 0 && a.Plan.Stopped <= a.today:
	case a.Made != nil && a.Made.Plan != nil && altered(a.Made.Changes):
		a.add(progress.Matter{Need: progress.HandOut, Says: fmt.Sprintf("sheet %d no longer fits what was entered", a.Plan.Sheet), Act: fmt.Sprintf("make sheet %d, and hand it out", a.Made.Plan.Sheet), On: a.today})
	case a.runs() && !a.inHand():
		a.add(progress.Matter{Need: progress.HandOut, Says: fmt.Sprintf("sheet %d is not in the client's hands", a.Plan.Sheet), Act: fmt.Sprintf("hand out sheet %d, and enter it: isocue enter RECORD told client reached", a.Plan.Sheet), On: a.made().Date()})
	}
}

// altered says whether a plan says anything else than the one before; other words for the same are no reason to hand it out.
func altered(all []record.Change) bool {
	return slices.ContainsFunc(all, func(c record.Change) bool { return c.What != "reworded" })
}

// inHand says whether the client has the newest sheet: was reached since it was made or, of the first one, has trained by it.
func (a *attending) inHand() bool {
	if a.reached(a.made(), "client") {
		return true
	}
	if a.Plan.Sheet > 1 {
		return false
	}
	if a.Sessions != nil && slices.ContainsFunc(a.Sessions.Sessions, func(s record.SessionRow) bool { return s.At > a.made() }) {
		return true
	}
	return slices.ContainsFunc(a.Diary.Live(), func(e record.Entry) bool { return e.What == record.DidTrain && unit.At(e.Date+1, 0) > a.made() })
}
