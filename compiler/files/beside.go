package files

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"time"
)

// temp is a file on its way to its place. Where the system can keep a file without a name, it has none until it is whole, and
// nothing is left of it if the process dies; elsewhere it is named besideName.
type temp struct {
	file *os.File
	name string    // "" while it has none
	at   time.Time // when it was written, by the file system's own clock
}

// besideName is the name of a file that has not reached its place: CreateTemp's pattern, and what it makes of it.
const besideName = ".isocue-*"

var besideNames = regexp.MustCompile(`^\.isocue-[0-9]+$`)

// nameless says whether files may be kept without a name. Tests say no, to stand where systems cannot.
var nameless = true

// beside writes a file's bytes in its folder, and syncs them unless somebody else will before they are put into their place.
func beside(f File, sync bool) (*temp, error) {
	dir := filepath.Dir(f.Name)
	t := &temp{}
	var err error
	if nameless {
		t.file, err = unnamed(dir)
	}
	if err != nil || !nameless {
		if t, err = named(dir); err != nil {
			return nil, err
		}
	}
	if err := t.fill(bytes.NewReader(f.Data), f.Mode, sync); err != nil {
		t.drop()
		return nil, err
	}
	return t, nil
}

func named(dir string) (*temp, error) {
	file, err := os.CreateTemp(dir, besideName)
	if err != nil {
		return nil, err
	}
	return &temp{file: file, name: file.Name()}, nil
}

// fill writes, and syncs where that is asked for. What has a name is closed: some systems move no open file.
func (t *temp) fill(from io.Reader, mode fs.FileMode, sync bool) error {
	_, err := io.Copy(t.file, from)
	if err == nil {
		err = t.file.Chmod(cmp.Or(mode, 0o600))
	}
	if err == nil && sync {
		err = t.file.Sync()
	}
	if fi, serr := t.file.Stat(); serr == nil {
		t.at = fi.ModTime()
	}
	if t.name != "" {
		if cerr := t.file.Close(); err == nil {
			err = cerr
		}
	}
	return err
}

// put moves the file to its place; there says that an older one stands there. Where none did, one that appeared meanwhile is not
// overwritten.
func (t *temp) put(f File, there bool) error {
	if t.name == "" {
		done, err := t.give(f, there)
		if done || err != nil {
			return err
		}
	}
	if !there {
		err := os.Link(t.name, f.Name)
		if err == nil || errors.Is(err, fs.ErrExist) {
			return err
		} // else a file system without links
	}
	return os.Rename(t.name, f.Name)
}

// give gives a file without a name its own, or one beside it where an older file is to be replaced. Where the system cannot do
// that after all, it is written once more, with a name.
func (t *temp) give(f File, there bool) (done bool, err error) {
	if !there {
		if err := giveName(t.file, f.Name); err == nil || errors.Is(err, fs.ErrExist) {
			return true, err
		}
	} else {
		name := filepath.Join(filepath.Dir(f.Name), fmt.Sprintf(".isocue-%d", rand.Uint64()))
		if giveName(t.file, name) == nil {
			t.name = name
			return false, t.file.Close()
		}
	}
	n, err := named(filepath.Dir(f.Name))
	if err != nil {
		return false, err
	}
	whole := t.file
	defer whole.Close()
	*t = *n
	return false, t.fill(io.NewSectionReader(whole, 0, math.MaxInt64), f.Mode, true)
}

// drop forgets the file; in its place, or without a name, there is nothing to remove.
func (t *temp) drop() {
	t.file.Close()
	if t.name != "" {
		os.Remove(t.name)
	}
}

// forgotten is how long a file beside its place is left alone: a run needs milliseconds for it.
const forgotten = time.Hour

// sweep removes what a killed run left beside its files, where the system could not. now is the moment by the file system's clock.
func sweep(dir string, now time.Time) {
	es, err := os.ReadDir(dir)
	if err != nil {
		return // what cannot be listed is told by who writes there
	}
	for _, e := range es {
		if !besideNames.MatchString(e.Name()) || !e.Type().IsRegular() {
			continue
		}
		if fi, err := e.Info(); err == nil && now.Sub(fi.ModTime()) > forgotten {
			os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}
