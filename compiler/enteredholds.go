package compiler

import (
	"cmp"
	"maps"
	"slices"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
)

// DiaryCloses is the rule by which an entry of the diary closes training.
const DiaryCloses = "diary-closes"

const whyCloses = "What was entered holds until what ends it is entered: an end that nobody wrote is not assumed, and nobody trains on from an illness without being asked."

// closing is the entry as what closes training today; ok is false where it does not, or where its end is known.
func (x entered) closing(today unit.Date, modalities []record.Modality) (out Closing, ok bool) {
	if x.From > today || x.To != history.Ahead {
		return out, false
	}
	if out.Modalities = modalities; x.Only != nil {
		out.Modalities = slices.DeleteFunc(slices.Clone(modalities), func(m record.Modality) bool { return !slices.Contains(x.Only, m) })
	}
	if len(out.Modalities) == 0 {
		return out, false
	}
	out.Finding = finding.Finding{Rule: DiaryCloses, Verdict: finding.Unsafe, Pos: finding.Pos{File: x.by.File, Line: max(x.by.Line, 1), Column: 1}, Path: string(x.by.What),
		Message: x.says + " (" + cmp.Or(x.by.Words, string(x.by.What)) + "), and nothing opens training again, allowed: no session until it does", Remedy: x.remedy, Rationale: whyCloses, Private: true}
	return out, true
}

// closings are what stretches of a diary close today of some modalities, each told once.
func closings(all []entered, today unit.Date, modalities []record.Modality) (out []Closing) {
	for _, x := range all {
		if y, ok := x.closing(today, modalities); ok && !slices.ContainsFunc(out, func(o Closing) bool {
			return o.Pos == y.Pos && o.Message == y.Message && slices.Equal(o.Modalities, y.Modalities)
		}) {
			out = append(out, y)
		}
	}
	return out
}

// conditions are the conditions of a diary as what closes training, where no record can be read: whatever a question does to a
// modality closes it, for nobody knows what else is so of the client.
func (c *Compiler) conditions(d *diary.Diary, today unit.Date) (out []Closing) {
	if d == nil {
		return nil
	}
	l := c.ledger(d, nil, today)
	for _, e := range l.began() {
		for _, q := range l.questions {
			if q.ID != e.Condition.Code {
				continue
			}
			var shut []record.Modality
			until := l.over(e)
			for _, m := range record.Modalities {
				effect := q.Effect(m.Strain(false))
				if lasting(effect) || rule.Closes(effect) && (until == 0 || until+unit.Date(q.WaitDays) > today) {
					shut = append(shut, m)
				}
			}
			x := entered{Entered: history.Entered{Span: record.Span{From: e.Date, To: history.Ahead}}, by: e, says: e.Condition.Code + " from " + e.Date.String(),
				remedy: "repair the record, so that its rules can say what may be trained"}
			if y, ok := x.closing(today, shut); ok {
				out = append(out, y)
			}
		}
	}
	return out
}

// HoldEntered is the plan before with what the diary closes cancelled, without a record: a typing error there keeps nobody from being
// told not to train. It opens nothing. A Result without a plan closes nothing.
func (c *Compiler) HoldEntered(in Input) (out Result, err error) {
	p := in.Previous
	if p == nil || p.Stopped != 0 {
		return out, nil
	}
	if err := in.oneClient(); err != nil {
		return out, err
	}
	today := history.Wall(p.Zone, in.Now).Date()
	of := map[string]record.Modality{}
	for _, s := range p.Sessions {
		of[s.Protocol] = p.Kinds[s.Kind].Modality
	}
	shut := c.entered(in.Diary, nil, today, p.Start, false)
	bars := slices.Concat(closings(shut, today, slices.Sorted(maps.Values(of))), c.conditions(in.Diary, today))
	days := history.Input{Client: &record.Client{Zone: p.Zone}, Pauses: in.Pauses, Closed: in.Closed, Now: in.Now}
	for _, x := range shut {
		days.Diary = append(days.Diary, x.Entered)
	}
	r := &pass{programme: &programme{c: c, in: in}}
	r.on.Today = today
	for _, id := range slices.Sorted(maps.Keys(of)) {
		var mine []finding.Finding
		for _, x := range bars {
			if slices.Contains(x.Modalities, of[id]) {
				x.Held = id
				mine = append(mine, x.Finding)
			}
		}
		if out.Findings = append(out.Findings, mine...); len(mine) > 0 {
			r.hold(id, mine[0])
		}
	}
	made, changes, err := c.heldAlone(in, history.New(days), r.held)
	if err == nil && len(r.held)+len(changes) > 0 {
		out.Plan, out.Changes = made, changes
	}
	return out, err
}
