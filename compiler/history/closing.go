package history

import (
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Question is what a yes to a screening question does to training.
type Question struct {
	ID       string
	Effects  map[record.Modality]string // blocks, waits, clears or changes
	WaitDays int                        // from its end, or from its day where it is one day
	Lasts    bool                       // it goes on until its end is written; otherwise it is what happened on one day
	Ill      bool                       // an acute illness: it closes everything, tests too
}

// Why names what closes a day.
type Why string

const (
	Ill    Why = "ill"    // an illness, and the wait after it
	Wait   Why = "wait"   // another wait, for the modalities that it bars
	Pause  Why = "pause"  // asked for by the trainer
	Away   Why = "away"   // the client is not at home
	Closed Why = "closed" // the clinic is
)

// Ahead is an end that nobody knows yet.
const Ahead = unit.Date(1 << 30)

// closing is a stretch of days on which training is closed; To is Ahead where nobody knows its end.
type closing struct {
	record.Span
	why   Why
	only  map[record.Modality]string // the modalities that it closes; nil for all
	tests bool                       // no maximal test and no effort either
}

// Entered is a closing that the diary tells of; Only are the modalities that it closes, nil for all.
type Entered struct {
	record.Span
	Why   Why
	Only  []record.Modality
	Tests bool
}

// close makes closings of the record and of what the trainer and the clinic asked for.
func (h *History) close() {
	add := func(why Why, tests bool, spans []record.Span) {
		for _, s := range spans {
			h.closings = append(h.closings, closing{Span: s, why: why, tests: tests})
		}
	}
	add(Away, false, h.in.Client.Away)
	add(Closed, false, h.in.Closed)
	add(Pause, true, h.in.Pauses)
	for _, x := range h.in.Diary {
		y := closing{Span: x.Span, why: x.Why, tests: x.Tests}
		if x.Only != nil {
			y.only = map[record.Modality]string{}
			for _, m := range x.Only {
				y.only[m] = "waits"
			}
		}
		h.closings = append(h.closings, y)
	}
	c := h.in.Client
	for _, q := range h.in.Questions {
		told := false
		for _, x := range c.Conditions {
			if x.Code == q.ID {
				told = true
				h.wait(q, x.Since, Until(q, x))
			}
		}
		if !told && c.Answers[q.ID] == "yes" {
			h.wait(q, c.Screened, Ahead)
		}
	}
}

// Until is the first day on which a condition bars nothing more, its wait included; Ahead where its end is not known.
func Until(q Question, x record.Condition) unit.Date {
	switch {
	case x.Until == 0 && (q.Lasts || x.Since == 0):
		return Ahead
	default:
		return max(x.Since, x.Until) + unit.Date(q.WaitDays) // an end before the beginning shortens no wait
	}
}

// wait closes the modalities for which a question waits.
func (h *History) wait(q Question, from, open unit.Date) {
	only := map[record.Modality]string{}
	for m, e := range q.Effects {
		if e == "waits" {
			only[m] = e
		}
	}
	if len(only) == 0 || open <= from {
		return
	}
	x := closing{Span: record.Span{From: from, To: open - 1}, why: Wait, only: only}
	if q.Ill {
		x.why, x.only, x.tests = Ill, nil, true
	}
	h.closings = append(h.closings, x)
}

// closes says whether a stretch closes a modality on a day.
func (x closing) closes(m record.Modality, d unit.Date) bool {
	return x.Has(d) && (x.only == nil || x.only[m] != "")
}

// Open says whether nothing closes a modality on a day.
func (h *History) Open(m record.Modality, d unit.Date) bool {
	return !slices.ContainsFunc(h.closings, func(x closing) bool { return x.closes(m, d) })
}

// Testable says whether a maximal test or another effort may be made on a day.
func (h *History) Testable(d unit.Date) bool {
	return !slices.ContainsFunc(h.closings, func(x closing) bool { return x.tests && x.Has(d) })
}

// Spans are the days on which a modality is closed, joined and in order.
func (h *History) Spans(m record.Modality) []record.Span {
	var out []record.Span
	for _, x := range h.closings {
		if x.only == nil || x.only[m] != "" {
			out = append(out, x.Span)
		}
	}
	return Joined(out)
}

// Imposed are the Spans that the client did not choose: nobody can open a day of them.
func (h *History) Imposed(m record.Modality) (out []record.Span) {
	for _, x := range h.closings {
		if x.why != Away && (x.only == nil || x.only[m] != "") {
			out = append(out, x.Span)
		}
	}
	return Joined(out)
}

// IllBetween says whether an illness lies in the days after one and before another.
func (h *History) IllBetween(after, before unit.Date) bool {
	return slices.ContainsFunc(h.closings, func(x closing) bool { return x.why == Ill && x.From < before && x.To > after })
}

// Joined is every day of some spans, joined where they touch, and in order.
func Joined(all []record.Span) (out []record.Span) {
	all = slices.Clone(all)
	slices.SortFunc(all, func(x, y record.Span) int { return int(x.From - y.From) })
	for _, s := range all {
		if n := len(out); n > 0 && s.From <= out[n-1].To+1 {
			out[n-1].To = max(out[n-1].To, s.To)
		} else {
			out = append(out, s)
		}
	}
	return out
}

// Barred is the hands that must not be trained on a day, by the conditions that change the hand.
func Barred(c *record.Client, questions []Question, day unit.Date) map[record.Hand]bool {
	out := map[record.Hand]bool{}
	for _, q := range questions {
		for _, x := range c.Conditions {
			healed := x.Until != 0 && Until(q, x) <= day
			if x.Code == q.ID && x.Side != "" && q.Effects[record.Handgrip] == "changes" && x.Since <= day && !healed {
				out[x.Side] = true
			}
		}
	}
	return out
}

// Bars says whether a session's work asks a hand to squeeze that must not be trained on a day.
func (h *History) Bars(k record.Kind, day unit.Date) bool {
	barred := Barred(h.in.Client, h.in.Questions, day)
	return slices.ContainsFunc(k.Loads, func(d record.Dose) bool { return k.Modality == record.Handgrip && barred[d.Hand] })
}
