package files

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"

	"isocue.example/compiler/record"
)

// File is a file that is ready to be written.
type File struct {
	Name string
	Data []byte
	Mode fs.FileMode // 0600 where none is given
}

// followed is how the text of a follow-up begins.
var followed = regexp.MustCompile(`^[a-z0-9-]+, followed on [0-9]{4}-[0-9]{2}-[0-9]{2} `)

// plan is how a plan begins, of whatever version.
var plan = regexp.MustCompile(`^\{\n  "version": [0-9]+,\n  "client":`)

// Ours tells a file that isocue wrote from somebody else's: by the first bytes of a calendar, a plan or a scaffold.
func Ours(head []byte) bool {
	return bytes.HasPrefix(head, []byte("BEGIN:VCALENDAR\r\n")) && bytes.Contains(head, []byte("PRODID:-//isocue//")) ||
		plan.Match(head) || bytes.HasPrefix(head, []byte("week  day")) ||
		bytes.HasPrefix(head, []byte("RIFF")) && bytes.Contains(head, []byte("ISFT\x07\x00\x00\x00isocue\x00")) ||
		bytes.HasPrefix(head, []byte("<!DOCTYPE html>\n")) && bytes.Contains(head, []byte(`<meta name="generator" content="isocue `)) ||
		bytes.HasPrefix(head, []byte("{\n  \"resourceType\": \"Bundle\",")) && bytes.Contains(head, []byte(record.ClientSystem)) ||
		bytes.Contains(head, []byte("\nWritten by isocue ")) || followed.Match(head)
}

// Write writes files, each whole or not at all: all are first written beside their places and synced, then
// put there in their order, so that the last one stands only where all do. Two runs at once do not mix: who comes second waits,
// and then finds what the first left. Client data is for its owner's eyes only (0600). A file that isocue did not write is
// overwritten only with Force; May, if there is one, has the last word once nobody else writes.
func Write(files []File, m Manner) error {
	w, err := Prepare(files, m)
	if err != nil {
		return err
	}
	defer w.End()
	if err := w.Place(); err != nil {
		return err
	}
	for _, dir := range w.Dirs {
		syncFolder(dir)
	}
	return nil
}

// Writing is files that stand beside their places, whole, in folders that are locked.
type Writing struct {
	files []File
	Dirs  []string
	temps []*temp
	there []bool // an older file stands in the place
	locks []func()
	made  []string // folders that were missing
}

// Manner is how files are prepared: as Write says. With Later, syncing them before they are placed is the caller's; Busy is called
// before another run is waited for. Make says what a folder of the files is called; one that is missing is then made, and taken away
// again where nothing was written into it.
type Manner struct {
	Force, Later bool
	May          func() error
	Busy         func()
	Make         string
}

// Prepare writes files beside their places. Their bytes are not needed any more when it returns.
func Prepare(files []File, m Manner) (_ *Writing, err error) {
	w := &Writing{files: files, Dirs: folders(files), there: make([]bool, len(files))}
	defer func() {
		if err != nil {
			w.End()
		}
	}()
	for _, dir := range w.Dirs {
		if m.Make == "" {
			break
		}
		_, missing := os.Lstat(dir)
		if err := os.MkdirAll(dir, 0o700); err != nil {
			return nil, fmt.Errorf("cannot make %s: %w", m.Make, Short(err))
		}
		if missing != nil {
			w.made = append(w.made, dir)
		}
	}
	for _, dir := range w.Dirs { // in one order, so that no two runs wait for each other
		unlock, err := lockFolder(dir, m.Busy)
		if err != nil {
			return nil, fmt.Errorf("cannot write into %s: %w", dir, err)
		}
		w.locks = append(w.locks, unlock)
	}
	if m.May != nil {
		if err := m.May(); err != nil {
			return nil, err
		}
	}
	for i, f := range files {
		if w.there[i], err = mayReplace(f.Name, m.Force); err != nil {
			return nil, err
		}
		t, err := beside(f, !m.Later)
		if err != nil {
			return nil, fmt.Errorf("cannot write %s: %w", f.Name, Cause(err))
		}
		w.temps = append(w.temps, t)
		if dir := filepath.Dir(f.Name); i == 0 || dir != filepath.Dir(files[i-1].Name) {
			sweep(dir, t.at)
		}
	}
	return w, nil
}

// Place puts the files into their places.
func (w *Writing) Place() error {
	for i, f := range w.files {
		if err := w.temps[i].put(f, w.there[i]); err != nil {
			return fmt.Errorf("cannot write %s: %w", f.Name, Cause(err))
		}
	}
	return nil
}

// End forgets what was not placed, and unlocks.
func (w *Writing) End() {
	for _, t := range w.temps {
		t.drop()
	}
	for _, unlock := range w.locks {
		unlock()
	}
	for _, dir := range w.made {
		os.Remove(dir) // which succeeds only if it is empty
	}
}

// folders are the folders of files, each once, sorted.
func folders(files []File) (out []string) {
	for _, f := range files {
		out = append(out, filepath.Dir(f.Name))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// CreateNew writes a file that must not be there yet.
func CreateNew(name string, data []byte) error {
	if _, err := os.Lstat(name); err == nil {
		return fmt.Errorf("%s is there already, allowed: a new name", name)
	}
	t, err := beside(File{Name: name, Data: data}, true)
	if err == nil {
		defer t.drop()
		err = t.put(File{Name: name, Data: data}, false)
	}
	switch {
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("%s is there already, allowed: a new name", name)
	case err != nil:
		return fmt.Errorf("cannot write %s: %w", name, Cause(err))
	}
	syncFolder(filepath.Dir(name))
	return nil
}

// mayReplace says whether a file is there, and refuses one that must not be replaced.
func mayReplace(name string, force bool) (there bool, err error) {
	fi, err := os.Lstat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, fmt.Errorf("cannot look at %s: %w", name, Cause(err))
	case !fi.Mode().IsRegular():
		return false, fmt.Errorf("%s is not a regular file, allowed: a new name, or a file that isocue wrote", name)
	case force || fi.Size() == 0:
		return true, nil
	}
	head, err := Fetch(name, 4096)
	if err != nil {
		return false, fmt.Errorf("cannot look at %s: %w", name, Cause(err))
	}
	if !Ours(head) {
		return false, fmt.Errorf("%s is there and was not written by isocue, allowed: another name, or --force to overwrite it", name)
	}
	return true, nil
}
