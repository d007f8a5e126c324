package compiler

import (
	"slices"
	"time"

	"isocue.example/compiler/dated"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Stands is a client as record and diary tell of them now, each value with its place in one of the two, so that whoever reads a record
// reads both. The client itself stays as it is; one that says already what its diary says is returned.
func (c *Compiler) Stands(cl *load.Client, d *diary.Diary, now time.Time) *load.Client {
	if cl == nil || d == nil {
		return cl
	}
	return c.withDiary(cl, d, dated.Today(cl.Record, d, now))
}

// withDiary is Stands as of a day.
func (c *Compiler) withDiary(cl *load.Client, d *diary.Diary, today unit.Date) *load.Client {
	if d == nil || cl.Told {
		return cl
	}
	cl = dated.Record(cl, d, today)
	l := c.ledger(d, cl.Record, today)
	r := *cl.Record
	r.Conditions = slices.Clone(r.Conditions)
	old := cl.Node.Get("conditions")
	list := &tree.Node{Kind: tree.List, Elem: slices.Clone(old.Items())}
	if old != nil {
		list.Pos = old.Pos
	}
	for i := range r.Conditions {
		x := &r.Conditions[i]
		for _, o := range l.live {
			if o.What == record.Over && o.Condition.Code == x.Code && o.Condition.Side == x.Side && x.Until == 0 && o.Date > x.Since {
				x.Until = o.Date
			}
		}
	}
	for _, e := range l.began() {
		x := record.Condition{Code: e.Condition.Code, Side: e.Condition.Side, Since: e.Date, At: record.TimeOf(e), Until: l.over(e), Index: len(list.Elem)}
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
	for _, e := range l.live {
		if e.What == record.Asked && l.whole(e.Answers.Answers) {
			r.Asked = max(r.Asked, e.Date)
		}
	}
	node := cl.Node.Borrow()
	node.Link("conditions", list)
	return &load.Client{Node: node, Record: &r, Told: true}
}

// began are the entries by today that a condition other than an illness begins, those that were taken back too.
func (l *ledgered) began() (out []*record.Entry) {
	for i := range l.d.Entries {
		if e := &l.d.Entries[i]; e.What == record.Begins && e.Date <= l.today && !l.illness(e) {
			out = append(out, e)
		}
	}
	return out
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
