// Package files reads and writes the files of a clinic's folder. A file is written whole or not at all: its bytes stand beside
// its place until they are complete. Two runs that write into one folder do not mix, on any system. A link is followed only
// where it stays inside the folder that was named. It knows bytes and names, and nothing of what stands in a file, but for the
// first bytes by which isocue tells its own files from somebody else's.
package files

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Cause is an error without the path it names: the place beside a file has a name of our own that means nothing.
func Cause(err error) error {
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

// Short shortens "open x: no such file or directory" to its parts, once: the verb of the system means nothing to a reader.
func Short(err error) error {
	if pe, ok := err.(*fs.PathError); ok {
		return fmt.Errorf("%s: %w", pe.Path, pe.Err)
	}
	return err
}

// Exists says whether something of that name is in a folder.
func Exists(dir, name string) bool {
	_, err := os.Stat(filepath.Join(dir, name))
	return err == nil
}

// NoLink refuses a folder that was found, not named, and is a link: what is written through it would stand wherever whoever made the
// link wants it.
func NoLink(dir string) error {
	if fi, err := os.Lstat(dir); err == nil && fi.Mode()&(fs.ModeSymlink|fs.ModeIrregular) != 0 {
		return fmt.Errorf("%s is a link, allowed: a folder, or nothing yet; take the link away", dir)
	}
	return nil
}

// StaysIn refuses a file that was found, not named, if a link leads from it out of the folder and out of the working directory:
// whoever sends the folder could have any file read, and quoted in a log.
func StaysIn(folder, name string) error {
	if fi, err := os.Lstat(name); err == nil && fi.Mode()&fs.ModeSymlink == 0 {
		return nil // folders that are links are not gone into
	}
	real, err := filepath.EvalSymlinks(name)
	if err == nil {
		real, err = filepath.Abs(real)
	}
	if err != nil {
		return fmt.Errorf("cannot follow the link %s: %w", name, Short(err))
	}
	for _, root := range []string{folder, "."} {
		root, err := filepath.EvalSymlinks(root)
		if err == nil {
			root, err = filepath.Abs(root)
		}
		if err != nil {
			return fmt.Errorf("cannot follow the link %s: %w", name, Short(err))
		}
		if rel, err := filepath.Rel(root, real); err == nil && filepath.IsLocal(rel) {
			return nil
		}
	}
	return fmt.Errorf("%s is a link that leads out of its folder and of the working directory, allowed: links within them; to have it read, name the file itself", name)
}
