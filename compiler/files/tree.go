package files

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// WriteTree writes files, named by slash paths below a folder, whole or not at all: into a folder of our own that is moved to its
// place, or, where the folder is there already, what is in it is. Folders are for their owner alone.
func WriteTree(dir string, there bool, files []File) (err error) {
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
	var tops []string // a file that says what the folder is comes last: until then it is none
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

func writeSynced(name string, f File) error {
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
