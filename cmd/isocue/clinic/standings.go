package clinic

import (
	"cmp"
	"os"
	"path/filepath"
	"slices"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/report/followup"
	"isocue.example/compiler/tree"
)

// Look is what a look at every client of a folder is asked.
type Look struct {
	Clients string // the folder of records, each log beside its record
	Packs   string // the folder of packs, "" for none
	Weeks   int    // of a window; 0 is the usual
}

// Standings follows every client of a folder, the one who needs a look first in front. closed says that training of one is closed, or
// that something could not be looked at.
func (j *Judging) Standings(q Look) (out followup.Clinic, closed bool, err error) {
	found, err := find(q.Clients)
	if err != nil {
		return out, false, err
	}
	out.Passed = found.Passed
	var all []reader
	var holders []holder
	for _, name := range found.Files {
		if load.IsDiaryName(name) { // it is its client's, as a log is
			continue
		}
		r := j.meet(name)
		if r.kind != "" {
			out.Passed = append(out.Passed, report.Passed{File: filepath.ToSlash(name), Why: r.kind, Named: false})
			continue
		}
		all, holders = append(all, r), append(holders, holder{file: name, id: r.id()})
	}
	having := map[string][]string{}
	for _, h := range holders {
		having[h.id] = append(having[h.id], h.file)
	}
	of, alone := found.owners(holders)
	out.Trouble = told(append(found.Trouble, alone...))
	for _, r := range all {
		s := j.standing(r, of[r.file], q)
		for _, other := range having[r.id()] {
			if r.id() != "" && other != r.file {
				s.Trouble = append(s.Trouble, sameID(r.id(), other).Error())
			}
		}
		out.Clients = append(out.Clients, s)
		closed = closed || s.Refused != "" || len(s.Trouble) > 0 || s.Followed.Closing() != nil
	}
	out.Looked = len(all) + j.Logs
	if len(out.Clients)+len(out.Trouble) == 0 {
		return out, false, found.holdsNothing(q.Clients, "client record")
	}
	slices.SortStableFunc(out.Clients, func(x, y followup.Standing) int {
		return cmp.Or(cmp.Compare(x.Rank(), y.Rank()), cmp.Compare(x.Name(), y.Name()))
	})
	return out, closed || len(out.Trouble) > 0, nil
}

// told is trouble as a list of files: what could not be looked at, and why.
func told(fs []finding.Finding) (out []report.Passed) {
	for _, f := range finding.Sort(fs) {
		out = append(out, report.Passed{File: filepath.ToSlash(f.Pos.File), Why: f.Message + "; " + f.Remedy})
	}
	return out
}

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

// reader is a file among client records: a record, what keeps it from being one, or in kind why it is none.
type reader struct {
	file, kind, refused string
	client              *load.Client
	node                *tree.Node
}

func (r reader) id() string { return r.node.Get("id").Text() }

// meet reads one file of a folder of records. What cannot be read may be one.
func (j *Judging) meet(name string) reader {
	r := reader{file: name}
	f, err := readPath(j.Under, name)
	switch {
	case err != nil:
		r.refused = "cannot be read: " + cause(name, err)
	case f.Client != nil:
		r.client, r.node = f.Client, f.Client.Node
	case f.Kind == load.IsClient:
		r.node, r.refused = f.Node, "the record cannot be used: isocue lint says why"
	case f.Kind == load.IsUnknown:
		r.refused = "the file cannot be used: isocue lint says why"
	default:
		r.kind = f.Kind.Words() + ", no client record"
	}
	return r
}

// standing follows one client of a folder.
func (j *Judging) standing(r reader, b *belongings, q Look) (out followup.Standing) {
	out.File, out.Refused = filepath.ToSlash(r.file), r.refused
	if out.Refused != "" {
		return out
	}
	cl := r.client.Record
	in := compiler.Following{Client: r.client, Now: j.Now, Weeks: q.Weeks}
	out.NoLog = b.log == ""
	if q.Packs != "" {
		p := filepath.Join(q.Packs, cl.ID, "plan.json")
		if _, err := os.Lstat(p); err == nil {
			var doubts []finding.Finding
			if in.Plan, doubts, err = j.judgedPlan(p, cl); err != nil {
				out.Refused = err.Error()
				return out
			}
			for _, f := range doubts {
				out.Trouble = append(out.Trouble, doubt(f))
			}
		}
	}
	var trouble []finding.Finding // one log that cannot be read hides neither the other nor the other clients
	in.Log, in.Sessions, trouble = readBoth(j.Under, in, b, func(f *load.File) {
		f.Source = nil // no line of a log is quoted, and a folder has many
		j.keep(f)
		j.Logs++
	})
	for _, f := range append(trouble, b.trouble...) {
		if f.Rule == EmptyLog && f.Verdict == finding.Caution {
			out.EmptyLog = true
		} else {
			out.Trouble = append(out.Trouble, filepath.ToSlash(f.Pos.File)+": "+f.Message)
		}
	}
	out.Followed = j.Under.Follow(in)
	out.Followed.Forget()
	return out
}
