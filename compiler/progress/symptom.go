package progress

import (
	"cmp"
	"slices"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Event is one symptom that a log tells of.
type Event struct {
	At                           unit.Local
	What                         string // its id, with spaces; "" where the words are not known
	Grave, Low, Incident, Injury bool
	Matter                       bool               // it is no symptom
	Today                        string             // who hears of it today, "" where that is another's business
	Closes                       []record.Modality  // what it closes then; nil for everything
	Session                      *record.SessionRow // the session that it came in or after; nil without one
	File                         string
	Line                         int
}

// events reads the notes and symptoms of both logs, by time. In a note only known words count; in a symptoms column every word
// does, and whatever is no denial.
func events(in Input) (out []Event) {
	add := func(at unit.Local, text string, column bool, s *record.SessionRow, file string, line int) {
		if text == "" {
			return
		}
		found, unknown := in.Lexicon().Recognise(text)
		for _, x := range found {
			out = append(out, Event{At: at, What: strings.ReplaceAll(x.ID, "-", " "), Grave: x.Grave, Low: x.Low, Incident: x.Incident, Injury: x.Injury, Matter: x.Matter, Today: x.Today, Closes: x.Closes, Session: s, File: file, Line: line})
		}
		if column && (unknown || len(found) == 0 && in.Lexicon().Affirms(text)) {
			out = append(out, Event{At: at, Session: s, File: file, Line: line})
		}
	}
	for _, x := range in.Readings {
		if x.FromRecord || x.At > in.Now {
			continue
		}
		s := sessionBefore(in, x.At)
		add(x.At, x.Note, false, s, x.File, x.Line)
		add(x.At, x.Symptoms, true, s, x.File, x.Line)
	}
	for i := range in.Sessions {
		s := &in.Sessions[i]
		add(s.At, s.Symptoms, true, s, s.File, s.Line)
		add(s.At, s.Note, false, s, s.File, s.Line)
	}
	slices.SortStableFunc(out, func(a, b Event) int { return cmp.Compare(a.At, b.At) })
	return out
}

// sessionBefore is the newest session that was begun within the hours before a moment in which something counts as after it.
func sessionBefore(in Input, at unit.Local) (out *record.SessionRow) {
	for i := range in.Sessions {
		s := &in.Sessions[i]
		if s.Outcome != record.NotStarted && s.At <= at && at-s.At < unit.Local(in.Figures.AfterHours*60) && (out == nil || s.At >= out.At) {
			out = s
		}
	}
	return out
}
