package clinic

import (
	"fmt"
	"path/filepath"

	"isocue.example/compiler"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// besideDigest is the digest of what stands beside a record. What a diary closes depends on the day too.
func (r *Roster) besideDigest(b *belongings) (string, error) {
	digest, err := b.digest()
	if err == nil && b.diary != "" {
		digest += fmt.Sprint(unit.DateOf(r.order.Input.Now))
	}
	return digest, err
}

// held holds what the diary closes of a running course, where the client was refused otherwise: nothing keeps a hold from being made.
// The row says why the rest was refused.
func (r *Roster) held(row plans.RosterRow, in compiler.Input, dir string, d *desk) (plans.RosterRow, *files.Writing) {
	if in.Previous == nil || in.Diary == nil {
		return row, nil
	}
	eng, in, err := r.order.Reading.in(r.under, in)
	if err != nil {
		return failed(row, err), nil
	}
	res, err := eng.HoldEntered(in)
	switch {
	case err != nil:
		return failed(row, err), nil
	case res.Plan == nil:
		return row, nil
	}
	w, last, err := r.prepare(eng, res.Plan, in.Client, dir, d)
	if err != nil {
		return failed(row, err), nil
	}
	if row.Sheet, row.Plan = res.Plan.Sheet, last; row.Reason == "" {
		row.Reason = "the rest is refused; isocue lint says why"
	}
	return holding(row, res.Plan), w
}

// prepare makes the pack of a plan ready to be written, and says what its plan file will hold.
func (r *Roster) prepare(eng *compiler.Compiler, p *record.Plan, cl *load.Client, dir string, d *desk) (*files.Writing, *record.Written, error) {
	pack := Pack{dir, r.names(dir, p), false, d.ofCalendar, d.plans.JSON}
	fs, err := pack.Files(eng, p, cl)
	if err != nil {
		return nil, nil, err
	}
	last := fs[len(fs)-1]
	m := pack.manner(r.order.Force)
	m.Later, m.Busy = files.TogetherMost > 1, func() { d.clear(r.tell) }
	w, err := files.Prepare(fs, m)
	return w, kept(last.Name, last.Data), err
}

// heldBeside is held for a client whose record cannot be read: the plan and the diary are enough.
func (r *Roster) heldBeside(row plans.RosterRow, id string, d *desk) (plans.RosterRow, *files.Writing) {
	if row.Outcome != plans.RosterRefused || id == "" || r.mine(id, row.File) != nil {
		return row, nil
	}
	dir := filepath.Join(r.order.Pack, id)
	planFile := filepath.Join(dir, "plan.json")
	src, err := files.Fetch(planFile, load.MaxPlan)
	if err != nil || files.NoLink(dir) != nil {
		return row, nil // no plan, so that nobody trains by one
	}
	in := r.order.Input
	if in.Previous, err = load.ReadPlan(src); err != nil || in.Previous.Client != id {
		return row, nil
	}
	_, doubts := r.under.ReadPlan(planFile, src, in.Now)
	row.ID, row.Folder, row.Stays = id, id, in.Previous.Stopped == 0
	beside := r.beside(row.File, id)
	if _, err := withDiary(r.under, &in, diaryOf(row.File, id, beside), beside.copies, nil, func(*load.File) {}); err != nil {
		return failed(row, err), nil
	}
	if finding.Rejected(doubts) {
		return r.doubted(row, in, planFile, src, d)
	}
	return r.held(row, in, dir, d)
}

// rejecting is the first finding that refuses.
func rejecting(fs []finding.Finding) finding.Finding {
	for _, f := range fs {
		if f.Rejects() {
			return f
		}
	}
	return finding.Finding{}
}
