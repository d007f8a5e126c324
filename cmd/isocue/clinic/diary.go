package clinic

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// NotFollowed is the rule by which an entry is told that changes no plan yet.
const NotFollowed = "diary-not-followed"

// withDiary reads the diary of a client into the input of a compile, and says what is wrong with it and what plans do not follow. cl is
// nil where the record cannot be read. Without a diary it does nothing.
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
	out := slices.Concat(f.Findings, eng.LintDiary(f, cl, in.Now))
	if cl != nil {
		out = append(out, unfollowed(in.Diary, name, cl.Record)...)
	}
	return out, nil
}

// diaryBy is the diary beside a record, by the client's id; "" where that is not known, or the record stands nowhere.
func diaryBy(client, id string) string {
	if client == "-" || !soundID.MatchString(id) {
		return ""
	}
	return filepath.Join(filepath.Dir(client), id+load.DiaryEnd)
}

// Follows says whether plans follow an entry of that kind: it closes training, or is what opens it again.
func Follows(h record.Happening) bool {
	switch h {
	case record.Ill, record.Well, record.Felt, record.Asked, record.Begins, record.Over, record.Paused, record.Resumed, record.Stop, record.Void, record.Read:
		return true
	}
	return false
}

// Silent says whether an entry tells nothing that a record would hold.
func Silent(h record.Happening) bool {
	return h == record.Told || h == record.Understood || h == record.DidTrain
}

// unfollowed names the entries that plans do not follow, as long as they are not older than the screening of the record: whoever writes
// them there screens the client anew, or has the caution until then.
func unfollowed(d *diary.Diary, name string, cl *record.Client) []finding.Finding {
	kinds, first, since := []string{}, 0, unit.Date(0)
	for _, e := range d.Live() {
		if Follows(e.What) || Silent(e.What) || e.Date < cl.Screened {
			continue
		}
		if first == 0 {
			first, since = e.Line, e.Date
		}
		if said := fmt.Sprintf("%s %s", e.What, e.ID); !slices.Contains(kinds, said) {
			kinds = append(kinds, said)
		}
	}
	if len(kinds) == 0 {
		return nil
	}
	more := ""
	if n := len(kinds) - 8; n > 0 {
		kinds, more = kinds[:8], fmt.Sprintf(" and %d more", n)
	}
	return []finding.Finding{{Rule: NotFollowed, Verdict: finding.Caution, Pos: finding.Pos{File: name, Line: cmp.Or(first, 1), Column: 1}, Private: true,
		Message:   fmt.Sprintf("this plan does not follow these entries of the diary, the first of %s: %s%s, allowed: entries that the record has too", since, strings.Join(kinds, ", "), more),
		Remedy:    "write what they say into the record as well; it is told until the record's screening is of a later day",
		Rationale: "A plan follows what closes training and opens it again. A measurement, a medicine or an hour that stands in the diary alone changes no session."}}
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
