package compiler

import (
	"slices"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// withDiary is a client whose record holds the conditions of the diary as well, each with its place there, so that the rules judge
// them as they judge those of the record. The client itself stays as it is.
func (c *Compiler) withDiary(cl *load.Client, d *diary.Diary, today unit.Date) *load.Client {
	if d == nil {
		return cl
	}
	l := &ledgered{c: c, d: d, cl: cl.Record, today: today, questions: c.Check.Base.Questions()}
	for _, e := range d.Live() {
		if e.Date <= today {
			l.live = append(l.live, e)
		}
	}
	r := *cl.Record
	r.Conditions = slices.Clone(r.Conditions)
	old := cl.Node.Get("conditions")
	list := &tree.Node{Kind: tree.List, Elem: slices.Clone(old.Items())}
	if old != nil {
		list.Pos = old.Pos
	}
	for i := range r.Conditions {
		x := &r.Conditions[i]
		for j := range l.live {
			if o := &l.live[j]; o.What == record.Over && o.Condition.Code == x.Code && o.Condition.Side == x.Side && x.Until == 0 && o.Date > x.Since {
				x.Until = o.Date
			}
		}
	}
	for i := range d.Entries {
		e := &d.Entries[i]
		if e.What != record.Begins || e.Condition == nil || e.Date > today || l.illness(e) {
			continue
		}
		x := record.Condition{Code: e.Condition.Code, Side: e.Condition.Side, Since: e.Date, Until: l.over(e), Index: len(list.Elem)}
		n := tree.At(finding.Pos{File: e.File, Line: max(e.Line, 1), Column: 1})
		put := func(key, value string) {
			v := tree.Str(value)
			v.Pos = n.Pos
			n.Set(key, v)
		}
		put("code", x.Code)
		put("since", x.Since.String())
		if x.Side != "" {
			put("side", string(x.Side))
		}
		if x.Until != 0 {
			put("until", x.Until.String())
		}
		r.Conditions, list.Elem = append(r.Conditions, x), append(list.Elem, n)
	}
	for i := range l.live {
		if e := &l.live[i]; e.Answers != nil && e.What == record.Asked && l.whole(e.Answers.Answers) {
			r.Asked = max(r.Asked, e.Date)
		}
	}
	node := cl.Node.Borrow()
	node.Link("conditions", list)
	return &load.Client{Node: node, Record: &r}
}

// whole says whether every symptom question has an answer.
func (l *ledgered) whole(answers map[string]string) bool {
	for _, q := range l.questions {
		if a := answers[q.ID]; q.Symptom && a != "yes" && a != "no" {
			return false
		}
	}
	return true
}

// over is the last day of a condition of the diary: of the first later over of its side, or of a void after which the questions were
// asked; 0 where it goes on.
func (l *ledgered) over(e *record.Entry) unit.Date {
	for i := range l.live {
		if o := &l.live[i]; o.What == record.Over && o.Condition != nil && o.Condition.Code == e.Condition.Code && o.Condition.Side == e.Condition.Side && diary.Later(o, e) {
			return o.Date
		}
	}
	if open := l.taken(e); open < history.Ahead {
		return open
	}
	return 0
}

// entryConditions are the conditions of a diary as what closes training, where no record can be read: whatever a question does to a
// modality closes it, for nobody knows what else is so of the client.
func (c *Compiler) entryConditions(d *diary.Diary, today unit.Date) (out []Closing) {
	if d == nil {
		return nil
	}
	l := &ledgered{c: c, d: d, today: today, questions: c.Check.Base.Questions()}
	for _, e := range d.Live() {
		if e.Date <= today {
			l.live = append(l.live, e)
		}
	}
	for i := range d.Entries {
		e := &d.Entries[i]
		if e.What != record.Begins || e.Condition == nil || e.Date > today || l.illness(e) {
			continue
		}
		for _, q := range l.questions {
			if q.ID != e.Condition.Code {
				continue
			}
			var shut []record.Modality
			until := l.over(e)
			for _, m := range record.Modalities {
				effect := q.Effect(m)
				if lasting := effect == "blocks" || effect == "clears"; lasting || effect != "none" && (until == 0 || until+unit.Date(q.WaitDays) > today) {
					shut = append(shut, m)
				}
			}
			x := entered{Entered: history.Entered{Span: record.Span{From: e.Date, To: history.Ahead}, Only: shut}, by: e, says: e.Condition.Code + " from " + e.Date.String(),
				remedy: "repair the record, so that its rules can say what may be trained"}
			if y, ok := x.closing(today, record.Modalities); ok && len(shut) > 0 {
				out = append(out, y)
			}
		}
	}
	return out
}
