package compiler

import (
	"cmp"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// What a follow-up takes of the diary beside its readings and words: sessions that were done, every change of a medicine, what an entry
// closes, and a course that no plan has yet.

// noted puts what the diary says into what is followed.
func (g *programme) noted(in Following, p *progress.Input, f *progress.Followed) {
	live := in.Diary.Live()
	rows := history.OnPaper(in.Plan, live)
	p.Sessions = append(p.Sessions, rows...)
	p.Partial = !p.Asked && len(rows) > 0
	p.Asked = p.Asked || p.Partial
	e := &progress.Entered{Entries: len(live), Course: CourseAsked(in.Diary, in.Plan)}
	if e.Course != nil && in.Plan != nil && !slices.ContainsFunc(e.Course.Protocols, func(id string) bool { return !planned(in.Plan, id, e.Course.Start) }) {
		e.Course = nil // the plan has it
	}
	for i := range live {
		x := &live[i]
		e.File = cmp.Or(e.File, x.File)
		switch {
		case x.Date > g.on.Today:
		case x.Reading != nil:
			e.Readings++
		case x.Medicine != nil:
			p.Changed = append(p.Changed, x.Date)
		case x.Trained != nil && len(history.OnPaper(in.Plan, live[i:i+1])) > 0:
			e.Trained++
		case x.Trained != nil:
			e.Strange++
		}
	}
	var ms []record.Modality
	for _, x := range g.on.Protocols {
		ms = append(ms, x.Modality)
	}
	for _, x := range closings(g.c.entered(in.Diary, in.Client.Record, g.on.Today, g.on.Today, false), g.on.Today, ms) {
		e.Held = append(e.Held, progress.Held{Says: finding.Plain(x.Message), Opens: x.Remedy})
	}
	f.Entered = e
}

// planned says whether a plan has a session of a protocol, by its id or its file's name, on a day or later.
func planned(p *record.Plan, protocol string, since unit.Date) bool {
	id := strings.TrimSuffix(filepath.Base(protocol), filepath.Ext(protocol))
	return slices.ContainsFunc(p.Sessions, func(s record.Session) bool { return s.Protocol == id && s.Start.Date() >= since })
}

// CourseAsked is the course of a diary that begins behind a plan's, or for which there is no plan; nil without one.
func CourseAsked(d *diary.Diary, p *record.Plan) (out *record.NewCourse) {
	for _, e := range d.Live() {
		switch {
		case e.What == record.Stop:
			out = nil
		case e.Course != nil && (p == nil || e.Course.Start > p.Start):
			out = e.Course
		}
	}
	return out
}

// changes are the medicines that changed since the first day that is compared, or so shortly before it that they still tell in it, by
// day, each by the name that somebody wrote.
func (c *Compiler) changes(in Following, today unit.Date, windows []progress.Window) (out []progress.MedicineChange) {
	var since unit.Date
	if len(windows) > 0 {
		since = windows[0].From - unit.Date(c.Check.Base.Comparison.SettleDays)
	}
	add := func(on unit.Date, class, name, what string) {
		if on >= since && on <= today {
			if kind := cmp.Or(c.Check.Base.Medicines[class].Name, class); name == "" {
				name = kind
			} else {
				name += " (" + kind + ")"
			}
			out = append(out, progress.MedicineChange{On: on, Says: name + " " + what + " on " + on.String()})
		}
	}
	said := map[string]bool{}
	if in.Diary != nil {
		for _, e := range in.Diary.Live() {
			if m := e.Medicine; m != nil {
				said[m.Class+e.Date.String()] = true
				add(e.Date, m.Class, strings.TrimSpace(m.Name), m.Change)
			}
		}
	}
	for _, m := range in.Client.Record.Medicines {
		if !said[m.Class+m.Changed.String()] {
			add(m.Changed, m.Class, "", "changed")
		}
	}
	slices.SortStableFunc(out, func(a, b progress.MedicineChange) int { return cmp.Compare(a.On, b.On) })
	return out
}
