package clinic

import (
	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
)

// Follow is one client to be followed: the record, and the logs and the plan that there are of it.
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
	in := compiler.Following{Now: j.Now, Weeks: q.Weeks, Client: f.Client}
	var doubts []finding.Finding
	if in.Plan, doubts, err = j.judgedPlan(q.Plan, f.Client.Record); err != nil {
		return nil, nil, err
	}
	for _, f := range doubts { // told beside the follow-up: an alert does not wait for a sound plan
		j.Say("%s", doubt(f))
	}
	j.Found = append(j.Found, doubts...)
	if in.Log, in.Sessions, err = readLogs(j.Under, in, q.Log, q.Sessions, j.keep); err != nil {
		return nil, nil, err
	}
	for name, l := range map[string]*record.Log{q.Log: in.Log, q.Sessions: in.Sessions} {
		if e, empty := emptyLog(l, name); empty && l.Rows == 0 {
			l.Problems = append(l.Problems, record.RowProblem{File: l.File, Line: 1, Problem: e.Message})
		}
	}
	followed := j.Under.Follow(in)
	return &followed, f.Client, nil
}
