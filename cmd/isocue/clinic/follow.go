package clinic

import (
	"errors"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
)

// Follow is one client to be followed: the record, and the logs and the plan that there are of it. A log that is not named is the one
// beside the record.
type Follow struct {
	Client, Log, Sessions, Plan string
	Weeks                       int
}

// Follow follows one client. It answers nothing where the record is refused; j.Found says why.
func (j *Judging) Follow(q *Follow) (out *progress.Followed, client *load.Client, err error) {
	f, err := j.OpenClient(q.Client)
	if err != nil {
		return nil, nil, err
	}
	j.Found = append(j.Found, f.Findings...)
	j.WrongKind(f, load.IsClient, "name the client record behind --client, its logs behind --log and --sessions, its plan behind --plan")
	if f.Client == nil || finding.Rejected(j.Found) {
		return nil, nil, nil
	}
	in := compiler.Following{Now: j.Now, Weeks: q.Weeks, Client: f.Client}
	var doubts []finding.Finding
	if in.Plan, doubts, err = j.judgedPlan(q.Plan, f.Client.Record); err != nil {
		return nil, nil, err
	}
	for _, f := range doubts { // told beside the follow-up: an alert does not wait for a sound plan
		j.Say("%s", doubt(f))
	}
	j.Found = append(j.Found, doubts...)
	b := j.around(q.Client, f.Client.Record.ID, q.Log, q.Sessions)
	q.Log, q.Sessions = b.log, b.sessions
	told, err := j.followDiary(&in, f, q.Client, b.copies)
	if err != nil {
		return nil, nil, err
	}
	told = append(told, b.trouble...)
	for _, f := range rejections(told) { // what can be read of it counts
		j.Say("%s", doubt(f))
	}
	j.Found = append(j.Found, rejections(told)...)
	if q.Log == "" && q.Sessions == "" && in.Diary == nil {
		return nil, nil, errors.New("--log is missing, and neither a log nor a diary stands beside the record; write: isocue progress --client FILE --log FILE")
	}
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

// followDiary reads the diary beside the record into what is followed: readings, words and sessions of it count as those of a log do.
func (j *Judging) followDiary(in *compiler.Following, f *load.File, client string, copies []string) ([]finding.Finding, error) {
	name := diaryBy(client, f.Client.Record.ID)
	if name == "" {
		j.Say("the record stands in no folder, so that its diary is not known: what was entered since is not in this")
		return nil, nil
	}
	read := compiler.Input{Client: in.Client, Now: in.Now}
	told, err := withDiary(j.Under, &read, name, copies, f.Client, j.keep)
	in.Diary, in.Felt = read.Diary, read.Diary != nil
	return told, err
}
