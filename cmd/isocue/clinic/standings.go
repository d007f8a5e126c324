package clinic

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"isocue.example/compiler"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/report/followup"
)

// Look is what a look at every client of a folder is asked.
type Look struct {
	Clients string // the folder of records, each log beside its record
	Packs   string // the folder of packs, "" for none
	Weeks   int    // of a window; 0 is the usual
}

// Standings follows every client of a folder, the one who needs a look first in front. closed says that training of one is closed, or
// that a record could not be followed.
func (j *Judging) Standings(q Look) (all []followup.Standing, closed bool, err error) {
	names, err := records(q.Clients)
	if err != nil {
		return nil, false, err
	}
	for _, name := range names {
		s, ok, err := j.standing(name, q)
		if err != nil {
			return nil, false, err
		}
		if ok {
			all = append(all, s)
			closed = closed || s.Refused != "" || s.Followed.Closing() != nil
		}
	}
	if len(all) == 0 {
		return nil, false, fmt.Errorf("%s holds no client record, allowed: at least one, ending in .cue, .yaml, .yml or .json", q.Clients)
	}
	slices.SortStableFunc(all, func(x, y followup.Standing) int {
		return cmp.Or(cmp.Compare(x.Rank(), y.Rank()), cmp.Compare(x.Name(), y.Name()))
	})
	return all, closed, nil
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
	if in.Plan, err = readPlan(q.Plan, f.Client.Record); err != nil {
		return nil, nil, err
	}
	if in.Log, in.Sessions, err = readLogs(j.Under, in, q.Log, q.Sessions, j.keep); err != nil {
		return nil, nil, err
	}
	followed := j.Under.Follow(in)
	return &followed, f.Client, nil
}

// records are the files of a folder that a person may have written, without those below it.
func records(dir string) (out []string, err error) {
	es, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", dir, files.Cause(err))
	}
	for _, e := range es {
		name := filepath.Join(dir, e.Name())
		if _, known := load.FormatOf(e.Name()); !known {
			continue
		}
		if files.Linked(name, e) || e.Type().IsRegular() {
			out = append(out, name)
		}
	}
	return out, nil
}

// standing follows one client of a folder; ok is false for a file that is no client record.
func (j *Judging) standing(name string, q Look) (out followup.Standing, ok bool, err error) {
	if err := files.StaysIn(q.Clients, name); err != nil {
		out.File, out.Refused = filepath.ToSlash(name), err.Error()
		return out, true, nil
	}
	f, err := readPath(j.Under, name)
	if err != nil {
		return out, false, err
	}
	if f.Kind != load.IsClient {
		return out, false, nil
	}
	out.File = filepath.ToSlash(name)
	if f.Client == nil {
		out.Refused = "the record cannot be used: isocue lint says why"
		return out, true, nil
	}
	cl := f.Client.Record
	in := compiler.Following{Client: f.Client, Now: j.Now, Weeks: q.Weeks}
	logs, _, err := logsBeside(name, cl.ID)
	if err != nil {
		out.Refused = err.Error()
		return out, true, nil
	}
	out.NoLog = logs[0] == ""
	if q.Packs != "" {
		p := filepath.Join(q.Packs, cl.ID, "plan.json")
		if _, err := os.Stat(p); err == nil {
			if in.Plan, err = readPlan(p, cl); err != nil {
				out.Refused = err.Error()
				return out, true, nil
			}
		}
	}
	if in.Log, in.Sessions, err = readLogs(j.Under, in, filepath.ToSlash(logs[0]), filepath.ToSlash(logs[1]), j.keep); err != nil {
		out.Refused = err.Error() // one log that cannot be read must not hide the other clients
		return out, true, nil
	}
	out.Followed = j.Under.Follow(in)
	return out, true, nil
}
