package compiler

import (
	"fmt"
	"slices"

	"isocue.example/compiler/check"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/history"
	"isocue.example/compiler/phrase"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
)

// What the diary closes. What closes training is taken from every entry that can be read; what opens it again from sound ones alone,
// and never without the questions asked afterwards.

// entered is a stretch that an entry closes.
type entered struct {
	history.Entered
	by     *record.Entry
	says   string
	remedy string
}

// ledgered is the diary as closings are worked out from it.
type ledgered struct {
	c         *Compiler
	d         *diary.Diary
	cl        *record.Client // as it stands today; nil where the record cannot be read: then it opens nothing
	today     unit.Date
	live      []*record.Entry // those that count by today, in order
	questions []rule.Question
	light     bool // the walks that are asked about are light
}

// ledger is a diary as it is known today.
func (c *Compiler) ledger(d *diary.Diary, cl *record.Client, today unit.Date) *ledgered {
	l := &ledgered{c: c, d: d, cl: cl, today: today, questions: c.Check.Base.Questions()}
	for _, e := range d.Live() {
		if e.Date <= today {
			l.live = append(l.live, &e)
		}
	}
	return l
}

// entered is what a diary closes, as it is known today; course is the start of the course that is asked about, light whether its walks
// are.
func (c *Compiler) entered(d *diary.Diary, cl *record.Client, today, course unit.Date, light bool) (out []entered) {
	if d == nil {
		return nil
	}
	l, lexicon := c.ledger(d, cl, today), c.lexicon()
	l.light = light
	for i := range d.Entries {
		e := &d.Entries[i]
		out = append(out, l.danger(lexicon, e)...)
		switch e.What {
		case record.Ill, record.Begins:
			if l.illness(e) {
				x := l.stretch(e, history.Ill, e.Date, l.ends(e), "ill from "+e.Date.String())
				if since := l.wellBy(e); since != 0 {
					x.remedy = fmt.Sprintf("ask the symptom questions, on %s or later: isocue enter RECORD asked no", since)
				}
				out = append(out, x)
			}
		case record.Felt:
			x := l.stretch(e, history.Wait, e.Date, min(l.asked(e.Date, e), l.taken(e)), "something was felt or seen on "+e.Date.String())
			x.remedy = "ask the symptom questions on a later day, or at a later time that both entries name, and enter it: isocue enter RECORD asked no"
			out = append(out, x)
		case record.Paused:
			out = append(out, l.pause(e))
		case record.Stop:
			out = append(out, l.stop(e, course)...)
		case record.Asked:
			out = append(out, l.yes(e)...)
		}
	}
	return slices.DeleteFunc(out, func(x entered) bool { return x.To < x.From })
}

// stretch is closed from a day until the one on which training opens again.
func (l *ledgered) stretch(e *record.Entry, why history.Why, from, open unit.Date, says string) entered {
	x := entered{Entered: history.Entered{Span: record.Span{From: from, To: history.Ahead}, Why: why, Tests: true}, by: e, says: says,
		remedy: "enter well when the client is, and on that day or later ask the symptom questions: isocue enter RECORD asked no"}
	if open < history.Ahead {
		x.To = open - 1
	}
	return x
}

// illness says whether an entry is about an acute illness.
func (l *ledgered) illness(e *record.Entry) bool {
	return e.What == record.Ill || e.Condition != nil && slices.ContainsFunc(l.questions, func(q rule.Question) bool { return q.Ill && q.ID == e.Condition.Code })
}

// pause is a pause. It is over behind its last day, or on the day of a resume, where the questions were asked in it or later.
func (l *ledgered) pause(e *record.Entry) entered {
	open := l.taken(e)
	if v, ok := l.void(e); ok && v.Date <= e.Pause.From {
		open = e.Pause.From // it closed nothing yet
	}
	if to := e.Pause.To; to != 0 {
		after := max(to+1, l.asked(e.Pause.From, of(e, e.Pause.From)))
		if to >= l.today {
			after = to + 1 // its end is not here yet, and nobody could have been asked
		}
		open = min(open, after)
	}
	for _, r := range l.live {
		if r.What == record.Resumed && r.Date > e.Pause.From {
			open = min(open, max(r.Date, l.asked(r.Date, nil)))
		}
	}
	x := l.stretch(e, history.Pause, e.Pause.From, open, "no training from "+e.Pause.From.String())
	x.remedy = "enter resume when the client trains again, and on that day or later ask the symptom questions: isocue enter RECORD asked no"
	return x
}

// stop is the end of a course. Only a later course, with a start of its own, is trained behind it.
func (l *ledgered) stop(e *record.Entry, course unit.Date) []entered {
	open := l.taken(e)
	if v, ok := l.void(e); ok && v.Date <= e.Date && e.Date > l.today {
		open = e.Date
	}
	for _, n := range l.live {
		if n.Course != nil && diary.Later(n, e) && course >= n.Course.Start && course >= e.Date {
			return nil
		}
	}
	x := l.stretch(e, history.Pause, e.Date, open, "the course ended on "+e.Date.String())
	x.Tests = false
	x.remedy = "for a new course, enter it with its start: isocue enter RECORD course PROTOCOL --start DATE; then compile with that --start"
	return []entered{x}
}

// yes is what the answers of an asking close: what waits until a later no and the wait, all else until a clinician's clearance.
func (l *ledgered) yes(e *record.Entry) (out []entered) {
	for _, q := range l.questions {
		if e.Answers.Answers[q.ID] != "yes" {
			continue
		}
		no := l.taken(e)
		for _, a := range l.live {
			said := a.What == record.Asked && a.Answers.Answers[q.ID] == "no" || a.What == record.Over && a.Condition.Code == q.ID
			if said && diary.Later(a, e) {
				no = min(no, a.Date+unit.Date(q.WaitDays))
				break
			}
		}
		for _, m := range record.Modalities {
			effect, open := q.Effect(m.Strain(l.light)), no
			switch {
			case !rule.Closes(effect), lasting(effect) && l.cleared(q.ID, m, e.Date) && (effect == "clears" || no < history.Ahead):
				continue
			case lasting(effect):
				open = history.Ahead
			}
			x := l.stretch(e, history.Wait, e.Date, open, "yes to "+q.ID+" on "+e.Date.String())
			x.Only, x.Tests = []record.Modality{m}, q.Ill
			if x.remedy = "ask again when it is over: isocue enter RECORD asked no"; lasting(effect) {
				x.remedy = "write a clinician's clearance for " + q.ID + ", of a later day, into the record"
			}
			if q.Ill {
				x.Why = history.Ill
			}
			out = append(out, x)
		}
	}
	return out
}

// lasting says whether what a question does to a modality goes on until a clinician clears it.
func lasting(effect string) bool { return effect == "blocks" || effect == "clears" }

// lexicon reads the words of entries as those of logs are read.
func (c *Compiler) lexicon() *phrase.Lexicon {
	return c.Check.Base.Lexicon()
}

// Dangerous says whether the words of an entry tell a danger sign.
func (c *Compiler) Dangerous(e *record.Entry) bool { return sign(c.lexicon(), e) != "" }

// sign is the danger sign in the words of an entry, "" without one.
func sign(lexicon *phrase.Lexicon, e *record.Entry) string {
	for _, words := range []string{e.Words, e.Note} {
		found, _ := lexicon.Recognise(words)
		if i := slices.IndexFunc(found, func(s record.Symptom) bool { return s.Grave }); i >= 0 {
			return found[i].ID
		}
	}
	return ""
}

// danger is what words that tell a danger sign close: everything that no clearance of a later day opens, whatever was taken back.
func (l *ledgered) danger(lexicon *phrase.Lexicon, e *record.Entry) []entered {
	said := sign(lexicon, e)
	if said == "" {
		return nil
	}
	var shut []record.Modality
	for _, m := range record.Modalities {
		if !l.cleared(check.GateLog, m, e.Date) {
			shut = append(shut, m)
		}
	}
	if len(shut) == 0 {
		return nil
	}
	x := l.stretch(e, history.Wait, e.Date, history.Ahead, fmt.Sprintf("a danger sign on %s, %s", e.Date, said))
	x.Only, x.Tests = shut, len(shut) == len(record.Modalities)
	x.remedy = "send the client to a physician today; with the sign there now, call the emergency number. A clinician's clearance for " + check.GateLog + " of a later day opens it"
	return []entered{x}
}
