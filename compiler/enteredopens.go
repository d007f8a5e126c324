package compiler

import (
	"slices"

	"isocue.example/compiler/check"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/history"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
)

// What opens again what an entry of the diary closed.

// ends is the first day after an illness: after a well, the wait of the question and the questions themselves; Ahead where it goes on.
func (l *ledgered) ends(e *record.Entry) unit.Date {
	wait := 0
	for _, q := range l.questions {
		if q.Ill {
			wait = max(wait, q.WaitDays)
		}
	}
	open := l.taken(e)
	for _, w := range l.live {
		if (w.What == record.Well || w.What == record.Over && l.illness(w)) && diary.Later(w, e) {
			open = min(open, max(w.Date+unit.Date(wait), l.asked(w.Date, e)))
		}
	}
	return open
}

// wellBy is the first day on which the questions after an illness may be asked, 0 where nobody entered that the client is well.
func (l *ledgered) wellBy(e *record.Entry) (since unit.Date) {
	for _, w := range l.live {
		if (w.What == record.Well || w.What == record.Over && l.illness(w)) && diary.Later(w, e) && (since == 0 || w.Date < since) {
			since = w.Date
		}
	}
	return since
}

// void is the void of an entry that counts by today.
func (l *ledgered) void(e *record.Entry) (record.Entry, bool) {
	v, ok := l.d.Voided[e.ID]
	return v, ok && v.Date <= l.today
}

// taken is the first day after a void of what closed training, Ahead without one.
func (l *ledgered) taken(e *record.Entry) unit.Date {
	v, ok := l.void(e)
	if !ok {
		return history.Ahead
	}
	return max(v.Date, l.asked(v.Date, of(e, v.Date)))
}

// of is an entry that what is asked since a day has to come after: none where the entry is of a later day, as of what was entered ahead
// or afterwards.
func of(e *record.Entry, since unit.Date) *record.Entry {
	if e.Date > since {
		return nil
	}
	return e
}

// asked is the first day since one, and later than an entry where one is named, by which every symptom question was answered with no;
// Ahead where that is not so yet.
func (l *ledgered) asked(since unit.Date, after *record.Entry) unit.Date {
	no := func(answers map[string]string) bool {
		return !slices.ContainsFunc(l.questions, func(q rule.Question) bool { return q.Symptom && answers[q.ID] != "no" })
	}
	if l.cl != nil && l.cl.Screened >= since && l.cl.Screened <= l.today && (after == nil || l.cl.Screened > after.Date) && no(l.cl.Answers) {
		return l.cl.Screened
	}
	said, by := map[string]string{}, map[string]*record.Entry{}
	var day unit.Date // what stands on one day is taken together
	for _, a := range l.live {
		if a.What != record.Asked || a.Date < since || after != nil && !diary.Later(a, after) {
			continue
		}
		if day != 0 && a.Date != day && no(said) {
			return day
		}
		day = a.Date
		for q, v := range a.Answers.Answers {
			if was := by[q]; was == nil || v != "no" || diary.Later(a, was) { // of one moment the graver answer holds
				said[q], by[q] = v, a
			}
		}
	}
	if day != 0 && no(said) {
		return day
	}
	return history.Ahead
}

// over is the last day of a condition of the diary: of the first later over of its side, or of a void after which the questions were
// asked; 0 where it goes on.
func (l *ledgered) over(e *record.Entry) unit.Date {
	for _, o := range l.live {
		if o.What == record.Over && o.Condition.Code == e.Condition.Code && o.Condition.Side == e.Condition.Side && diary.Later(o, e) {
			return o.Date
		}
	}
	if open := l.taken(e); open < history.Ahead {
		return open
	}
	return 0
}

// cleared says whether a clinician's clearance of a later day opens a modality, for a gate or for any alert. Without a record nobody
// knows which medicines changed since.
func (l *ledgered) cleared(gate string, m record.Modality, since unit.Date) bool {
	if l.cl == nil {
		return false
	}
	if l.c.Check.OpenedSince(l.cl, m, since, l.today) {
		return true
	}
	later := slices.ContainsFunc(l.cl.Clearances, func(x record.Clearance) bool { return x.Gate == gate && x.Date > since })
	return gate != check.GateLog && later && l.c.Check.Opened(l.cl, gate, m, l.today)
}
