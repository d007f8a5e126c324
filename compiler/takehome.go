package compiler

import (
	"fmt"
	"strings"

	"isocue.example/compiler/check"
	"isocue.example/compiler/handout"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
)

// In is a Compiler whose plans are in a language: their cautions, and the titles that a protocol has in it. It judges as c does.
func (c *Compiler) In(l *say.Language) (*Compiler, error) {
	base, ok := c.Check.Base.In(l.Tag)
	if !ok {
		return nil, fmt.Errorf("the cautions are not there in %q, allowed: %s", l.Tag, strings.Join(say.Tags(), ", "))
	}
	if base == c.Check.Base {
		return c, nil
	}
	out := *c
	out.Check = &check.Checker{Base: base, Classes: c.Check.Classes, AllDays: c.Check.AllDays, Timer: c.Check.Timer}
	return &out, nil
}

// TitlesIn are the protocols with the titles that the client reads.
func TitlesIn(l *say.Language, ps []*load.Protocol) []*load.Protocol {
	out := make([]*load.Protocol, len(ps))
	for i, p := range ps {
		out[i] = p // the same one, which may have been judged for many clients
		if title := p.Record.Titles[l.Tag]; title != "" && title != p.Record.Title {
			mine, rec := *p, *p.Record
			rec.Title, mine.Record = title, &rec
			out[i] = &mine
		}
	}
	return out
}

// Handout is what the client's hand-out is made from: the plan in its own language, what may be told to expect, and the days
// after which a course is not simply gone on with. Client is nil where the record is not at hand: then the sheet goes by the
// client's id and has a line for the prescriber.
func (c *Compiler) Handout(p *record.Plan, client *load.Client, version string) (handout.Input, error) {
	l, err := say.Of(p)
	if err != nil {
		return handout.Input{}, err
	}
	mine, err := c.In(l)
	if err != nil {
		return handout.Input{}, err
	}
	base := mine.Check.Base
	plan := *p
	plan.Sitting = base.Sitting // a plan that was read has none
	in := handout.Input{Plan: &plan, Expected: base.Expected, Symptoms: base.Symptoms(), Version: version, Language: l,
		LighterDays: base.Limit("pause-lighter", "below").Whole(), MeasureDays: base.Limit("pause-measure", "below").Whole()}
	figures := c.compared()
	in.Bounds = handout.Bounds{Lowest: figures.Lowest, Highest: figures.Highest, LowestPulse: figures.LowestPulse, MostPulse: figures.HighestPulse,
		LeastApart: c.byItself().Check.Base.Limit("pressure-difference-floor", "floor").Whole()}
	in.Contacts.Clinic = p.Clinic
	if client != nil {
		in.Name, in.Contacts = client.Node.Get("name").Text(), client.Record.Contacts
	}
	return in, nil
}
