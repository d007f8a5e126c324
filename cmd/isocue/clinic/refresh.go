package clinic

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"isocue.example/cmd/isocue/start"
	"isocue.example/compiler"
	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/tree"
)

// stale is one file of the schema copy that is not as the program has it.
type stale struct {
	name string // slash path in the folder
	what string // changed, missing or unknown
	line int    // the first that differs, 1 where the file is not there
}

// staleFiles compares the schema copy of a clinic's folder with the program's schema. Line ends do not count: git may have
// changed them.
func staleFiles(dir string) (out []stale, err error) {
	copies, err := start.SchemaCopy()
	if err != nil {
		return nil, err
	}
	known := map[string]bool{}
	for _, f := range copies {
		known[f.Name] = true
		b, err := files.Fetch(filepath.Join(dir, filepath.FromSlash(f.Name)), load.MaxPlan)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			out = append(out, stale{f.Name, "missing", 1})
		case err != nil:
			return nil, files.Short(err)
		case !sameText(b, f.Data):
			out = append(out, stale{f.Name, "changed", firstDifference(b, f.Data)})
		}
	}
	es, err := os.ReadDir(filepath.Join(dir, filepath.FromSlash(start.Copy)))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, files.Short(err)
	}
	for _, e := range es {
		if n := start.Copy + "/" + e.Name(); strings.HasSuffix(n, ".cue") && !known[n] {
			out = append(out, stale{n, "unknown", 1})
		}
	}
	return out, nil
}

func unixLines(b []byte) []byte { return bytes.ReplaceAll(b, []byte("\r\n"), []byte("\n")) }

func sameText(a, b []byte) bool { return bytes.Equal(unixLines(a), unixLines(b)) }

// firstDifference is the first line that differs, counted from 1.
func firstDifference(a, b []byte) int {
	as, bs := bytes.Split(unixLines(a), []byte("\n")), bytes.Split(unixLines(b), []byte("\n"))
	for i := range as {
		if i >= len(bs) || !bytes.Equal(as[i], bs[i]) {
			return i + 1
		}
	}
	return len(as)
}

// recordsIn is the file that leads an editor to the records of a folder, as it has to be now; nil where it is so, and where the
// folder has none: then nobody asked for it.
func recordsIn(dir string) (*files.File, error) {
	name := filepath.Join(dir, start.RecordsName)
	have, err := files.Fetch(name, load.MaxBytes)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var names []string
	es, rerr := os.ReadDir(dir)
	if err := errors.Join(err, rerr); err != nil {
		return nil, files.Short(err)
	}
	for _, e := range es {
		if e.Type().IsRegular() {
			names = append(names, e.Name())
		}
	}
	want := start.Records(names)
	if sameText(have, want) {
		return nil, nil
	}
	return &files.File{Name: name, Data: want, Mode: 0o644}, nil
}

// New writes a clinic's folder, whole or not at all: everything is written beside its place and synced, then moved.
// What was in the folder before is never touched.
func New(eng *compiler.Compiler, dir string, now time.Time) error {
	all, err := start.Clinic(eng.Check.Base, func(id string) *tree.Node { return eng.Standard(id).Protocols[0].Node }, now)
	if err != nil {
		return err
	}
	there, err := free(dir)
	if err != nil {
		return err
	}
	if err := files.WriteTree(filepath.Clean(dir), there, all); err != nil {
		return fmt.Errorf("cannot write %s: %w; nothing was left behind", dir, files.Cause(err))
	}
	return nil
}

// free says whether the folder is there; an error if something other than a repository is in it.
func free(dir string) (there bool, err error) {
	es, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, fmt.Errorf("cannot look at %s: %w", dir, files.Cause(err))
	}
	for _, e := range es {
		if e.Name() != ".git" {
			hint := ""
			if _, err := os.Stat(filepath.Join(dir, filepath.FromSlash(start.Module))); err == nil {
				hint = "; for the schema copy of a clinic's folder: --refresh"
			}
			return true, fmt.Errorf("%s is not empty, it holds %s, allowed: a new or an empty folder (.git may be in it)%s", dir, e.Name(), hint)
		}
	}
	return true, nil
}

// Refreshed is one file of a clinic's folder that was brought up to date: what was done to it, and how it was.
type Refreshed struct{ Verb, Name, Was string }

// Refresh brings what is ours in a clinic's folder up to date and lists what changed. Nothing else is touched.
func Refresh(dir string) (done []Refreshed, err error) {
	if _, err := os.Stat(filepath.Join(dir, filepath.FromSlash(start.Module))); err != nil {
		return nil, fmt.Errorf("%s is no clinic's folder: it has no %s; allowed: a folder that `isocue new clinic` wrote", dir, start.Module)
	}
	old, err := staleFiles(dir)
	if err != nil {
		return nil, err
	}
	copies, err := start.SchemaCopy()
	if err != nil {
		return nil, err
	}
	records, err := recordsIn(filepath.Join(dir, start.Clients))
	if err != nil {
		return nil, err
	}
	var ready []files.File
	for _, s := range old {
		if i := slices.IndexFunc(copies, func(f files.File) bool { return f.Name == s.name }); i >= 0 {
			name := filepath.Join(dir, filepath.FromSlash(s.name))
			if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
				return nil, fmt.Errorf("cannot write %s: %w", s.name, files.Cause(err))
			}
			ready = append(ready, files.File{Name: name, Data: copies[i].Data, Mode: copies[i].Mode})
		}
	}
	if records != nil {
		ready = append(ready, *records)
	}
	attributes, err := attributesIn(dir)
	if err != nil {
		return nil, err
	}
	if attributes != nil {
		ready = append(ready, *attributes)
	}
	if err := files.Write(ready, files.Manner{Force: true}); err != nil {
		return nil, err
	}
	for _, s := range old {
		verb := "wrote"
		if s.what == "unknown" { // of an older version: in a folder, CUE would read it with the rest
			verb = "removed"
			if err := os.Remove(filepath.Join(dir, filepath.FromSlash(s.name))); err != nil {
				return done, fmt.Errorf("cannot remove %s: %w", s.name, files.Cause(err))
			}
		}
		done = append(done, Refreshed{verb, s.name, "it was " + s.what})
	}
	if records != nil {
		done = append(done, Refreshed{"wrote", start.Clients + "/" + start.RecordsName, "it listed other records"})
	}
	if attributes != nil {
		done = append(done, Refreshed{"wrote", start.Attributes, "it was missing"})
	}
	return done, nil
}

// attributesIn is the file by which git merges diaries and logs, nil where the folder has one: that may be the clinic's own.
func attributesIn(dir string) (*files.File, error) {
	name := filepath.Join(dir, start.Attributes)
	if _, err := os.Lstat(name); !errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	text, err := start.AttributesText()
	return &files.File{Name: name, Data: text, Mode: 0o644}, err
}

// ListRecord brings the list of records beside a new one up to date: an editor follows only records that are listed.
func ListRecord(record string) error {
	records, err := recordsIn(filepath.Dir(record))
	if err == nil && records != nil && isRecords(records.Name) {
		err = files.Write([]files.File{*records}, files.Manner{Force: true})
	}
	return err
}
