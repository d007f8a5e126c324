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
func withDiary(eng *compiler.Compiler, in *compiler.Input, name string, cl *load.Client, keep func(*load.File)) ([]finding.Finding, error) {
	if name == "" {
		return nil, nil
	}
	f, err := eng.Reader.Path(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, fmt.Errorf("cannot read %s: %w", name, files.Cause(err))
	}
	keep(f)
	in.Diary = diary.Of(f.Diary.Of())
	in.Client = eng.Stands(in.Client, in.Diary, in.Now)
	return slices.Concat(f.Findings, eng.LintDiary(f, cl, in.Now)), nil
}

// diaryBy is the diary beside a record, by the client's id; "" where that is not known, or the record stands nowhere.
func diaryBy(client, id string) string {
	if client == "-" || !soundID.MatchString(id) {
		return ""
	}
	return filepath.Join(filepath.Dir(client), id+load.DiaryEnd)
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

// readingsOf are the readings of a diary that stand, with their moments.
func readingsOf(d *diary.Diary) (out []record.LogReading) {
	if d == nil {
		return nil
	}
	for _, e := range d.Live() {
		if e.Reading != nil && e.Time != nil {
			r := *e.Reading
			r.At, r.File, r.Line, r.Column = unit.At(e.Date, *e.Time), e.File, max(e.Line, 1), 1
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
	if l != nil {
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
