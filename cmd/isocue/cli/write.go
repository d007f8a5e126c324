package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// pending is a file that is ready to be written.
type pending struct {
	name string
	data []byte
	mode fs.FileMode // 0600 where none is given
}

// followed is how the text of a follow-up begins.
var followed = regexp.MustCompile(`^[a-z0-9-]+, followed on [0-9]{4}-[0-9]{2}-[0-9]{2} `)

// ours tells a file that isocue wrote from somebody else's: by the first bytes of a calendar, a plan or a scaffold.
func ours(head []byte) bool {
	return bytes.HasPrefix(head, []byte("BEGIN:VCALENDAR\r\n")) && bytes.Contains(head, []byte("PRODID:-//isocue//")) ||
		bytes.HasPrefix(head, []byte("{\n  \"version\": 1,\n  \"client\":")) || bytes.HasPrefix(head, []byte("week  day")) ||
		bytes.HasPrefix(head, []byte("RIFF")) && bytes.Contains(head, []byte("ISFT\x07\x00\x00\x00isocue\x00")) ||
		bytes.HasPrefix(head, []byte("<!DOCTYPE html>\n")) && bytes.Contains(head, []byte(`<meta name="generator" content="isocue `)) ||
		bytes.HasPrefix(head, []byte("{\n  \"resourceType\": \"Bundle\",")) && bytes.Contains(head, []byte(record.ClientSystem)) ||
		bytes.Contains(head, []byte("\nWritten by isocue ")) || followed.Match(head)
}

// writeAll writes files, each whole or not at all: all are first written beside their places and synced, then
// put there in their order, so that the last one stands only where all do. Two runs at once do not mix: who comes second waits,
// and then finds what the first left. Client data is for its owner's eyes only (0600). A file that isocue did not write is
// overwritten only with force; may, if there is one, has the last word once nobody else writes.
func writeAll(files []pending, force bool, may func() error) error {
	w, err := prepare(files, manner{force: force, may: may})
	if err != nil {
		return err
	}
	defer w.end()
	if err := w.place(); err != nil {
		return err
	}
	for _, dir := range w.dirs {
		syncFolder(dir)
	}
	return nil
}

// writing is files that stand beside their places, whole, in folders that are locked.
type writing struct {
	files []pending
	dirs  []string
	temps []*temp
	there []bool // an older file stands in the place
	locks []func()
}

// manner is how files are prepared: as writeAll says. With later, syncing them before they are placed is the caller's; busy is called
// before another run is waited for.
type manner struct {
	force, later bool
	may          func() error
	busy         func()
}

// prepare writes files beside their places. Their bytes are not needed any more when it returns.
func prepare(files []pending, m manner) (_ *writing, err error) {
	w := &writing{files: files, dirs: folders(files), there: make([]bool, len(files))}
	defer func() {
		if err != nil {
			w.end()
		}
	}()
	for _, dir := range w.dirs { // in one order, so that no two runs wait for each other
		unlock, err := lockFolder(dir, m.busy)
		if err != nil {
			return nil, fmt.Errorf("cannot write into %s: %w", dir, err)
		}
		w.locks = append(w.locks, unlock)
		sweep(dir)
	}
	if m.may != nil {
		if err := m.may(); err != nil {
			return nil, err
		}
	}
	for i, f := range files {
		if w.there[i], err = mayReplace(f.name, m.force); err != nil {
			return nil, err
		}
		t, err := beside(f, !m.later)
		if err != nil {
			return nil, fmt.Errorf("cannot write %s: %w", f.name, cause(err))
		}
		w.temps = append(w.temps, t)
	}
	return w, nil
}

// place puts the files into their places.
func (w *writing) place() error {
	for i, f := range w.files {
		if err := w.temps[i].put(f, w.there[i]); err != nil {
			return fmt.Errorf("cannot write %s: %w", f.name, cause(err))
		}
	}
	return nil
}

// end forgets what was not placed, and unlocks.
func (w *writing) end() {
	for _, t := range w.temps {
		t.drop()
	}
	for _, unlock := range w.locks {
		unlock()
	}
}

// folders are the folders of files, each once, sorted.
func folders(files []pending) (out []string) {
	for _, f := range files {
		out = append(out, filepath.Dir(f.name))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// createNew writes a file that must not be there yet.
func createNew(name string, data []byte) error {
	if _, err := os.Lstat(name); err == nil {
		return fmt.Errorf("%s is there already, allowed: a new name", name)
	}
	t, err := beside(pending{name: name, data: data}, true)
	if err == nil {
		defer t.drop()
		err = t.put(pending{name: name, data: data}, false)
	}
	switch {
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("%s is there already, allowed: a new name", name)
	case err != nil:
		return fmt.Errorf("cannot write %s: %w", name, cause(err))
	}
	syncFolder(filepath.Dir(name))
	return nil
}

// cause is an error without the path it names: the place beside a file has a name of our own that means nothing.
func cause(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	var le *os.LinkError
	if errors.As(err, &le) {
		return le.Err
	}
	return err
}

// mayReplace says whether a file is there, and refuses one that must not be replaced.
func mayReplace(name string, force bool) (there bool, err error) {
	fi, err := os.Lstat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, fmt.Errorf("cannot look at %s: %w", name, cause(err))
	case !fi.Mode().IsRegular():
		return false, fmt.Errorf("%s is not a regular file, allowed: a new name, or a file that isocue wrote", name)
	case force || fi.Size() == 0:
		return true, nil
	}
	head, err := load.Fetch(name, 4096)
	if err != nil {
		return false, fmt.Errorf("cannot look at %s: %w", name, cause(err))
	}
	if !ours(head) {
		return false, fmt.Errorf("%s is there and was not written by isocue, allowed: another name, or --force to overwrite it", name)
	}
	return true, nil
}
