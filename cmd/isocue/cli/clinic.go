package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/cmd/isocue/start"
	"isocue.example/compiler/tree"
)

// newClinic writes a clinic's folder, whole or not at all: everything is written beside its place and synced, then moved.
// What was in the folder before is never touched.
func (a *app) newClinic(dir string) error {
	if dir == "-" {
		return fmt.Errorf("a clinic is a folder, not standard output, allowed: the name of a new or empty folder")
	}
	now, err := a.moment()
	if err != nil {
		return err
	}
	eng := a.engine()
	files, err := start.Clinic(eng.Check.Base, func(id string) *tree.Node { return eng.Standard(id).Protocols[0].Node }, now)
	if err != nil {
		return err
	}
	there, err := free(dir)
	if err != nil {
		return err
	}
	if err := writeTree(filepath.Clean(dir), there, files); err != nil {
		return fmt.Errorf("cannot write %s: %w; nothing was left behind", dir, cause(err))
	}
	a.say("wrote %s; read its README.md, then: cd %s && isocue lint .", dir, shown(dir))
	return nil
}

// free says whether the folder is there; an error if something other than a repository is in it.
func free(dir string) (there bool, err error) {
	es, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, fmt.Errorf("cannot look at %s: %w", dir, cause(err))
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

// writeTree writes files into a folder of our own and moves it, or what is in it where the folder is there, to its place.
// Folders are for their owner alone.
func writeTree(dir string, there bool, files []start.File) (err error) {
	beside := filepath.Dir(dir)
	if there {
		beside = dir
	}
	temp, err := os.MkdirTemp(beside, ".isocue-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(temp) // gone already where it was moved
	for _, f := range files {
		name := filepath.Join(temp, filepath.FromSlash(f.Name))
		if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
			return err
		}
		if err := writeSynced(name, f); err != nil {
			return err
		}
	}
	if !there {
		return os.Rename(temp, dir)
	}
	var tops []string // cue.mod comes last, as its file does: until then this is no clinic's folder
	for _, f := range files {
		top, _, _ := strings.Cut(f.Name, "/")
		if i := slices.Index(tops, top); i >= 0 {
			tops = slices.Delete(tops, i, i+1)
		}
		tops = append(tops, top)
	}
	for i, top := range tops {
		if err := os.Rename(filepath.Join(temp, top), filepath.Join(dir, top)); err != nil {
			for _, moved := range tops[:i] {
				os.RemoveAll(filepath.Join(dir, moved))
			}
			return err
		}
	}
	return nil
}

func writeSynced(name string, f start.File) error {
	w, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, f.Mode)
	if err != nil {
		return err
	}
	_, err = w.Write(f.Data)
	if err == nil {
		err = w.Sync()
	}
	if cerr := w.Close(); err == nil {
		err = cerr
	}
	return err
}
