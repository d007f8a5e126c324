package dated

import (
	"slices"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// drug is a medicine by class and name. The record has no names, and a name in the diary is never taken for what the record calls by its
// class: a stop of one would open what another bars.
type drug struct{ class, name string }

// medicines puts the changes of the diary among the medicines of the record, one element a medicine with its newest change, and says
// which of them are taken no more: those whose stop nothing later takes back. Their change still counts as one.
func (s *sheet) medicines(c *record.Client) (stopped []bool) {
	old := s.list("medicines")
	all := s.of(record.HasMedicine)
	if len(all) == 0 {
		return make([]bool, len(old))
	}
	groups, order := map[drug][]*record.Entry{}, []drug{}
	for _, e := range all {
		k := drug{e.Medicine.Class, e.Medicine.Name}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], e)
	}
	var elem []*tree.Node
	for i, n := range old {
		k := drug{class: c.Medicines[i].Class}
		if es := groups[k]; es != nil && sole(c, k.class) {
			if newestOf(es) >= c.Medicines[i].Changed {
				continue // the diary counts
			}
			groups[k] = nil // the record's change is the newest
		}
		elem, stopped = append(elem, n), append(stopped, false)
	}
	for _, k := range order {
		if len(groups[k]) == 0 {
			continue
		}
		last := latest(groups[k])[0]
		n := tree.At(says(last).Pos)
		n.Link("class", says(last).Get("class"))
		n.Link("changed", dayed(last).Get("date"))
		elem, stopped = append(elem, n), append(stopped, gone(groups[k]))
	}
	s.putList(elem, "medicines")
	return stopped
}

// sole says whether a record has one medicine of a class.
func sole(c *record.Client, class string) bool {
	n := 0
	for _, m := range c.Medicines {
		if m.Class == class {
			n++
		}
	}
	return n == 1
}

func newestOf(es []*record.Entry) (out unit.Date) {
	for _, e := range es {
		out = max(out, e.Date)
	}
	return out
}

// gone says whether a medicine is taken no more: each change of it has a stop that is later, or is one.
func gone(es []*record.Entry) bool {
	return !slices.ContainsFunc(es, func(e *record.Entry) bool {
		return e.Medicine.Change != "stopped" && !slices.ContainsFunc(es, func(o *record.Entry) bool { return o.Medicine.Change == "stopped" && diary.Later(o, e) })
	})
}

// clearances puts those of the diary beside those of the record. Two of one gate by one clinician on one day are one, and that of the
// diary counts.
func (s *sheet) clearances() {
	all := s.of(record.Cleared)
	if len(all) == 0 {
		return
	}
	same := func(a, b *tree.Node) bool {
		return a.Get("for", "0").Text() == b.Get("for", "0").Text() && a.Get("by").Text() == b.Get("by").Text() && a.Get("date").Text() == b.Get("date").Text()
	}
	elem := slices.DeleteFunc(s.list("clearances"), func(n *tree.Node) bool {
		return slices.ContainsFunc(all, func(e *record.Entry) bool { return same(n, says(e)) })
	})
	for _, e := range all {
		elem = append(elem, says(e))
	}
	s.putList(elem, "clearances")
}

// limits are the newest by their day, of record and diary. Of two that nobody can tell apart by time each lower number counts.
func (s *sheet) limits() {
	all := s.of(record.Limited)
	if len(all) == 0 {
		return
	}
	top := latest(all)
	if d, err := unit.ParseDate(s.node.Get("limits", "date").Text()); err == nil && d > top[0].Date {
		return
	}
	low := says(top[0]).Borrow()
	for _, e := range top[1:] {
		for _, key := range []string{"systolic", "diastolic"} {
			if n := says(e).Get(key); n != nil && (low.Get(key) == nil || n.Whole() < low.Get(key).Whole()) {
				low.Link(key, n)
			}
		}
	}
	s.put(low, "limits")
}

// answers are those of the diary to questions that the record does not answer, such as those of a newer set. What the record answers
// stays: what a later answer closes or opens is worked out with what ends it. The number of the record's set stays too: who was asked the
// symptoms of a newer set was not asked all of it.
func (s *sheet) answers() {
	was := s.node.Get("screening", "answers")
	answered := func(q string) bool { a := was.Get(q).Text(); return a == "yes" || a == "no" }
	byQuestion := map[string][]*record.Entry{}
	var order []string
	for _, e := range s.of(record.Asked) {
		for _, q := range says(e).Get("answers").Keys {
			if a := e.Answers.Answers[q]; (a == "yes" || a == "no") && !answered(q) {
				if byQuestion[q] == nil {
					order = append(order, q)
				}
				byQuestion[q] = append(byQuestion[q], e)
			}
		}
	}
	if len(order) == 0 {
		return
	}
	now := tree.NewRecord()
	if was != nil {
		now = was.Borrow()
	}
	for _, q := range order {
		e := byQuestion[q][0]
		for _, o := range byQuestion[q] { // one that said yes says it until a clinician or an end says otherwise
			if o.Answers.Answers[q] == "yes" {
				e = o
				break
			}
		}
		now.Link(q, says(e).Get("answers", q))
	}
	s.put(now, "screening", "answers")
}
