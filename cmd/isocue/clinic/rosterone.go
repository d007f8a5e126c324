package clinic

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"

	"isocue.example/compiler"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// one compiles one client into a pack of its own, which waits on the desk's shelf where w is not nil. Whatever goes wrong is this
// client's alone.
func (r *Roster) one(it item, d *desk) (row plans.RosterRow, w *files.Writing) {
	row = plans.RosterRow{File: it.name}
	defer func() {
		if x := recover(); x != nil {
			w = nil
			row.Outcome, row.Reason = plans.RosterFailed, fmt.Sprintf("this is a defect in isocue, not in the file: %v", x)
		}
	}()
	c, row, ok := r.read(it, row)
	if !ok {
		return r.heldBeside(row, c.id, d)
	}
	return r.compile(c, row, d)
}

// compile compiles a client who was read.
func (r *Roster) compile(c rosterClient, row plans.RosterRow, d *desk) (plans.RosterRow, *files.Writing) {
	fail := func(err error) (plans.RosterRow, *files.Writing) { return failed(row, err), nil }
	row.ID = c.client.Record.ID
	if err := r.mine(row.ID, row.File); err != nil {
		return fail(err)
	}
	row.Folder = row.ID
	dir := filepath.Join(r.order.Pack, row.ID)
	if err := files.NoLink(dir); err != nil {
		return fail(err)
	}
	in := r.order.Input
	in.Client, in.Protocols, in.Start = c.client, c.protocols, c.start
	beside := r.beside(row.File, row.ID)
	digest, err := r.besideDigest(beside)
	if err != nil {
		return fail(err)
	}
	inputs := r.inputs(c.digest + digest)
	planFile := filepath.Join(dir, "plan.json")
	old, gone := files.Fetch(planFile, load.MaxPlan)
	if gone == nil {
		if in.Previous, err = load.ReadPlan(old); err != nil {
			return r.doubted(failed(row, fmt.Errorf("%s: %w", planFile, err)), in, planFile, old, d)
		}
	}
	told, err := withDiary(r.under, &in, diaryOf(row.File, row.ID, beside), beside.copies, c.client, func(*load.File) {})
	if err != nil {
		return fail(err)
	}
	var doubts []finding.Finding
	broken := "" // what is not as it was written, of a pack that nothing else asks to make anew
	switch {
	case gone == nil:
		row.Stays = in.Previous.Stopped == 0
		if _, doubts = r.under.ReadPlan(planFile, old, in.Now); finding.Rejected(doubts) {
			row.Stays, row.Reason = true, doubt(doubts[0])
			return r.doubted(turnedAway(row, doubts), in, planFile, old, d)
		}
		if begins := announced(in.Diary); begins > in.Previous.Start && ended(in, in.Previous) {
			in.Start = max(in.Start, begins)
		}
		if done := standsStill(in, in.Start); done != "" {
			row.Outcome, row.Sheet, row.Plan = done, in.Previous.Sheet, kept(planFile, old)
			return row, nil
		}
		if len(doubts) > 0 {
			broken = "plan.json has no seal, as one has that an older isocue wrote or somebody edited, and is made anew"
		} else if in.Previous.Inputs == inputs && !r.order.Again && len(beside.trouble) == 0 {
			var whole bool
			if whole, broken = asWritten(dir, r.names(dir, in.Previous), in.Previous.Files); whole {
				row.Outcome, row.Sheet, row.Cautions = plans.RosterUnchanged, in.Previous.Sheet, in.Previous.Told
				row.Measure = measureBy(in.Previous, unit.DateOf(in.Now))
				row.Plan = kept(planFile, old)
				return holding(row, in.Previous), nil
			}
		}
		in = r.order.Options.over(in, in.Previous)
		in.Pauses = in.Previous.Pauses
		if !ended(in, in.Previous) {
			if in, err = r.goOn(in, planFile, old); err != nil {
				return fail(err)
			}
		}
	case errors.Is(gone, fs.ErrNotExist):
		if files.Exists(dir, "calendar.ics") {
			broken = "plan.json was missing beside calendar.ics: the plan begins anew and follows no earlier one"
		}
		in = r.order.Options.over(in, nil)
	default:
		return fail(fmt.Errorf("cannot look at %s: %w", planFile, files.Cause(gone)))
	}
	if !in.Move && !finding.Rejected(told) {
		more, err := r.courses(r.under, &in, row.File)
		if err != nil {
			return fail(err)
		}
		told = append(told, more...)
	}
	if len(beside.trouble) > 0 { // an alert may stand in it
		row.Reason = beside.trouble[0].Message
		return r.held(turnedAway(row, beside.trouble), in, dir, d)
	}
	if finding.Rejected(told) {
		row.Reason = rejecting(told).Message
		return r.held(turnedAway(row, told), in, dir, d)
	}
	if row.Reason = lacks(in); row.Reason != "" && r.order.Own {
		row.Outcome, row.Folder, row.Reason = plans.RosterNone, "", ""
		return row, nil
	}
	if row.Reason != "" {
		return fail(errors.New(row.Reason))
	}
	closed, err := shut(r.under, &in, beside.log, beside.sessions, func(*load.File) {}, func(format string, a ...any) {
		row.NotRead = append(row.NotRead, fmt.Sprintf(format, a...))
	})
	switch {
	case err != nil:
		return fail(err)
	case finding.Rejected(closed):
		return r.held(turnedAway(row, closed), in, dir, d)
	}
	if lack := callable(in.Client); len(lack) > 0 {
		row.Reason = lack[0].Message // no lint of the record alone would say so
		return r.held(turnedAway(row, lack), in, dir, d)
	}
	eng, in, err := r.order.Reading.in(r.under, in)
	if err != nil {
		return fail(err)
	}
	res, err := eng.Compile(in)
	if err != nil {
		return fail(err)
	}
	for _, x := range slices.Concat(doubts, told, closed, res.Findings) {
		if x.Verdict == finding.Caution {
			row.Cautions++
		}
	}
	if res.Plan == nil {
		return r.words(c, turnedAway(row, res.Findings), res.Findings), nil
	}
	res.Plan.Inputs, res.Plan.Told = inputs, row.Cautions
	w, last, err := r.prepare(eng, res.Plan, in.Client, dir, d)
	if err != nil {
		return fail(err)
	}
	row.Outcome, row.Sheet, row.Plan, row.Reason = plans.RosterCompiled, res.Plan.Sheet, last, broken
	if finding.Rejected(res.Findings) && len(res.Plan.Holds) == 0 {
		row = turnedAway(row, res.Findings)
		row.Reason = "its closed days alone are followed; isocue lint says why the rest is refused"
	}
	row.Measure = measureBy(res.Plan, unit.DateOf(in.Now))
	if row = holding(row, res.Plan); len(res.Changes) == 0 && stopped(in) {
		row.Outcome, row.Rules = plans.RosterStopped, nil // its sessions were cancelled by an earlier run
	}
	return row, w
}

// stopped says whether the diary has ended every course by today.
func stopped(in compiler.Input) (out bool) {
	if in.Diary == nil {
		return false
	}
	today := Today(in.Client.Record.Zone, in.Now)
	for _, e := range in.Diary.Live() {
		if e.Date <= today && (e.What == record.Stop || e.Course != nil) {
			out = e.What == record.Stop
		}
	}
	return out
}

// holding says of a client who is held so, each time.
func holding(row plans.RosterRow, p *record.Plan) plans.RosterRow {
	for _, h := range p.Holds {
		row.Outcome = plans.RosterHeld
		if h == p.Holds[0] {
			row.Says = finding.Plain(h.Why)
		}
		if !slices.Contains(row.Rules, h.Rule) {
			row.Rules = append(row.Rules, h.Rule)
		}
	}
	return row
}

// standsStill says that nothing is compiled for a client whose programme was stopped or is over, and which; "" where a course goes on,
// or a start was named for the next one.
func standsStill(in compiler.Input, start unit.Date) string {
	p := in.Previous
	switch {
	case !ended(in, p) && p.Stopped == 0, start > max(p.Start, p.Stopped) && MayRestart(in, in.Now) && ended(in, p):
		return ""
	case p.Stopped != 0:
		return plans.RosterStopped
	}
	return plans.RosterOver
}

// goOn is the input for a client whose course runs: its own protocols and its own start, whatever the command of the day names. A
// course of which nothing has begun follows a start that was named.
func (r *Roster) goOn(in compiler.Input, name string, src []byte) (compiler.Input, error) {
	p := in.Previous
	now := history.Wall(p.Zone, in.Now)
	begun := slices.ContainsFunc(p.Sessions, func(s record.Session) bool { return s.Start < now })
	if in.Move = !begun && in.Start != 0 && in.Start != p.Start; !in.Move {
		in.Start = p.Start
	}
	own, err := r.own(r.under, p, name, src, now, in.Protocols)
	if err != nil {
		return in, err
	}
	in.Protocols = own
	return in, nil
}

func kept(name string, data []byte) *record.Written {
	w := written(name, data)
	return &w
}

// lacks is what a first plan needs and nobody said.
func lacks(in compiler.Input) string {
	switch {
	case len(in.Protocols) == 0:
		return "no protocol is named, and the client has no plan that goes on; write: isocue roster PROTOCOL... --clients DIR|FILE.csv --start DATE --pack DIR"
	case in.Start == 0:
		return "no start is named, and the client has no plan that goes on; add --start DATE"
	}
	return ""
}

// turnedAway names the rules that stopped a client, each once.
func turnedAway(row plans.RosterRow, fs []finding.Finding) plans.RosterRow {
	row.Outcome = plans.RosterRefused
	for _, x := range fs {
		if !x.Rejects() {
			continue
		}
		if row.Says == "" {
			row.Says = report.Sentence(finding.Plain(x.Message)) + " " + report.Sentence(x.Remedy)
		}
		if !slices.Contains(row.Rules, x.Rule) {
			row.Rules = append(row.Rules, x.Rule)
		}
	}
	row.Refusals = refusals(fs)
	return row
}

// measureBy is the next day on which a client is to be measured again; 0 where none stands in the plan. A day that went by is still
// the one while sessions to come wait for a measurement.
func measureBy(p *record.Plan, today unit.Date) unit.Date {
	waits := slices.ContainsFunc(p.Sessions, func(s record.Session) bool {
		return s.Status == record.Provisional && s.Start.Date() >= today
	})
	var missed unit.Date
	for _, o := range p.Others {
		switch {
		case o.What != record.Measure || o.Status == record.Cancelled:
		case o.Date < today:
			missed = o.Date
		case missed != 0 && waits:
			return missed
		default:
			return o.Date
		}
	}
	if waits {
		return missed
	}
	return 0
}
