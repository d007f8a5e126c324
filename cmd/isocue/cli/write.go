package cli

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
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
		bytes.HasPrefix(head, []byte("<!DOCTYPE html>\n")) && bytes.Contains(head, []byte(`<meta name="generator" content="isocue `)) ||
		bytes.Contains(head, []byte("\nWritten by isocue ")) || followed.Match(head)
}

// writeAll writes files whole or not at all: all are first written beside their places and synced, then renamed. Client
// data is for its owner's eyes only (0600). A file that isocue did not write is overwritten only with force.
func writeAll(files []pending, force bool) (err error) {
	var temps []string
	defer func() {
		for _, t := range temps {
			os.Remove(t) // gone already where it was renamed
		}
	}()
	for _, f := range files {
		if err := mayReplace(f.name, force); err != nil {
			return err
		}
		t, err := beside(f)
		if t != "" {
			temps = append(temps, t)
		}
		if err != nil {
			return fmt.Errorf("cannot write %s: %w", f.name, cause(err))
		}
	}
	for i, f := range files {
		if err := os.Rename(temps[i], f.name); err != nil {
			return fmt.Errorf("cannot write %s: %w", f.name, err)
		}
	}
	return nil
}

// cause is an error without the path it names: the place beside a file has a name of our own that means nothing.
func cause(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

func mayReplace(name string, force bool) error {
	fi, err := os.Lstat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("cannot look at %s: %w", name, unwrapPath(err))
	case !fi.Mode().IsRegular():
		return fmt.Errorf("%s is not a regular file, allowed: a new name, or a file that isocue wrote", name)
	case force || fi.Size() == 0:
		return nil
	}
	f, err := os.Open(name)
	if err != nil {
		return fmt.Errorf("cannot look at %s: %w", name, unwrapPath(err))
	}
	defer f.Close()
	head := make([]byte, 4096)
	n, _ := f.Read(head)
	if !ours(head[:n]) {
		return fmt.Errorf("%s is there and was not written by isocue, allowed: another name, or --force to overwrite it", name)
	}
	return nil
}

func beside(f pending) (string, error) {
	t, err := os.CreateTemp(filepath.Dir(f.name), ".isocue-*")
	if err != nil {
		return "", err
	}
	_, err = t.Write(f.data)
	if err == nil {
		err = t.Chmod(cmp.Or(f.mode, 0o600))
	}
	if err == nil {
		err = t.Sync()
	}
	if cerr := t.Close(); err == nil {
		err = cerr
	}
	return t.Name(), err
}
