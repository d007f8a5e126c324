package clinic

import (
	"fmt"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
)

// Follow is one client to be followed: the record, and the logs and the plan that there are of it. The diary beside the record is read
// as well.
type Follow struct {
	Client, Log, Sessions, Plan string
	Weeks                       int
}

// Follow follows one client. It answers nothing where the record is refused; j.Found says why.
func (j *Judging) Follow(q Follow) (out *progress.Followed, client *load.Client, err error) {
	f, err := j.OpenClient(q.Client)
	if err != nil {
		return nil, nil, err
	}
	j.Found = append(j.Found, f.Findings...)
	j.WrongKind(f, load.IsClient, "name the client record behind --client, its logs behind --log and --sessions, its plan behind --plan")
	if f.Client == nil || finding.Rejected(j.Found) {
		return nil, nil, nil
	}
	of := compiler.Input{Now: j.Now, Client: f.Client}
	var read *load.File
	doubts, err := withDiary(j.Under, &of, diaryBy(q.Client, f.Client.Record.ID), f.Client, func(d *load.File) { read = d })
	switch {
	case err != nil:
		return nil, nil, err
	case read == nil && q.Log == "" && q.Sessions == "":
		return nil, nil, fmt.Errorf("--log is missing, and there is no diary beside %s; write: isocue progress --client FILE --log FILE", q.Client)
	}
	j.doubt(rejections(doubts))
	in := compiler.Following{Now: j.Now, Weeks: q.Weeks, Client: of.Client, Diary: of.Diary, Felt: true}
	if in.Plan, doubts, err = j.judgedPlan(q.Plan, f.Client.Record); err != nil {
		return nil, nil, err
	}
	j.doubt(doubts)
	if in.Log, in.Sessions, err = readLogs(j.Under, in, q.Log, q.Sessions, j.keep); err != nil {
		return nil, nil, err
	}
	for name, l := range map[string]*record.Log{q.Log: in.Log, q.Sessions: in.Sessions} {
		if e, empty := emptyLog(l, name); empty && l.Rows == 0 {
			l.Problems = append(l.Problems, record.RowProblem{File: l.File, Line: 1, Problem: e.Message})
		}
	}
	in.Log = withNoted(in.Log, readingsOf(in.Diary, history.Wall(in.Client.Record.Zone, j.Now)))
	followed := j.Under.Follow(in)
	return &followed, f.Client, nil
}

// doubt tells of what is wrong beside a follow-up: an alert does not wait for a sound plan or diary.
func (j *Judging) doubt(fs []finding.Finding) {
	for _, f := range fs {
		j.Say("%s", doubt(f))
	}
	j.Found = append(j.Found, fs...)
}
