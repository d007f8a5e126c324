package clinic

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/report"
	"isocue.example/compiler/report/followup"
)

// Rooms are where a clinic keeps what belongs to its clients.
type Rooms struct{ Clients, Packs, Closed string }

// RoomsOf are the rooms of a folder: clients and packs in it, where it has them; a folder that is called clients has its packs
// beside it, and any other holds the records itself. Closed is its list of closing days, "" without one.
func RoomsOf(folder string) (out Rooms, err error) {
	folder = filepath.Clean(folder)
	is := func(p string) bool { st, err := os.Stat(p); return err == nil && st.IsDir() }
	root := folder
	switch {
	case is(filepath.Join(folder, "clients")):
		out.Clients = filepath.Join(folder, "clients")
	case filepath.Base(folder) == "clients":
		out.Clients, root = folder, filepath.Dir(folder)
	default:
		out.Clients = folder
	}
	out.Packs = filepath.Join(root, "packs")
	closed, err := filepath.Glob(filepath.Join(root, "closed.*"))
	switch {
	case err != nil || len(closed) == 0:
		return out, nil
	case len(closed) > 1:
		return out, fmt.Errorf("%s are both lists of closing days, allowed: one of them", closed)
	}
	out.Closed = closed[0]
	return out, nil
}

// Today looks at every client of a clinic, the one who needs somebody first in front.
func (j *Judging) Today(q Rooms) (out followup.Day, err error) {
	found, err := find(q.Clients)
	if err != nil {
		return out, err
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
		all, holders = append(all, r), append(holders, holder{file: name, id: r.id})
	}
	having := map[string][]string{}
	for _, h := range holders {
		having[h.id] = append(having[h.id], h.file)
	}
	of, alone := found.owners(holders)
	out.Trouble = told(append(found.Trouble, alone...))
	for _, r := range all {
		for _, other := range having[r.id] {
			if r.id != "" && other != r.file {
				r.refused = append(r.refused, finding.Finding{Rule: Misnamed, Verdict: finding.Malformed, Pos: finding.Pos{File: r.file, Line: 1, Column: 1}, Message: sameID(r.id, other).Error(), Remedy: "give each client an id of its own, or remove the copy"})
			}
		}
		out.Clients = append(out.Clients, j.attended(r, of[r.file], q.Packs))
	}
	out.Looked = len(all) + j.Logs
	if len(out.Clients)+len(out.Trouble) == 0 {
		return out, found.holdsNothing(q.Clients, "client record")
	}
	slices.SortStableFunc(out.Clients, func(x, y followup.Attended) int {
		return cmp.Or(progress.CompareMatters(x.Matters[0], y.Matters[0]), cmp.Compare(x.Name(), y.Name()))
	})
	return out, nil
}

// told is trouble as a list of files: what could not be looked at, and why.
func told(fs []finding.Finding) (out []report.Passed) {
	for _, f := range finding.Sort(fs) {
		out = append(out, report.Passed{File: filepath.ToSlash(f.Pos.File), Why: f.Message + "; " + f.Remedy})
	}
	return out
}
