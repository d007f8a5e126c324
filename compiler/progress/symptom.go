package progress

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Event is one symptom that a log tells of.
type Event struct {
	At                           unit.Local
	What                         string // its id, with spaces; "" where the words are not known
	Grave, Low, Incident, Injury bool
	Session                      *record.SessionRow // the session that it came in or after; nil without one
	File                         string
	Line                         int
}

// events reads the notes and symptoms of both logs, by time. In a note only known words count; in a symptoms column every word
// does.
func events(in Input) (out []Event) {
	add := func(at unit.Local, text string, column bool, s *record.SessionRow, file string, line int) {
		found, unknown := Recognise(text, in.Symptoms)
		for _, x := range found {
			out = append(out, Event{At: at, What: strings.ReplaceAll(x.ID, "-", " "), Grave: x.Grave, Low: x.Low, Incident: x.Incident, Injury: x.Injury, Session: s, File: file, Line: line})
		}
		if column && unknown {
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

// word is one word of a text, and whether a clause ends behind it.
type word struct {
	s    string
	ends bool
	used bool
}

// negations turn what follows them in the same clause.
var negations = map[string]bool{"no": true, "not": true, "without": true, "never": true, "denies": true, "nor": true}

// reach is over how many words a negation reaches.
const reach = 3

// plainWords say nothing by themselves.
var plainWords = map[string]bool{"none": true, "nil": true, "nothing": true, "ok": true, "okay": true, "fine": true, "well": true, "good": true, "all": true,
	"and": true, "or": true, "a": true, "an": true, "the": true, "some": true, "bit": true, "little": true, "slight": true, "slightly": true, "mild": true,
	"mildly": true, "very": true, "felt": true, "feel": true, "feeling": true, "in": true, "on": true, "at": true, "of": true, "my": true, "i": true, "was": true,
	"is": true, "had": true, "have": true, "with": true, "after": true, "during": true, "before": true, "for": true, "then": true, "left": true, "right": true,
	"today": true, "symptom": true, "symptoms": true, "again": true, "still": true, "yes": true, "normal": true}

// Recognise finds the symptoms that a text names, each once, the longest words first; a negated one does not count. Unknown says
// that words are left which neither name a symptom nor say nothing. It reads English.
func Recognise(text string, all []record.Symptom) (found []record.Symptom, unknown bool) {
	ws := split(text)
	type phrase struct {
		words []string
		of    int
	}
	var ps []phrase
	for i, s := range all {
		for _, p := range append([]string{s.ID}, s.Words...) {
			ps = append(ps, phrase{strings.Fields(strings.ReplaceAll(p, "-", " ")), i})
		}
	}
	slices.SortStableFunc(ps, func(a, b phrase) int { return len(b.words) - len(a.words) })
	hit := make([]bool, len(all))
	for _, p := range ps {
		for i := range ws {
			if fits(ws[i:], p.words) {
				for k := range p.words {
					ws[i+k].used = true
				}
				hit[p.of] = hit[p.of] || !negated(ws, i)
			}
		}
	}
	for i, s := range all {
		if hit[i] {
			found = append(found, s)
		}
	}
	return found, slices.ContainsFunc(ws, func(w word) bool { return !w.used && !plainWords[w.s] && !negations[w.s] })
}

func fits(ws []word, phrase []string) bool {
	if len(phrase) == 0 || len(ws) < len(phrase) {
		return false
	}
	for k, p := range phrase {
		if ws[k].used || ws[k].s != p || ws[k].ends && k < len(phrase)-1 {
			return false
		}
	}
	return true
}

func negated(ws []word, i int) bool {
	for k := i - 1; k >= 0 && k >= i-reach && !ws[k].ends; k-- {
		if negations[ws[k].s] {
			return true
		}
	}
	return false
}

// split takes a text apart into words without case. Marks end a clause, and so does but.
func split(text string) (out []word) {
	var b strings.Builder
	flush := func() {
		if b.Len() > 0 {
			out = append(out, word{s: b.String()})
			b.Reset()
		}
	}
	for _, r := range strings.ToLower(text) {
		switch {
		case unicode.IsLetter(r):
			b.WriteRune(r)
		case strings.ContainsRune(".,;:|!?/()", r):
			flush()
			if len(out) > 0 {
				out[len(out)-1].ends = true
			}
		default:
			flush()
		}
	}
	flush()
	for i, w := range out {
		if w.s == "but" {
			out[i].ends, out[i].used = true, true
		}
	}
	return out
}
