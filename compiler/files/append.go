package files

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"isocue.example/compiler/bound"
)

// Addition is what is to be added to a text file, once it is known what stands there: it replaces the bytes from End on, where a
// process that was killed may have left a line half told.
type Addition struct {
	End  int
	Text []byte // nothing to add where it is empty
}

// Growing is a file that is only ever added to: what it is called in messages, and how large it may be.
type Growing struct {
	Name, What string
	Most       int
	Full       string // what to do where it is larger
}

// attempts bounds how often an addition is begun anew because another program has put a new file in the place of the old one.
const attempts = 8

// Append adds to a file, whole or not at all, and syncs before it reports. Two writers wait for each other, and the system ends the
// wait when one of them dies. next is handed what stands there; it is asked again where another program, an editor that saves or git,
// has meanwhile put another file of that name there: what was added would be lost with the old one.
func Append(g Growing, next func(have []byte) (Addition, error)) error {
	for range attempts {
		again, err := g.once(next)
		if !again {
			return err
		}
	}
	return fmt.Errorf("write %s: %s is put there anew again and again by another program, allowed: one that waits; close it and try again", g.What, g.Name)
}

func (g Growing) once(next func([]byte) (Addition, error)) (again bool, err error) {
	f, made, err := g.open()
	if err != nil {
		return false, fmt.Errorf("open %s: %w", g.What, err)
	}
	defer func() {
		if cerr := f.Close(); err == nil && cerr != nil {
			err = cerr
		}
	}()
	if err := Lock(f); err != nil {
		return false, fmt.Errorf("lock %s: %w", g.What, err)
	}
	defer Unlock(f)
	if !g.still(f) {
		return true, nil
	}
	fi, err := f.Stat()
	if err == nil {
		err = g.fits(fi) // it may have grown while this writer waited
	}
	if err != nil {
		return false, fmt.Errorf("open %s: %w", g.What, err)
	}
	b, err := io.ReadAll(io.NewSectionReader(f, 0, fi.Size()))
	if err != nil {
		return false, fmt.Errorf("read %s: %w", g.What, err)
	}
	add, err := next(b)
	if err != nil || len(add.Text) == 0 {
		return false, err
	}
	if n := add.End + len(add.Text); n > g.Most {
		return false, fmt.Errorf("write %s: %w", g.What, g.over(n))
	}
	if add.End < len(b) { // what a killed process left half told was never reported as written
		if err := f.Truncate(int64(add.End)); err != nil {
			return false, fmt.Errorf("mend %s: %w", g.What, err)
		}
	}
	if _, err := f.WriteAt(add.Text, int64(add.End)); err != nil {
		f.Truncate(int64(add.End)) // a full disk: leave what was there
		return false, fmt.Errorf("write %s: %w", g.What, err)
	}
	if err := f.Sync(); err != nil {
		return false, fmt.Errorf("sync %s: %w", g.What, err)
	}
	if made {
		syncFolder(filepath.Dir(g.Name))
	}
	return !g.still(f), nil
}

// open opens the file, or makes it.
func (g Growing) open() (f *os.File, made bool, err error) {
	if fi, err := os.Stat(g.Name); err == nil {
		if err := g.fits(fi); err != nil {
			return nil, false, err
		}
	} else if l, lerr := os.Lstat(g.Name); lerr == nil && l.Mode()&fs.ModeSymlink != 0 {
		return nil, false, err // a link to nowhere: what it names is not to be made
	} else {
		made = errors.Is(err, fs.ErrNotExist) // else another writer has begun it since
	}
	if f, err = os.OpenFile(g.Name, os.O_RDWR|os.O_CREATE, 0o600); err != nil {
		return nil, false, err
	}
	fi, err := f.Stat()
	if err == nil {
		err = g.fits(fi)
	}
	if err != nil {
		f.Close()
		return nil, false, err
	}
	return f, made, nil
}

// still says whether the open file is the one that the name leads to.
func (g Growing) still(f *os.File) bool {
	mine, err := f.Stat()
	if err != nil {
		return true // nothing can be told, and the write has been reported
	}
	there, err := os.Stat(g.Name)
	return err == nil && os.SameFile(mine, there)
}

// fits refuses what cannot be such a file by its look: a pipe would wait for ever, a device never end.
func (g Growing) fits(fi fs.FileInfo) error {
	switch {
	case !fi.Mode().IsRegular():
		return fmt.Errorf("%s is not a regular file", g.Name)
	case fi.Size() > int64(g.Most):
		return g.over(int(fi.Size()))
	}
	return nil
}

func (g Growing) over(n int) error {
	return &bound.Over{What: g.Name + " has", Has: n, Of: "bytes", Most: g.Most, Then: g.Full}
}

// Fits looks whether a file that is to be read can be such a one.
func (g Growing) Fits() error {
	fi, err := os.Stat(g.Name)
	if err == nil {
		err = g.fits(fi)
	}
	return err
}
