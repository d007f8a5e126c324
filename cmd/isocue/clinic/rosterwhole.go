package clinic

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"slices"

	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// stands says whether a file of a pack is as it was written, byte for byte: length and time are easily kept by whoever edits it.
func stands(dir string, was record.Written) bool {
	at := filepath.Join(dir, was.Name)
	if fi, err := os.Stat(at); err != nil || fi.Size() != was.Bytes {
		return false
	}
	src, err := files.Fetch(at, int(was.Bytes))
	sum := sha256.Sum256(src)
	return err == nil && hex.EncodeToString(sum[:]) == was.SHA256
}

// asWritten says whether these files of a pack stand as they were written, and of one that was and is not any more, what is wrong.
// The plan is written last.
func asWritten(dir string, names []string, was []record.Written) (whole bool, broken string) {
	for _, name := range names {
		if name == "plan.json" {
			continue
		}
		i := slices.IndexFunc(was, func(f record.Written) bool { return f.Name == name })
		switch {
		case i < 0:
			return false, "" // never written, or by a version that kept no list
		case !files.Exists(dir, name):
			return false, name + " was missing and is made anew"
		case !stands(dir, was[i]):
			return false, name + " was not as isocue wrote it and is made anew"
		}
	}
	return true, ""
}

// left finds the packs that belong to no client of this run and that somebody may train by today or later. A folder without a plan
// that isocue wrote is not ours and not told. Nothing of them is changed.
func (r *Roster) left(rows []plans.RosterRow, today unit.Date) (out plans.RosterLeft) {
	listed := make(map[string]bool, len(r.having))
	for id := range r.having {
		listed[id] = true
	}
	for _, row := range rows {
		id := row.ID
		if was, known := r.before[row.File]; known && id == "" {
			id = was.ID // of a record that could be read once
		}
		listed[id] = true
		out.Unsure = out.Unsure || id == "" && r.idOf[row.File] == ""
	}
	entries, err := os.ReadDir(r.order.Pack)
	if err != nil {
		return out // the packs were written all the same
	}
	for _, e := range entries {
		if !e.IsDir() || listed[e.Name()] {
			continue
		}
		src, err := files.Fetch(filepath.Join(r.order.Pack, e.Name(), "plan.json"), load.MaxPlan)
		if err != nil {
			continue
		}
		if head, err := load.ReadPlanHead(src); err == nil && goesOn(src, today) {
			out.Packs = append(out.Packs, plans.RosterPack{ID: head.Client, Renamed: head.Client != e.Name()})
		}
	}
	return out
}

// goesOn says whether a plan has sessions today or later and was not stopped. One that cannot be read through is taken to go on.
func goesOn(src []byte, today unit.Date) bool {
	if digest, seal := record.SealOf(src); seal != "" && seal != digest {
		return true // whoever edited it may have written a stop into it
	}
	p, err := load.ReadPlan(src)
	if err != nil || len(p.Sessions) == 0 {
		return err != nil || p.Stopped == 0
	}
	return p.Stopped == 0 && p.Sessions[len(p.Sessions)-1].Start.Date() >= today
}
