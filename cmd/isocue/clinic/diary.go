package clinic

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"

	"isocue.example/compiler"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// withDiary reads the diary of a client into the input of a compile, whose client then says what the diary says, and tells what is wrong
// with it. cl is nil where the record cannot be read. Without a diary it does nothing.
// What the plan before remembers and is gone counts as if it stood there.
// What stands in copies of it, for which the client is refused, is read with it all the same: it may close training.
func withDiary(eng *compiler.Compiler, in *compiler.Input, name string, copies []string, cl *load.Client, keep func(*load.File)) (out []finding.Finding, err error) {
	var entries []record.Entry
	var src []byte
	for i, n := range append([]string{name}, copies...) {
		if n == "" {
			continue
		}
		f, err := eng.Reader.Path(n)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			continue
		case err != nil:
			return nil, fmt.Errorf("cannot read %s: %w", n, files.Cause(err))
		case f.Diary == nil:
			continue // a copy that is none but by its name
		}
		keep(f)
		entries = append(entries, f.Diary.Of()...)
		if in.Diary = diary.Of(entries); i == 0 {
			src = f.Source
			out = slices.Concat(f.Findings, eng.LintDiary(f, cl, in.Now))
		}
	}
	if name != "" && in.Previous != nil {
		lost := eng.Reader.Remembered(name, src, entries, in.Previous.Lines())
		if len(lost) > 0 {
			in.Diary = diary.Of(append(slices.Clone(entries), lost...))
		}
		out = append(out, missing(in.Previous, name, len(diary.Sorted(entries)), lost)...)
	}
	in.Client = eng.Stands(in.Client, in.Diary, in.Now)
	return out, nil
}

// DiaryGone is the rule id of the finding that a diary has lost lines that a plan was made with.
const DiaryGone = "diary-gone"

// missing says what a diary has lost since a plan was made.
func missing(p *record.Plan, name string, has int, lost []record.Entry) (out []finding.Finding) {
	tell := func(says string) {
		out = append(out, finding.Finding{Rule: DiaryGone, Verdict: finding.Caution, Pos: finding.Pos{File: name, Line: 1, Column: 1}, Private: true, Message: says,
			Remedy:    "put the diary back as it was; what is not so is taken back by a void, and what has ended by what ends it",
			Rationale: "A line that is gone says nothing about the client: whoever was ill or in pain by it still is."})
	}
	for _, e := range lost {
		tell(fmt.Sprintf("%s of %s is gone from %s, with which sheet %d was made; it counts until what opens it is entered", e.What, e.Date, filepath.Base(name), p.Sheet))
	}
	if len(lost) == 0 && has < p.Entered {
		tell(fmt.Sprintf("%s has %d entries, and sheet %d was made with %d", filepath.Base(name), has, p.Sheet, p.Entered))
	}
	return out
}

// diaryBy is the diary beside a record, by the client's id; "" where that is not known, or the record stands nowhere.
func diaryBy(client, id string) string {
	if client == "-" || !soundID.MatchString(id) {
		return ""
	}
	return filepath.Join(filepath.Dir(client), id+load.DiaryEnd)
}

// diaryOf is the diary of a client: what stands beside the record, else the name that it would have there, for what a plan remembers of one
// that is gone. "" for a row of a spreadsheet without one, and for a record whose id nobody can tell.
func diaryOf(client, id string, b *belongings) string {
	if b.diary != "" {
		return b.diary
	}
	return diaryBy(client, id)
}

// holdsAlone is the plan before with what the diary closes cancelled, where what else was asked for is refused.
func (o Order) holdsAlone(eng *compiler.Compiler, m *Made) ([]finding.Finding, error) {
	if m.Input.Previous == nil || m.Input.Diary == nil {
		return nil, nil
	}
	mine, in, err := o.Reading.in(eng, m.Input)
	if err != nil {
		return nil, err
	}
	m.Engine = mine
	if o.Before != nil && o.Before.doubted {
		m.Result, _, err = heldDoubted(mine, in, o.Before.Name, o.Before.bytes)
		return m.Findings, err
	}
	m.Result, err = mine.HoldEntered(in)
	return m.Findings, err
}

// Pack is the folder of the client's plan: where roster writes it, beside the folder of records.
func (e *Entering) Pack(name string) string {
	pack := filepath.Join("packs", e.Client)
	if dir := filepath.Dir(filepath.Clean(name)); filepath.Base(dir) == "clients" {
		pack = filepath.Join(filepath.Dir(dir), pack)
	}
	return filepath.ToSlash(pack)
}

// readingsOf are the readings of a diary that stand, with their moments as they count by now on the client's clock.
func readingsOf(d *diary.Diary, now unit.Local) (out []record.LogReading) {
	if d == nil {
		return nil
	}
	for _, e := range d.Live() {
		if e.Reading != nil && e.Time != nil {
			r := *e.Reading
			r.At, r.File, r.Line, r.Column = diary.At(&e, now, 0), e.File, max(e.Line, 1), 1
			out = append(out, r)
		}
	}
	return out
}

// withNoted is a pressure log with the readings of the diary, each moment once; the log itself stays as it is.
func withNoted(l *record.Log, noted []record.LogReading) *record.Log {
	if len(noted) == 0 {
		return l
	}
	out := record.Log{}
	if out.File = noted[0].File; l != nil {
		out = *l
	}
	out.Readings = slices.Clone(out.Readings)
	for _, r := range noted {
		if !slices.ContainsFunc(out.Readings, func(o record.LogReading) bool {
			return o.At == r.At && o.Systolic == r.Systolic && o.Diastolic == r.Diastolic
		}) {
			out.Readings = append(out.Readings, r)
		}
	}
	slices.SortStableFunc(out.Readings, func(a, b record.LogReading) int { return cmp.Compare(a.At, b.At) })
	return &out
}
