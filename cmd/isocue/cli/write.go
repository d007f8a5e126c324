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
	dirs := folders(files)
	for _, dir := range dirs { // in one order, so that no two runs wait for each other
		unlock, err := lockFolder(dir)
		if err != nil {
			return fmt.Errorf("cannot write into %s: %w", dir, err)
		}
		defer unlock()
		sweep(dir)
	}
	if may != nil {
		if err := may(); err != nil {
			return err
		}
	}
	var temps []*temp
	defer func() {
		for _, t := range temps {
			t.drop()
		}
	}()
	there := make([]bool, len(files))
	for i, f := range files {
		var err error
		if there[i], err = mayReplace(f.name, force); err != nil {
			return err
		}
		t, err := beside(f)
		if err != nil {
			return fmt.Errorf("cannot write %s: %w", f.name, cause(err))
		}
		temps = append(temps, t)
	}
	for i, f := range files {
		if err := temps[i].put(f, there[i]); err != nil {
			return fmt.Errorf("cannot write %s: %w", f.name, cause(err))
		}
	}
	for _, dir := range dirs {
		syncFolder(dir)
	}
	return nil
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
	t, err := beside(pending{name: name, data: data})
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
