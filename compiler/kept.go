package compiler

import (
	"slices"
	"strings"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// gone is what is said of an alert whose row stands in no log any more.
const gone = "; its row is gone from the log, and it holds until what opens it is entered"

// kept is what a plan has to remember: each entry and each alert for which something is held, and the conditions of the diary that go on,
// for they may say which hand trains.
func (c *Compiler) kept(d *diary.Diary, cl *record.Client, today unit.Date, held []finding.Finding, closings []Closing) (out []record.Kept) {
	add := func(k record.Kept) {
		if !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	entry := func(at finding.Pos) bool {
		if d == nil {
			return false
		}
		for _, e := range d.Entries {
			if e.File == at.File && max(e.Line, 1) == at.Line && e.Text != "" {
				add(record.Kept{Entry: e.Text})
				return true
			}
		}
		return false
	}
	for _, x := range closings {
		if !entry(x.Pos) && x.kept.Rule != "" {
			add(x.kept)
		}
	}
	for _, f := range held {
		if f.Held != "" {
			entry(f.Pos)
		}
	}
	if d != nil {
		l := c.ledger(d, cl, today)
		for _, e := range l.began() {
			if l.over(e) == 0 {
				add(record.Kept{Entry: e.Text})
			}
		}
	}
	return out
}

// followed is how many entries of a diary are followed.
func (in Input) followed() int {
	if in.Diary == nil {
		return 0
	}
	return len(in.Diary.Entries)
}

// keptOf is an alert as a plan remembers it; nothing for one that belongs to no row.
func keptOf(t progress.Tell) record.Kept {
	if t.Line == 0 || !t.Closes {
		return record.Kept{}
	}
	why, _, _ := strings.Cut(t.Why, gone)
	return record.Kept{Rule: t.Rule, Why: why, On: t.On, At: t.At, Grave: t.Grave, File: t.File, Line: t.Line}
}

// remembered puts the alerts that the plan before remembers beside those that were found, where they were not found again and no
// clearance of a later day opens them.
func (j *judging) remembered() {
	for _, k := range j.log.Plan.Alerts() {
		if slices.ContainsFunc(j.tells, func(t progress.Tell) bool { return t.Rule == k.Rule && (t.At == k.At || t.On > k.On) }) {
			continue
		}
		t := progress.Tell{Who: "coach", HowSoon: "today", Why: k.Why + gone, Rule: k.Rule, On: k.On, At: k.At, Closes: true, Grave: k.Grave, File: k.File, Line: k.Line}
		shuts := func(record.Modality) bool { return true }
		if r := j.c.Check.Base.Rule(k.Rule); r != nil {
			if r.Tell.DayAlone && k.On < j.on.Today {
				continue // that day is over
			}
			shuts = r.Tell.Shuts
			t.Who, t.HowSoon, t.Do, t.Rationale, t.Sources = r.Tell.Who, r.Tell.HowSoon, r.Remedy, r.Rationale, r.Sources
		}
		for _, p := range j.on.Protocols {
			if shuts(p.Modality) && !j.c.Check.OpenedSince(j.log.Client.Record, p.Modality, k.On, j.on.Today) {
				t.Closed = append(t.Closed, p.Modality)
			}
		}
		if len(t.Closed) > 0 {
			j.tells = append(j.tells, t)
		}
	}
}
