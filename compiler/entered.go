package compiler

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"isocue.example/compiler/check"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
)

// What the diary closes. What closes training is taken from every entry that can be read; what opens it again from sound ones alone,
// and never without the questions asked afterwards.

// DiaryCloses is the rule by which an entry of the diary closes training.
const DiaryCloses = "diary-closes"

const whyCloses = "What was entered holds until what ends it is entered: an end that nobody wrote is not assumed, and nobody trains on from an illness without being asked."

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
	cl        *record.Client // nil where the record cannot be read: then it opens nothing
	today     unit.Date
	live      []record.Entry // those that count by today
	questions []rule.Question
	course    unit.Date // the start of the course that is asked about
}

// entered is what a diary closes, as it is known today.
func (c *Compiler) entered(d *diary.Diary, cl *record.Client, today, course unit.Date) (out []entered) {
	if d == nil {
		return nil
	}
	l := &ledgered{c: c, d: d, cl: cl, today: today, questions: c.Check.Base.Questions(), course: course}
	for _, e := range d.Live() {
		if e.Date <= today {
			l.live = append(l.live, e)
		}
	}
	lexicon := c.lexicon()
	for i := range d.Entries {
		e := &d.Entries[i]
		if x, ok := l.danger(lexicon, e); ok {
			out = append(out, x)
		}
		switch e.What {
		case record.Ill:
			out = append(out, l.closing(e, history.Ill, e.Date, l.ends(e), "ill from "+e.Date.String()))
		case record.Begins:
			if l.illness(e) {
				out = append(out, l.closing(e, history.Ill, e.Date, l.ends(e), "ill from "+e.Date.String()))
			}
		case record.Felt:
			x := l.closing(e, history.Ill, e.Date, min(l.asked(e.Date, e), l.taken(e)), "something was felt or seen on "+e.Date.String())
			x.Why = history.Wait
			x.remedy = "ask the symptom questions on a later day, or at a later time that both entries name, and enter it: isocue enter RECORD asked no"
			out = append(out, x)
		case record.Paused:
			if e.Pause != nil {
				out = append(out, l.pause(e))
			}
		case record.Stop:
			if x, ok := l.stop(e); ok {
				out = append(out, x)
			}
		case record.Asked:
			out = append(out, l.yes(e)...)
		}
	}
	return slices.DeleteFunc(out, func(x entered) bool { return x.To < x.From })
}

// closing is a stretch from a day until the one on which training opens again.
func (l *ledgered) closing(e *record.Entry, why history.Why, from, open unit.Date, says string) entered {
	x := entered{Entered: history.Entered{Span: record.Span{From: from, To: history.Ahead}, Why: why, Tests: true}, by: e, says: says,
		remedy: "enter well when the client is, and on that day or later ask the symptom questions: isocue enter RECORD asked no"}
	if open < history.Ahead {
		x.To = open - 1
	}
	return x
}

// illness says whether a condition is an acute illness.
func (l *ledgered) illness(e *record.Entry) bool {
	return e.Condition != nil && slices.ContainsFunc(l.questions, func(q rule.Question) bool { return q.Ill && q.ID == e.Condition.Code })
}

// ends is the first day after an illness: after a well, the wait of the question and the questions themselves; Ahead where it goes on.
func (l *ledgered) ends(e *record.Entry) unit.Date {
	wait := 0
	for _, q := range l.questions {
		if q.Ill {
			wait = max(wait, q.WaitDays)
		}
	}
	open := l.taken(e)
	for i := range l.live {
		w := &l.live[i]
		if (w.What == record.Well || w.What == record.Over && l.illness(w)) && diary.Later(w, e) {
			open = min(open, max(w.Date+unit.Date(wait), l.asked(w.Date, nil)))
		}
	}
	return open
}

// taken is the first day after a void of what closed training, Ahead without one.
func (l *ledgered) taken(e *record.Entry) unit.Date {
	v, ok := l.d.Voided[e.ID]
	if !ok || v.Date > l.today {
		return history.Ahead
	}
	return max(v.Date, l.asked(v.Date, nil))
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
	for i := range l.live {
		a := &l.live[i]
		if a.What != record.Asked || a.Answers == nil || a.Date < since || after != nil && !diary.Later(a, after) {
			continue
		}
		for q, v := range a.Answers.Answers {
			if was := by[q]; was == nil || v != "no" || diary.Later(a, was) { // of one moment the graver answer holds
				said[q], by[q] = v, a
			}
		}
		next := i + 1 // what stands on one day is taken together
		if (next == len(l.live) || l.live[next].Date != a.Date || !slices.ContainsFunc(l.live[next:], func(o record.Entry) bool { return o.Date == a.Date && o.What == record.Asked })) && no(said) {
			return a.Date
		}
	}
	return history.Ahead
}

// pause is a pause. It is over behind its last day, or on the day of a resume, where the questions were asked in it or later.
func (l *ledgered) pause(e *record.Entry) entered {
	open := l.taken(e)
	if v, ok := l.d.Voided[e.ID]; ok && v.Date <= e.Pause.From && v.Date <= l.today {
		open = e.Pause.From // it closed nothing yet
	}
	if to := e.Pause.To; to != 0 {
		after := max(to+1, l.asked(e.Pause.From, nil))
		if to >= l.today {
			after = to + 1 // its end is not here yet, and nobody could have been asked
		}
		open = min(open, after)
	}
	for i := range l.live {
		if r := &l.live[i]; r.What == record.Resumed && r.Date > e.Pause.From {
			open = min(open, max(r.Date, l.asked(r.Date, nil)))
		}
	}
	x := l.closing(e, history.Pause, e.Pause.From, open, "no training from "+e.Pause.From.String())
	x.remedy = "enter resume when the client trains again, and on that day or later ask the symptom questions: isocue enter RECORD asked no"
	return x
}

// stop is the end of a course. Only a later course, with a start of its own, is trained behind it.
func (l *ledgered) stop(e *record.Entry) (entered, bool) {
	open := l.taken(e)
	if v, ok := l.d.Voided[e.ID]; ok && v.Date <= e.Date && v.Date <= l.today && e.Date > l.today {
		open = e.Date
	}
	for i := range l.live {
		if n := &l.live[i]; n.Course != nil && diary.Later(n, e) && l.course >= n.Course.Start && l.course >= e.Date {
			return entered{}, false
		}
	}
	x := l.closing(e, history.Pause, e.Date, open, "the course ended on "+e.Date.String())
	x.Tests = false
	x.remedy = "for a new course, enter it with its start: isocue enter RECORD course PROTOCOL --start DATE; then compile with that --start"
	return x, true
}

// yes is what the answers of an asking close: what waits until a later no and the wait, all else until a clinician's clearance.
func (l *ledgered) yes(e *record.Entry) (out []entered) {
	if e.Answers == nil {
		return nil
	}
	for _, q := range l.questions {
		if e.Answers.Answers[q.ID] != "yes" {
			continue
		}
		no := l.taken(e)
		for i := range l.live {
			if a := &l.live[i]; a.Answers != nil && diary.Later(a, e) && a.Answers.Answers[q.ID] == "no" ||
				a.What == record.Over && a.Condition != nil && a.Condition.Code == q.ID && diary.Later(a, e) {
				no = min(no, a.Date+unit.Date(q.WaitDays))
				break
			}
		}
		for _, m := range record.Modalities {
			effect := q.Effect(m)
			if effect == "none" {
				continue
			}
			open := no
			if effect == "blocks" || effect == "clears" {
				if open = history.Ahead; l.cleared(q.ID, m, e.Date) && (effect == "clears" || no < history.Ahead) {
					continue
				}
			}
			x := l.closing(e, history.Wait, e.Date, open, "yes to "+q.ID+" on "+e.Date.String())
			x.Only, x.Tests = []record.Modality{m}, q.Ill
			if x.remedy = "ask again when it is over: isocue enter RECORD asked no"; effect == "blocks" || effect == "clears" {
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

// lexicon reads the words of entries as those of logs are read.
func (c *Compiler) lexicon() *progress.Lexicon {
	return progress.NewLexicon(c.Check.Base.Symptoms(), c.Check.Base.LogWords())
}

// Dangerous says whether the words of an entry tell a danger sign.
func (c *Compiler) Dangerous(e *record.Entry) bool { return sign(c.lexicon(), e) != "" }

// sign is the danger sign in the words of an entry, "" without one.
func sign(lexicon *progress.Lexicon, e *record.Entry) string {
	for _, words := range []string{e.Words, e.Note} {
		found, _ := lexicon.Recognise(words)
		if i := slices.IndexFunc(found, func(s record.Symptom) bool { return s.Grave }); i >= 0 {
			return found[i].ID
		}
	}
	return ""
}

// danger is what words that tell a danger sign close: everything that no clearance of a later day opens, whatever was taken back.
func (l *ledgered) danger(lexicon *progress.Lexicon, e *record.Entry) (entered, bool) {
	said := sign(lexicon, e)
	if said == "" {
		return entered{}, false
	}
	var shut []record.Modality
	for _, m := range record.Modalities {
		if !l.cleared(check.GateLog, m, e.Date) {
			shut = append(shut, m)
		}
	}
	x := l.closing(e, history.Wait, e.Date, history.Ahead, fmt.Sprintf("a danger sign on %s, %s", e.Date, said))
	x.Only, x.Tests = shut, len(shut) == len(record.Modalities)
	x.remedy = "send the client to a physician today; with the sign there now, call the emergency number. A clinician's clearance for " + check.GateLog + " of a later day opens it"
	return x, len(shut) > 0
}

// cleared says whether a clinician's clearance of a later day opens a modality, for a gate or for any alert. Without a record nobody
// knows which medicines changed since.
func (l *ledgered) cleared(gate string, m record.Modality, since unit.Date) bool {
	if l.cl == nil {
		return false
	}
	cl := *l.cl
	cl.Clearances = slices.Clone(cl.Clearances)
	for i := range l.live {
		if x := l.live[i].Clearance; x != nil {
			cl.Clearances = append(cl.Clearances, *x)
		}
	}
	if l.c.Check.OpenedSince(&cl, m, since, l.today) {
		return true
	}
	return gate != check.GateLog && slices.ContainsFunc(cl.Clearances, func(x record.Clearance) bool { return x.Gate == gate && x.Date > since }) && l.c.Check.Opened(&cl, gate, m, l.today)
}

// Closing is the entry as what closes training today; ok is false where it does not, or where its end is known.
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

// EnteredClosings are what a diary closes today for the protocols of a plan, where the record beside it cannot be read.
func (c *Compiler) enteredClosings(in Input, cl *record.Client, today, course unit.Date, modalities []record.Modality) (out []Closing) {
	for _, x := range c.entered(in.Diary, cl, today, course) {
		if y, ok := x.closing(today, modalities); ok && !slices.ContainsFunc(out, func(o Closing) bool {
			return o.Pos == y.Pos && o.Message == y.Message && slices.Equal(o.Modalities, y.Modalities)
		}) {
			out = append(out, y)
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
	today := history.Wall(p.Zone, in.Now).Date()
	of := map[string]record.Modality{}
	for _, s := range p.Sessions {
		of[s.Protocol] = p.Kinds[s.Kind].Modality
	}
	bars := c.enteredClosings(in, nil, today, p.Start, slices.Sorted(maps.Values(of)))
	for _, e := range c.entryConditions(in.Diary, today) {
		bars = append(bars, e)
	}
	r := &pass{programme: &programme{c: c, in: in}}
	r.on.Today = today
	for _, id := range slices.Sorted(maps.Keys(of)) {
		first := true
		for _, x := range bars {
			if !slices.Contains(x.Modalities, of[id]) {
				continue
			}
			f := x.Finding
			f.Held = id
			if out.Findings = append(out.Findings, f); first {
				r.hold(id, f)
			}
			first = false
		}
	}
	if len(r.held) > 0 {
		out.Plan, out.Changes, err = c.heldAlone(in, r.held)
	}
	return out, err
}
