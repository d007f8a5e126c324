package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"

	"isocue.example/compiler/load"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// left finds the packs that belong to no client of this run and that somebody may train by today or later. A folder without a plan
// that isocue wrote is not ours and not told. Nothing of them is changed.
func (r *rosterRun) left(rows []plans.RosterRow, today unit.Date) (out plans.RosterLeft) {
	listed := make(map[string]bool, len(r.first))
	files := make(map[string]bool, len(r.first))
	for id, file := range r.first {
		listed[id], files[file] = true, true
	}
	for _, row := range rows {
		id := row.ID
		if was, known := r.before[row.File]; known && id == "" {
			id = was.ID // of a record that could be read once
		}
		listed[id] = true
		out.Unsure = out.Unsure || id == "" && !files[row.File]
	}
	entries, err := os.ReadDir(r.fl.pack)
	if err != nil {
		return out // the packs were written all the same
	}
	for _, e := range entries {
		if !e.IsDir() || listed[e.Name()] {
			continue
		}
		src, err := load.Fetch(filepath.Join(r.fl.pack, e.Name(), "plan.json"), load.MaxPlan)
		if err != nil {
			continue
		}
		if m := planOf.FindSubmatch(src[:min(len(src), planHead)]); m != nil && goesOn(src, today) {
			id := string(m[1])
			out.Packs = append(out.Packs, plans.RosterPack{ID: id, Renamed: id != e.Name()})
		}
	}
	return out
}

// planOf is how a plan that isocue wrote begins, and whose it is.
var planOf = regexp.MustCompile(`^\{\n  "version": 1,\n  "client": "([a-z0-9-]+)",\n`)

// goesOn says whether a plan has sessions today or later and was not stopped, by its text alone: reading thousands of them through
// would take as long as making them. One that says neither is taken to go on.
func goesOn(plan []byte, today unit.Date) bool {
	if bytes.Contains(plan, []byte("\n  \"stopped\": ")) {
		return false
	}
	const start = "\n      \"start\": \"" // of a session; they stand in order
	sessions, _, _ := bytes.Cut(plan, []byte("\n  \"others\": "))
	at := bytes.LastIndex(sessions, []byte(start))
	if at < 0 {
		return true
	}
	day := sessions[at+len(start):]
	last, err := unit.ParseDate(string(day[:min(len(day), len("2027-01-04"))]))
	return err != nil || last >= today
}
