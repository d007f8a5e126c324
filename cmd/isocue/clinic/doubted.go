package clinic

import (
	"path/filepath"

	"isocue.example/compiler"
	"isocue.example/compiler/bound"
	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// heldDoubted is what the diary closes of a plan that is not as isocue wrote it, in the file name. Nothing of such a plan is gone on with,
// and none of it is written again under a seal that fits: where the diary closes training of any of it, all of it is called back, as a
// stop does, by the little that can be trusted. A Result without a plan closes nothing.
func heldDoubted(eng *compiler.Compiler, in compiler.Input, name string, src []byte) (out compiler.Result, holds []record.Hold, err error) {
	calendar, _ := files.Fetch(filepath.Join(filepath.Dir(name), "calendar.ics"), bound.Output) // without it, the plan alone
	bare, _, err := eng.Salvage(src, calendar, in.Now)
	if err != nil {
		return out, nil, nil // there is nothing to be called back
	}
	if in.Previous, err = load.ReadPlan(src); err != nil || in.Previous.Stopped != 0 {
		in.Previous = anything(bare, Today(bare.Zone, in.Now))
	}
	if out, err = eng.HoldEntered(in); err != nil || out.Plan == nil || len(out.Plan.Holds) == 0 {
		return compiler.Result{Findings: out.Findings}, nil, err
	}
	holds = out.Plan.Holds
	if out.Plan, out.Changes, err = eng.Stop(bare, Today(bare.Zone, in.Now), in.Now); err != nil {
		return compiler.Result{Findings: out.Findings}, nil, nil // all of it was called back before
	}
	return out, holds, nil
}

// doubted calls a plan back that is not as isocue wrote it, where the diary closes training of it: a danger sign is not made to wait for a
// file to be repaired. The row says what is doubted.
func (r *Roster) doubted(row plans.RosterRow, in compiler.Input, name string, src []byte, d *desk) (plans.RosterRow, *files.Writing) {
	if in.Diary == nil {
		return row, nil
	}
	eng, in, err := r.order.Reading.in(r.under, in)
	if err != nil {
		return failed(row, err), nil
	}
	dir := filepath.Dir(name)
	res, holds, err := heldDoubted(eng, in, name, src)
	if err != nil || res.Plan == nil || res.Plan.Client != filepath.Base(dir) {
		return row, nil // it is refused as it was
	}
	w, last, err := r.prepare(eng, res.Plan, in.Client, dir, d)
	if err != nil {
		return failed(row, err), nil
	}
	row.Sheet, row.Plan, row.Stays = res.Plan.Sheet, last, false
	row.Reason = "every session is called back, for the diary closes training and the plan cannot be trusted: " + row.Reason
	return holding(row, &record.Plan{Holds: holds}), w
}

// callsBack says whether a roster would call back the plan of a client whose plan is not as isocue wrote it.
func (j *Judging) callsBack(e *Entering, name string) bool {
	plan := filepath.Join(filepath.FromSlash(e.Pack(name)), "plan.json")
	src, err := files.Fetch(plan, load.MaxPlan)
	if err != nil {
		return false
	}
	in := compiler.Input{Now: j.Now}
	if _, err := withDiary(j.Under, &in, e.Diary, nil, nil, func(*load.File) {}); err != nil {
		return false
	}
	res, _, err := heldDoubted(j.Under, in, plan, src)
	return err == nil && res.Plan != nil
}

// anything stands for a plan that cannot be read: it trains in every modality, so that whatever is closed is closed of it.
func anything(bare *record.Plan, today unit.Date) *record.Plan {
	p := &record.Plan{Version: record.PlanVersion, Client: bare.Client, Zone: bare.Zone, Start: today, Kinds: map[string]record.Kind{}}
	for _, m := range record.Modalities {
		p.Kinds[string(m)] = record.Kind{Protocol: string(m), Modality: m}
		p.Sessions = append(p.Sessions, record.Session{UID: string(m), Status: record.Confirmed, Protocol: string(m), Kind: string(m), Week: 1, Slot: 1, Start: unit.At(today+1, 0)})
	}
	return p
}
