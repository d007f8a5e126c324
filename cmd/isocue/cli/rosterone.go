package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// one compiles one client into a pack of its own, which waits on the desk's shelf where w is not nil. Whatever goes wrong is this
// client's alone.
func (r *rosterRun) one(it rosterItem, d *desk) (row plans.RosterRow, w *writing) {
	row = plans.RosterRow{File: it.name}
	defer func() {
		if x := recover(); x != nil {
			w = nil
			row.Outcome, row.Reason = plans.RosterFailed, fmt.Sprintf("this is a defect in isocue, not in the file: %v", x)
		}
	}()
	c, row, ok := r.read(it, row)
	if !ok {
		return row, nil
	}
	return r.compile(c, row, d)
}

// compile compiles a client who was read.
func (r *rosterRun) compile(c rosterClient, row plans.RosterRow, d *desk) (plans.RosterRow, *writing) {
	fail := func(err error) (plans.RosterRow, *writing) { return failed(row, err), nil }
	row.ID = c.client.Record.ID
	if err := r.mine(row.ID, row.File); err != nil {
		return fail(err)
	}
	row.Folder = row.ID
	dir := filepath.Join(r.fl.pack, row.ID)
	in := r.shared
	in.Client, in.Protocols, in.Start = c.client, c.protocols, c.start
	logs, digest, err := logsBeside(row.File, row.ID)
	if err != nil {
		return fail(err)
	}
	inputs := r.inputs(c.digest + digest)
	planFile := filepath.Join(dir, "plan.json")
	broken := "" // what is not as it was written, of a pack that nothing else asks to make anew
	old, err := load.Fetch(planFile, load.MaxPlan)
	switch {
	case err == nil:
		if in.Previous, err = load.ReadPlan(old); err != nil {
			return fail(fmt.Errorf("%s: %w", planFile, err))
		}
		row.Stays = in.Previous.Stopped == 0
		if in.Previous.Stopped != 0 {
			return fail(fmt.Errorf("%s was stopped on %s; compile a new course behind it, with --previous, a --start and --pack, and run again", planFile, in.Previous.Stopped))
		}
		if in.Previous.Inputs == inputs && !r.fl.again {
			var whole bool
			if whole, broken = asWritten(dir, r.names(dir, in.Previous), in.Previous.Files); whole {
				row.Outcome, row.Sheet, row.Cautions = plans.RosterUnchanged, in.Previous.Sheet, in.Previous.Told
				row.Measure = measureBy(in.Previous, unit.DateOf(in.Now))
				return row, nil
			}
		}
		in.Pauses = in.Previous.Pauses
	case errors.Is(err, fs.ErrNotExist):
		if stands(dir, "calendar.ics") {
			broken = "plan.json was missing beside calendar.ics: the plan begins anew and follows no earlier one"
		}
	default:
		return fail(fmt.Errorf("cannot look at %s: %w", planFile, cause(err)))
	}
	shut, err := r.followed(&in, logs)
	switch {
	case err != nil:
		return fail(err)
	case finding.Rejected(shut):
		return refused(row, shut), nil
	}
	if lack := callable(c.client); len(lack) > 0 {
		row.Reason = lack[0].Message // no lint of the record alone would say so
		return refused(row, lack), nil
	}
	eng, in, err := r.fl.sheet.in(r.eng, in)
	if err != nil {
		return fail(err)
	}
	res, err := eng.Compile(in)
	if err != nil {
		return fail(err)
	}
	for _, x := range res.Findings {
		if x.Verdict == finding.Caution {
			row.Cautions++
		}
	}
	if res.Plan == nil {
		return r.words(c, refused(row, res.Findings), res.Findings), nil
	}
	res.Plan.Inputs, res.Plan.Told = inputs, row.Cautions
	files, err := d.pack(eng, c.client, dir, r.names(dir, res.Plan), res.Plan)
	if err != nil {
		return fail(err)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fail(fmt.Errorf("cannot make the pack's folder: %w", unwrapPath(err)))
	}
	w, err := prepare(files, manner{force: r.fl.force, later: clientsASync > 1, busy: func() { d.clear(r.tell) }})
	if err != nil {
		return fail(err)
	}
	row.Outcome, row.Sheet, row.Reason = plans.RosterCompiled, res.Plan.Sheet, broken
	row.Measure = measureBy(res.Plan, unit.DateOf(in.Now))
	return row, w
}

// names are the files of a client's pack. What the client takes home is left out only where that was asked for, where no older one
// would be left beside a newer plan, and where the calendar does not send to it.
func (r *rosterRun) names(dir string, p *record.Plan) []string {
	if r.fl.handout || p != nil && p.Discreet || stands(dir, "handout.html") || stands(dir, "session.html") {
		return packNames
	}
	return bareNames
}

// followed reads a client's logs: an alert in them that nobody cleared closes training, and the gate takes the newest sitting.
func (r *rosterRun) followed(in *compiler.Input, logs [2]string) ([]finding.Finding, error) {
	return shut(r.eng, in, logs[0], logs[1], func(*load.File) {})
}

// refused names the rules that stopped a client, each once.
func refused(row plans.RosterRow, fs []finding.Finding) plans.RosterRow {
	row.Outcome = plans.RosterRefused
	for _, x := range fs {
		if x.Rejects() && !slices.Contains(row.Rules, x.Rule) {
			row.Rules = append(row.Rules, x.Rule)
		}
	}
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
