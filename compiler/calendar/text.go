package calendar

import (
	"errors"
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
)

// The sentences stand in package say; this file puts them together for an entry.

// words is the language of the options, English unless one is given.
func (o Options) words() *say.Language {
	if o.Language == nil {
		return say.English()
	}
	return o.Language
}

// describe is the description of a session without its cautions, line by line.
func (b *bodies) describe(p *record.Plan, k *record.Kind, status record.Status, at place) ([]string, error) {
	if len(k.Steps) == 0 {
		return nil, errors.New("it has no steps, allowed: at least one")
	}
	if k.Modality == record.Handgrip && len(k.Loads) == 0 {
		return nil, errors.New("it is handgrip without a load, allowed: a load for each hand that squeezes")
	}
	switch {
	case b.discreet && status == record.Cancelled:
		return []string{b.words.Entry.NothingToDo}, nil
	case b.discreet:
		return []string{b.words.Frame.DiscreetNotice}, nil
	}
	return b.words.SessionLines(p, k, status, at.Place, at.call), nil
}

// entry is the description of an all-day entry without its cautions.
func (b *bodies) entry(p *record.Plan, o *record.Other, title string) []string {
	switch {
	case o.Status == record.Cancelled:
		return []string{b.words.Entry.NothingToDo}
	case b.discreet:
		return []string{b.words.Frame.DiscreetNotice}
	}
	out := []string{title + "."}
	if o.What == record.Measure && b.words.MeasureGated(p, o.About) {
		out = append(out, b.words.GateLines(p, b.call)...)
	}
	return append(out, b.words.EntryLines(p, o.What, o.About)...)
}

// sheet is the line that opens every description: the number of the plan that last changed the entry.
func (b *bodies) sheet(n int) []string {
	if n < 1 {
		return nil
	}
	return []string{fmt.Sprintf(b.words.Frame.Sheet, n)}
}

// title is what an entry is called before its standing.
func (b *bodies) title(s string) string {
	if b.discreet {
		return b.words.Frame.Discreet
	}
	return s
}
