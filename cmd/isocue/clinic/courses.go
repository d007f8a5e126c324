package clinic

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// courses lays the courses that a diary tells of over the input of a compile for which no protocol and no start was named. client is the
// record's file. What the plan before goes on with stands among the protocols of the input already.
func (f Front) courses(eng *compiler.Compiler, in *compiler.Input, client string) (out []finding.Finding, err error) {
	if in.Diary == nil || in.Client == nil || !slices.ContainsFunc(in.Diary.Live(), func(e record.Entry) bool { return e.Course != nil }) {
		return nil, nil
	}
	by := map[string]*load.Protocol{} // as they are called in the diary
	for _, e := range in.Diary.Live() {
		if e.Course == nil {
			continue
		}
		for _, word := range e.Course.Protocols {
			if by[word] == nil {
				if by[word], err = f.called(eng, in, client, word); err != nil {
					return nil, err
				}
			}
		}
	}
	protocols := map[string]*load.Protocol{}
	for _, p := range by {
		protocols[p.Record.ID] = p
	}
	var before []diary.Course
	for _, p := range in.Protocols {
		protocols[p.Record.ID] = p
		if in.Previous == nil { // what was named for all
			before = append(before, diary.Course{Protocol: p.Record.ID, Start: in.Start})
		} else if c, ok := in.Previous.Course(p.Record.ID); ok {
			before = append(before, diary.Course{Protocol: p.Record.ID, Start: c.Start})
		}
	}
	today := history.Wall(in.Client.Record.Zone, in.Now).Date()
	all, strange := in.Diary.Courses(before, over(*in), func(word string) string { return by[word].Record.ID })
	for _, e := range strange {
		out = append(out, finding.Finding{Rule: diary.Contradiction, Verdict: finding.Caution, Pos: finding.Pos{File: e.File, Line: max(e.Line, 1), Column: 1}, Path: string(e.What), Private: true,
			Message:   fmt.Sprintf("the course of %s would begin while another runs, and says neither add nor replaces: it is not followed", strings.Join(e.Course.Protocols, ", ")),
			Remedy:    "void it, and enter it again with --add or --replaces",
			Rationale: "A course in the place of another cancels sessions, one beside it adds to the dose: neither is guessed."})
	}
	in.Courses = nil
	kept := in.Protocols[:0:0]
	for _, c := range all {
		switch {
		case c.End != 0 && !c.Stopped && c.End < max(today, c.Start):
			continue // it has ended, or never begins
		case c.Stopped && slices.ContainsFunc(all, func(o diary.Course) bool { return !o.Stopped && o.By != nil && o.Start > c.End }):
			continue // another course is trained behind the stop
		}
		kept = append(kept, protocols[c.Protocol])
		if c.Stopped {
			c.End = 0 // what a stop closes is cancelled by the stop
		}
		in.Courses = append(in.Courses, c)
	}
	in.Protocols = kept
	in.Begins()
	return out, nil
}

// over is the last day of the plan before where its course is over; 0 where it goes on, or there is none.
func over(in compiler.Input) (last unit.Date) {
	if in.Previous == nil || !ended(in, in.Previous) {
		return 0
	}
	for _, s := range in.Previous.Sessions {
		last = max(last, s.Start.Date())
	}
	return last
}

// announced is the start of the newest course of a diary, 0 for none.
func announced(d *diary.Diary) (start unit.Date) {
	if d == nil {
		return 0
	}
	for _, e := range d.Live() {
		if e.Course != nil {
			start = max(start, e.Course.Start)
		}
	}
	return start
}

// called is a protocol as a diary calls it: a standard one by its id, another by its path from the clinic's folder.
func (f Front) called(eng *compiler.Compiler, in *compiler.Input, client, word string) (*load.Protocol, error) {
	for _, p := range in.Protocols {
		if p.Record.ID == word || p.Record.ID == strings.TrimSuffix(filepath.Base(word), filepath.Ext(word)) && looksLikePath(word) {
			return p, nil
		}
	}
	if s := eng.Standard(word); s != nil {
		return &s.Protocols[0], nil
	}
	root := filepath.Dir(client)
	if filepath.Base(root) == "clients" {
		root = filepath.Dir(root)
	}
	name := filepath.Join(root, filepath.FromSlash(word))
	if err := files.StaysIn(root, name); err != nil {
		return nil, err
	}
	file, err := f.Open(eng, name, "")
	switch {
	case err != nil:
		return nil, fmt.Errorf("the diary names the protocol %s: %w", word, err)
	case len(file.Protocols) == 0 || finding.Rejected(file.Findings):
		return nil, fmt.Errorf("the diary names the protocol %s, which cannot be read as one; isocue lint says why", word)
	}
	return &file.Protocols[0], nil
}
