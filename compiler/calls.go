package compiler

import (
	"slices"
	"strings"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/history"
	"isocue.example/compiler/phrase"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// What telephone calls and a second look at words do to an alert. A danger sign is ended by a clinician alone; any other alert that
// closes training also by a call to whom its rule names, together with something harmless that came later.

// calls are the entries that say that somebody was reached, by a day.
func calls(d *diary.Diary, today unit.Date) (out []record.Entry) {
	if d == nil {
		return nil
	}
	for _, e := range d.Live() {
		if e.Told != nil && e.Told.Reached && e.Date <= today {
			out = append(out, e)
		}
	}
	return out
}

// laterThan says whether a call is known to be later than a moment: one without a time of day may have been at its beginning.
func laterThan(call *record.Entry, at, now unit.Local) bool {
	return diary.At(call, now, unit.At(call.Date, 0)) > at
}

// open are the alerts that nothing has ended.
func (j *judging) open() (out []progress.Tell) {
	made := calls(j.log.Diary, j.on.Today)
	for _, t := range j.tells {
		if t.Closes && !t.Grave && slices.ContainsFunc(made, func(call record.Entry) bool { return j.ends(&call, t) }) {
			j.f.Settled = append(j.f.Settled, t.At)
			continue
		}
		out = append(out, t)
	}
	return out
}

// ends says whether a call, and what came after it, ends an alert.
func (j *judging) ends(call *record.Entry, t progress.Tell) bool {
	if call.Told.Who != t.Who || len(call.Told.About) > 0 || !laterThan(call, t.At, j.now) {
		return false
	}
	by := diary.At(call, j.now, unit.At(call.Date+1, 0)-1) // it is known to have been made by then
	if slices.ContainsFunc(j.harmless, func(at unit.Local) bool { return at > by }) {
		return true
	}
	l := j.c.ledger(j.log.Diary, j.log.Client.Record, j.on.Today)
	return l.asked(call.Date, call) < history.Ahead
}

// understood puts what a coach read in unknown words into their place.
type understood struct {
	lexicon func() *phrase.Lexicon
	read    []record.Entry // the entries that say so, the graver finding of two last
}

// readNotes are the entries that say what words mean.
func readNotes(d *diary.Diary, today unit.Date) (out []record.Entry) {
	if d == nil {
		return nil
	}
	for _, e := range d.Live() {
		if e.Understood != nil && e.Date <= today {
			out = append(out, e)
		}
	}
	return out
}

// of is what was read in the words of a row or an entry; read is false where nobody has.
func (r understood) of(is func(*record.ReadNote) bool) (finding string, read bool) {
	for _, e := range r.read {
		if n := e.Understood; is(n) {
			if read = true; n.Finding != "nothing" {
				finding = strings.TrimSpace(finding + "; " + n.Finding)
			}
		}
	}
	return strings.TrimPrefix(finding, "; "), read
}

// words are those of a row with what was read in them; known words in them still count.
func (r understood) words(text string, at unit.Local) string {
	if text == "" || len(r.read) == 0 {
		return text
	}
	finding, read := r.of(func(n *record.ReadNote) bool { return n.Entry == "" && n.Row == at })
	if !read {
		return text
	}
	found, _ := r.lexicon().Recognise(text)
	var out []string
	for _, s := range found {
		out = append(out, s.ID)
	}
	if finding != "" {
		out = append(out, finding)
	}
	return strings.Join(out, "; ")
}

// log is a log with what was read in its words; the log itself stays as it is.
func (r understood) log(l *record.Log) *record.Log {
	if l == nil || len(r.read) == 0 {
		return l
	}
	out := *l
	out.Readings, out.Sessions = slices.Clone(l.Readings), slices.Clone(l.Sessions)
	for i := range out.Readings {
		x := &out.Readings[i]
		x.Symptoms = r.words(x.Symptoms, x.At)
	}
	for i := range out.Sessions {
		x := &out.Sessions[i]
		x.Symptoms = r.words(x.Symptoms, x.At)
	}
	return &out
}

// entries are the words of the diary as rows of a log: what was read in those that nobody knew and, where they are asked for, those
// of illnesses, symptoms and notes. Words that nobody knows count where no symptom is known in them.
func (r understood) entries(in Following, now unit.Local) (out []record.LogReading) {
	if in.Diary == nil {
		return nil
	}
	for _, e := range in.Diary.Live() {
		x := record.LogReading{At: diary.At(&e, now, unit.At(e.Date, 0)), File: e.File, Line: max(e.Line, 1), Column: 1}
		finding, read := r.of(func(n *record.ReadNote) bool { return n.Entry == e.ID })
		switch {
		case read:
			x.Symptoms = finding
			if in.Felt {
				x.Note = e.Words + "; " + e.Note
			}
		case in.Felt && e.What == record.Ill && sign(r.lexicon(), &e) == "": // it closes all by itself
		case in.Felt && e.What == record.Felt:
			if found, _ := r.lexicon().Recognise(e.Words); len(found) == 0 {
				x.Symptoms = e.Words
			}
			x.Note = e.Words + "; " + e.Note
		case in.Felt:
			x.Note = e.Words + "; " + e.Note
		}
		if x.Symptoms+strings.Trim(x.Note, "; ") != "" {
			out = append(out, x)
		}
	}
	return out
}
