package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"github.com/spf13/pflag"

	"isocue.example/compiler"
	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
)

type flagT = pflag.Flag

// looksLikePath says whether an argument is a path: it has a separator or a known ending. Anything else is the id of a
// standard protocol.
func looksLikePath(s string) bool {
	_, known := load.FormatOf(s)
	return known || s == "." || s == ".." || strings.ContainsAny(s, `/\`)
}

// open reads one argument: a path, - for standard input, or the id of a standard protocol.
func (a *app) open(c *compiler.Compiler, arg, stdinName string) (*load.File, error) {
	switch {
	case arg == "-":
		src, err := io.ReadAll(io.LimitReader(a.in, load.MaxBytes+1))
		if err != nil {
			return nil, fmt.Errorf("read standard input: %w", err)
		}
		return c.Reader.Bytes(stdinName, src), nil
	case looksLikePath(arg):
		f, err := c.Reader.Path(filepath.Clean(arg))
		if err != nil {
			return nil, fmt.Errorf("cannot read: %w", unwrapPath(err))
		}
		return f, nil
	}
	if f := c.Standard(arg); f != nil {
		return f, nil
	}
	if _, err := os.Stat(arg); err == nil {
		return nil, fmt.Errorf("%q is a file or folder without a known ending, allowed: .cue, .yaml, .yml, .json, or write ./%s", arg, arg)
	}
	return nil, fmt.Errorf("%q is no standard protocol%s; allowed: %s, or a path to a file", arg, near.Hint(arg, c.StandardIDs()), strings.Join(c.StandardIDs(), ", "))
}

// stdinOnce refuses a command line that would read standard input twice: the second time nothing is left.
func stdinOnce(args []string) error {
	n := 0
	for _, a := range args {
		if a == "-" {
			n++
		}
	}
	if n > 1 {
		return fmt.Errorf("- stands %d times, allowed: once, standard input can be read only once; write the others to files", n)
	}
	return nil
}

// unwrapPath shortens "open x: no such file or directory" to its parts, once.
func unwrapPath(err error) error {
	if pe, ok := err.(*fs.PathError); ok {
		return fmt.Errorf("%s: %w", pe.Path, pe.Err)
	}
	return err
}

// linked says whether a link leads to a regular file: left out, it would look judged. A link to a folder is not followed.
func linked(name string, d fs.DirEntry) bool {
	if d.Type()&fs.ModeSymlink == 0 {
		return false
	}
	fi, err := os.Stat(name)
	return err == nil && fi.Mode().IsRegular()
}

// staysIn refuses a file that was found, not named, if a link leads from it out of the folder and out of the working directory:
// whoever sends the folder could have any file read, and quoted in a log.
func staysIn(folder, name string) error {
	if fi, err := os.Lstat(name); err == nil && fi.Mode()&fs.ModeSymlink == 0 {
		return nil // folders that are links are not gone into
	}
	real, err := filepath.EvalSymlinks(name)
	if err == nil {
		real, err = filepath.Abs(real)
	}
	if err != nil {
		return fmt.Errorf("cannot follow the link %s: %w", name, unwrapPath(err))
	}
	for _, root := range []string{folder, "."} {
		root, err := filepath.EvalSymlinks(root)
		if err == nil {
			root, err = filepath.Abs(root)
		}
		if err != nil {
			return fmt.Errorf("cannot follow the link %s: %w", name, unwrapPath(err))
		}
		if rel, err := filepath.Rel(root, real); err == nil && filepath.IsLocal(rel) {
			return nil
		}
	}
	return fmt.Errorf("%s is a link that leads out of its folder and of the working directory, allowed: links within them; to have it read, name the file itself", name)
}

// allStay holds the files that were found in the folders named to staysIn.
func allStay(named, files []string) error {
	for _, name := range files {
		for _, folder := range named {
			if rel, err := filepath.Rel(folder, name); err != nil || rel == "." || !filepath.IsLocal(rel) {
				continue
			}
			if err := staysIn(folder, name); err != nil {
				return err
			}
		}
	}
	return nil
}

// expand turns folders into the files below them that a person may have written, sorted; other arguments stay. What isocue
// itself put into a clinic's folder for the editor is nobody's to judge, as long as it is unchanged.
func expand(args []string) (out []string, err error) {
	for _, arg := range args {
		fi, err := os.Stat(arg)
		if err != nil || !fi.IsDir() {
			if err != nil || !isOwn(arg) {
				out = append(out, arg)
			}
			continue
		}
		before := len(out)
		err = filepath.WalkDir(arg, func(p string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if d.IsDir() && p != arg && (strings.HasPrefix(d.Name(), ".") || d.Name() == "cue.mod" || d.Name() == "node_modules") {
				return filepath.SkipDir
			}
			if !looksLikePath(d.Name()) {
				return nil
			}
			if (linked(p, d) || d.Type().IsRegular()) && !isOwn(p) {
				out = append(out, p)
			}
			return nil
		})
		var pe *fs.PathError
		switch {
		case errors.As(err, &pe):
			return nil, fmt.Errorf("walk %s: %w", arg, unwrapPath(err))
		case err != nil:
			return nil, err
		}
		if len(out) == before {
			return nil, fmt.Errorf("%s holds no file to judge, allowed: files ending in .cue, .yaml, .yml or .json", arg)
		}
		sort.Strings(out[before:])
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s is isocue's own and is not judged, allowed: files that people wrote", strings.Join(args, ", "))
	}
	return out, nil
}
