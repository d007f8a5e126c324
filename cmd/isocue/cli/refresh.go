package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/cmd/isocue/start"
	"isocue.example/compiler/load"
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
	files, err := start.SchemaCopy()
	if err != nil {
		return nil, err
	}
	known := map[string]bool{}
	for _, f := range files {
		known[f.Name] = true
		b, err := load.Fetch(filepath.Join(dir, filepath.FromSlash(f.Name)), load.MaxPlan)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			out = append(out, stale{f.Name, "missing", 1})
		case err != nil:
			return nil, unwrapPath(err)
		case !sameText(b, f.Data):
			out = append(out, stale{f.Name, "changed", firstDifference(b, f.Data)})
		}
	}
	es, err := os.ReadDir(filepath.Join(dir, filepath.FromSlash(start.Copy)))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, unwrapPath(err)
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
func recordsIn(dir string) (*pending, error) {
	name := filepath.Join(dir, start.RecordsName)
	have, err := load.Fetch(name, load.MaxBytes)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var names []string
	es, rerr := os.ReadDir(dir)
	if err := errors.Join(err, rerr); err != nil {
		return nil, unwrapPath(err)
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
	return &pending{name: name, data: want, mode: 0o644}, nil
}

// refreshClinic brings what is ours in a clinic's folder up to date and lists what changed. Nothing else is touched.
func (a *app) refreshClinic(dir string) error {
	if _, err := os.Stat(filepath.Join(dir, filepath.FromSlash(start.Module))); err != nil {
		return fmt.Errorf("%s is no clinic's folder: it has no %s; allowed: a folder that `isocue new clinic` wrote", dir, start.Module)
	}
	old, err := staleFiles(dir)
	if err != nil {
		return err
	}
	files, err := start.SchemaCopy()
	if err != nil {
		return err
	}
	records, err := recordsIn(filepath.Join(dir, start.Clients))
	if err != nil {
		return err
	}
	var ready []pending
	for _, s := range old {
		if i := slices.IndexFunc(files, func(f start.File) bool { return f.Name == s.name }); i >= 0 {
			name := filepath.Join(dir, filepath.FromSlash(s.name))
			if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
				return fmt.Errorf("cannot write %s: %w", s.name, cause(err))
			}
			ready = append(ready, pending{name: name, data: files[i].Data, mode: files[i].Mode})
		}
	}
	if records != nil {
		ready = append(ready, *records)
	}
	if err := writeAll(ready, true, nil); err != nil {
		return err
	}
	for _, s := range old {
		verb := "wrote"
		if s.what == "unknown" { // of an older version: in a folder, CUE would read it with the rest
			verb = "removed"
			if err := os.Remove(filepath.Join(dir, filepath.FromSlash(s.name))); err != nil {
				return fmt.Errorf("cannot remove %s: %w", s.name, cause(err))
			}
		}
		fmt.Fprintf(a.out, "%s %s (it was %s)\n", verb, s.name, s.what)
	}
	if records != nil {
		fmt.Fprintf(a.out, "wrote %s/%s (it listed other records)\n", start.Clients, start.RecordsName)
	}
	if len(old) == 0 {
		_, err = fmt.Fprintln(a.out, "the schema copy is up to date")
	}
	return err
}
