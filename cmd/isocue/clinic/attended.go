package clinic

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"

	"isocue.example/compiler"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/followup"
	"isocue.example/compiler/unit"
)

// reader is a file among client records: a record, what keeps it from being one, or in kind why it is none.
type reader struct {
	file, kind, id string
	read           *load.File
	refused        []finding.Finding
}

// meet reads one file of a folder of records. What cannot be read may be one.
func (j *Judging) meet(name string) reader {
	r := reader{file: name}
	f, err := readPath(j.Under, name)
	if err != nil {
		r.refused = []finding.Finding{{Rule: load.Unreadable, Verdict: finding.Malformed, Pos: finding.Pos{File: name, Line: 1, Column: 1}, Message: "cannot be read: " + cause(name, err), Remedy: "let isocue read it"}}
		r.read = j.Under.Reader.Bytes(name, nil)
		return r
	}
	r.read = f
	r.id, _ = idOf(f)
	switch {
	case f.Client != nil:
	case f.Kind == load.IsClient, f.Kind == load.IsUnknown:
		for _, x := range rejections(f.Findings) {
			x.Message = "the record cannot be used: " + x.Message
			r.refused = append(r.refused, x)
		}
	default:
		r.kind = f.Kind.Words() + ", no client record"
	}
	return r
}

// rejections are the findings that refuse.
func rejections(fs []finding.Finding) (out []finding.Finding) {
	for _, f := range fs {
		if f.Rejects() {
			out = append(out, f)
		}
	}
	return out
}

// clientLine is how a client's own number stands in a record in plain YAML.
var clientLine = regexp.MustCompile(`(?m)\bclient[ \t]*:[ \t]*["']([^"'\n]+)["']`)

// attended says what one client needs.
func (j *Judging) attended(r reader, b *belongings, packs string) followup.Attended {
	out, _ := j.look(r, b, packs)
	return out
}

// look is attended, with what it rests on.
func (j *Judging) look(r reader, b *belongings, packs string) (followup.Attended, compiler.Attending) {
	out := followup.Attended{File: filepath.ToSlash(r.file), Client: r.id}
	a := compiler.Attending{Refused: append(r.refused, b.trouble...), Runs: r.id == ""} // whose plan runs nobody can tell then
	in := compiler.Input{Now: j.Now, Client: r.read.Client}
	plan := filepath.Join(packs, r.id, "plan.json")
	var doubts []finding.Finding
	if _, err := os.Lstat(plan); r.id != "" && err == nil {
		if a.Plan, doubts, err = j.judgedPlan(plan, &record.Client{ID: r.id}); err != nil {
			doubts = []finding.Finding{unreadable(plan, err)}
		}
		a.Runs = finding.Rejected(doubts) // somebody may train by it
	}
	in.Previous = a.Plan
	told, err := withDiary(j.Under, &in, diaryOf(r.file, r.id, b), b.copies, r.read.Client, func(*load.File) { j.Logs++ })
	if err != nil {
		told = []finding.Finding{unreadable(b.diary, err)}
	}
	for _, f := range told {
		if f.Rejects() || f.Rule == DiaryGone {
			a.Refused = append(a.Refused, f)
		}
	}
	d := in.Diary
	if d == nil {
		d = diary.Of(nil)
	}
	a.Zone = zoneName(r.read, d, j.Now)
	a.Following = compiler.Following{Client: r.read.Client, Now: j.Now, Diary: d, Plan: a.Plan}
	if a.Client == nil {
		a.Client = compiler.Bare(r.id, a.Zone)
	}
	a.Refused = append(a.Refused, doubts...)
	var trouble []finding.Finding // one log that cannot be read hides neither the other nor the other clients
	a.Log, a.Sessions, trouble = readBoth(j.Under, a.Following, b, func(f *load.File) {
		f.Source = nil // no line of a log is quoted, and a folder has many
		j.keep(f)
		j.Logs++
	})
	a.Log, a.Refused = withNoted(a.Log, readingsOf(d, history.Wall(a.Zone, j.Now))), append(a.Refused, trouble...)
	if made, err := j.wouldMake(in, r.file, b, a, plan); err != nil {
		a.Refused = append(a.Refused, unreadable(plan, err))
	} else {
		a.Made = made
	}
	if a.Asked = compiler.CourseAsked(d, a.Plan); a.Asked != nil && a.Made == nil && !finding.Rejected(a.Refused) {
		if a.Trial, err = j.wouldBegin(in, r.file, b, a); err != nil {
			a.Refused = append(a.Refused, unreadable(plan, err))
		}
	}
	out.Phone = phoneOf(r.read, d, history.Wall(a.Zone, j.Now).Date())
	for _, f := range a.Refused {
		out.Blind = out.Blind || f.Rejects()
	}
	out.Matters = j.Under.Attend(a)
	return out, a
}

// wouldMake is what a compile of now comes to, for a client with a plan that runs: nothing is written. nil where there is none.
func (j *Judging) wouldMake(in compiler.Input, file string, b *belongings, a compiler.Attending, name string) (*compiler.Result, error) {
	p := a.Plan
	if p == nil || p.Stopped != 0 || ended(compiler.Input{Now: j.Now}, p) {
		return nil, nil
	}
	in = Options{}.over(in, p)
	in.Pauses, in.Start = p.Pauses, p.Start
	blind := finding.Rejected(a.Refused)
	if !blind {
		quiet := j.Front
		quiet.Say = func(string, ...any) {}
		r := &Roster{Front: quiet, under: j.Under}
		src, err := files.Fetch(name, load.MaxPlan)
		if err != nil {
			return nil, err
		}
		if in, err = r.goOn(in, name, src); err != nil {
			return nil, err
		}
		more, err := r.courses(j.Under, &in, file)
		if err != nil {
			return nil, err
		}
		if finding.Rejected(more) {
			return &compiler.Result{Findings: more}, nil
		}
		if _, err := shut(j.Under, &in, b.log, b.sessions, func(*load.File) {}, func(string, ...any) {}); err != nil {
			return nil, err
		}
	}
	eng, in, err := Reading{}.in(j.Under, in)
	if err != nil {
		return nil, err
	}
	if blind {
		res, err := eng.HoldEntered(in)
		return &res, err
	}
	res, err := eng.Compile(in)
	return &res, err
}

// wouldBegin is what a plan for a course that is entered comes to, where no plan runs: nothing is written.
func (j *Judging) wouldBegin(in compiler.Input, file string, b *belongings, a compiler.Attending) (*compiler.Result, error) {
	in = Options{}.over(in, a.Plan)
	if a.Plan != nil {
		in.Pauses = a.Plan.Pauses
	}
	in.Start = announced(in.Diary)
	more, err := j.Front.courses(j.Under, &in, file)
	if err != nil {
		return nil, err
	}
	closed, err := shut(j.Under, &in, b.log, b.sessions, func(*load.File) {}, func(string, ...any) {})
	if err != nil {
		return nil, err
	}
	if more = slices.Concat(more, closed, callable(in.Client)); finding.Rejected(more) || lacks(in) != "" {
		return &compiler.Result{Findings: more}, nil
	}
	eng, in, err := Reading{}.in(j.Under, in)
	if err != nil {
		return nil, err
	}
	res, err := eng.Compile(in)
	return &res, err
}

// phoneOf is the number of the client by a day, also where the record cannot be read as a whole.
func phoneOf(r *load.File, d *diary.Diary, today unit.Date) string {
	phone := r.Node.Get("contacts", "client").Text()
	if m := clientLine.FindSubmatch(r.Source); phone == "" && m != nil {
		phone = string(m[1])
	}
	for _, e := range d.Live() {
		if e.Contacts["client"] != "" && e.Date <= today {
			phone = e.Contacts["client"]
		}
	}
	return phone
}
