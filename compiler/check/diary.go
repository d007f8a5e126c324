package check

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// whyDiary is why contradictions and references of a diary are told.
const whyDiary = "What happened is worked out from the diary alone: an entry that means two things, or nothing, must be seen by whoever wrote it."

// nothing is what the words of an entry or a row may be read as, beside a symptom.
const nothing = "nothing"

// Diary judges the entries of a diary: by their words, by each other, by their days, and by the record, which is nil where there is
// none that can be read. What is found is a client's.
func (c *Checker) Diary(d *load.Diary, cl *load.Client, today unit.Date) (out []finding.Finding) {
	w := c.words()
	signs := []string{nothing}
	for _, s := range c.Base.Symptoms() {
		signs = append(signs, s.ID)
	}
	for i := range d.Entries {
		e := &d.Entries[i]
		if e.What == record.Unread {
			continue // its line is refused already
		}
		if e.Date > today && !e.What.Ahead() {
			out = append(out, ahead(e.Node(), e.What, today))
		}
		switch e.What {
		case record.Asked:
			out = append(out, w.answers(saysOf(e).Get("answers"))...)
		case record.Begins, record.Over:
			out = append(out, w.condition(saysOf(e))...)
		case record.HasMedicine:
			out = append(out, c.medicine(saysOf(e))...)
		case record.Cleared:
			out = append(out, w.clearance(saysOf(e))...)
		case record.Understood:
			out = append(out, known(saysOf(e).Get("finding"), "a symptom", "write one of "+strings.Join(signs, ", "), signs)...)
		}
	}
	for _, t := range diary.Of(d.Of()).Trouble {
		out = append(out, troubled(t))
	}
	if cl != nil {
		out = append(out, devices(d, cl.Record)...)
		out = append(out, overs(d, cl.Record)...)
		out = append(out, stops(d, cl.Record)...)
	}
	for i := range out {
		out[i].Private = true
	}
	return out
}

// saysOf is what an entry says, with its places.
func saysOf(e *load.DiaryEntry) *tree.Node { return e.Node().Get(string(e.What)) }

// ahead finds an entry of a day that has not come.
func ahead(n *tree.Node, what record.Happening, today unit.Date) finding.Finding {
	x := n.Get("date")
	return finding.Finding{Rule: load.Shape, Verdict: finding.Malformed, Pos: x.Pos, Path: x.Path(), Found: x.Raw,
		Message: fmt.Sprintf("%s is dated %s, after today, %s; allowed: a day that has come; only moved, hours, pause, course and stop may lie ahead", what, x.Text(), today),
		Remedy:  "correct the date", Rationale: "Nothing can have happened on a day that has not come."}
}

// troubled tells of two entries that cannot both hold, or of one that means nothing: at the line of the one, with that of the other.
func troubled(t diary.Trouble) finding.Finding {
	f := finding.Finding{Rule: t.Rule, Verdict: finding.Caution, Pos: finding.Pos{File: t.One.File, Line: t.One.Line, Column: 1}, Path: string(t.One.What),
		Message: t.Says, Remedy: t.Remedy, Rationale: whyDiary}
	if t.Rule == diary.Reference {
		f.Verdict = finding.Malformed
	}
	if t.Other != nil {
		f.Message += fmt.Sprintf(" (%s %s on line %d, %s %s on line %d)", t.Other.What, t.Other.ID, t.Other.Line, t.One.What, t.One.ID, t.One.Line)
	}
	return f
}

// devices finds measurements made with, and places taken of, a device that neither record nor diary has. A device that comes later
// in the diary counts too: it may have been entered late.
func devices(d *load.Diary, r *record.Client) (out []finding.Finding) {
	gauges, all := map[string]bool{}, map[string]bool{}
	for _, g := range r.Gauges {
		gauges[g.ID] = true
	}
	for _, t := range r.Trainers {
		all[t.ID] = true
	}
	for _, e := range d.Entries {
		if e.Device != nil && e.Device.Gauge != nil {
			gauges[e.Device.Gauge.ID] = true
		}
		if e.Device != nil && e.Device.Trainer != nil {
			all[e.Device.Trainer.ID] = true
		}
	}
	maps.Copy(all, gauges)
	has := func(n *tree.Node, what, remedy string, ids map[string]bool) {
		if n != nil && !ids[n.Text()] {
			few := slices.Sorted(maps.Keys(ids)) // an honest diary has a handful
			out = append(out, unknown(n, n.Text(), what, remedy, few[:min(len(few), 50)]))
		}
	}
	for i := range d.Entries {
		e := &d.Entries[i]
		if len(out) >= maxTold {
			break
		}
		switch e.What {
		case record.GripIs:
			has(saysOf(e).Get("with"), "a gauge of the record or the diary", "write the id of a gauge, or enter the device first", gauges)
		case record.HasDevice:
			has(saysOf(e).Get("instead"), "a device of the record or the diary", "write the id of the device that it takes the place of, or leave instead out", all)
		}
	}
	return out
}

// maxTold is how many unknown devices, and how many ends of nothing, are told: more are one slip again and again.
const maxTold = 50

// overs finds ends of what never began: the code or the side is probably a slip, and what was meant goes on.
func overs(d *load.Diary, r *record.Client) (out []finding.Finding) {
	began := map[string][]record.Condition{} // by code
	for _, c := range r.Conditions {
		began[c.Code] = append(began[c.Code], c)
	}
	for _, e := range d.Entries {
		switch e.What {
		case record.Begins:
			began[e.Condition.Code] = append(began[e.Condition.Code], *e.Condition)
		case record.Ill:
			began[diary.IllNow] = append(began[diary.IllNow], record.Condition{Since: e.Date})
		case record.Asked:
			for q, a := range e.Answers.Answers {
				if a == "yes" {
					began[q] = append(began[q], record.Condition{Since: e.Date})
				}
			}
		}
	}
	for i := range d.Entries {
		e := &d.Entries[i]
		if len(out) >= maxTold {
			break
		}
		if e.What != record.Over || r.Answers[e.Condition.Code] == "yes" || slices.ContainsFunc(began[e.Condition.Code], func(c record.Condition) bool {
			return c.Since <= e.Date && (c.Side == e.Condition.Side || c.Side == "" || e.Condition.Side == "")
		}) {
			continue
		}
		n := saysOf(e)
		out = append(out, finding.Finding{Rule: diary.Reference, Verdict: finding.Caution, Pos: n.Pos, Path: n.Path(),
			Message: fmt.Sprintf("%s is over, and neither record nor diary says that it began", e.Condition.Code), Remedy: "correct the code or the side, or enter when it began", Rationale: whyDiary})
	}
	return out
}

// stops finds stops of medicines that nobody has said are taken: what bars training may be the same one under another name.
func stops(d *load.Diary, r *record.Client) (out []finding.Finding) {
	type drug struct{ class, name string }
	taken := map[drug]bool{}
	for _, m := range r.Medicines {
		taken[drug{class: m.Class}], taken[drug{m.Class, m.Name}] = true, true
	}
	for _, e := range d.Entries {
		if e.Medicine != nil && e.Medicine.Change != "stopped" {
			taken[drug{e.Medicine.Class, e.Medicine.Name}] = true
		}
	}
	for i := range d.Entries {
		e := &d.Entries[i]
		if len(out) >= maxTold {
			break
		}
		if e.Medicine == nil || e.Medicine.Change != "stopped" || taken[drug{e.Medicine.Class, e.Medicine.Name}] {
			continue
		}
		n := saysOf(e)
		out = append(out, finding.Finding{Rule: diary.Reference, Verdict: finding.Caution, Pos: n.Pos, Path: n.Path(),
			Message: strings.TrimSpace(fmt.Sprintf("%s %s", e.Medicine.Class, e.Medicine.Name)) + " was stopped, and neither record nor diary says under that name that it was taken: whatever else of its class is taken goes on",
			Remedy:  "where it is what the record or an earlier entry calls by its class or another name, enter that stop by the same name", Rationale: whyDiary})
	}
	return out
}
