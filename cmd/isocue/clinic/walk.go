package clinic

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
)

// looksLikePath says whether an argument is a path: it has a separator or a known ending. Anything else is the id of a
// standard protocol.
func looksLikePath(s string) bool {
	_, known := load.FormatOf(s)
	return known || s == "." || s == ".." || strings.ContainsAny(s, `/\`)
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

// readPath reads the file of a path.
func readPath(c *compiler.Compiler, name string) (*load.File, error) {
	f, err := c.Reader.Path(name)
	if err != nil {
		return nil, fmt.Errorf("cannot read: %w", files.Short(err))
	}
	return f, nil
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
			if (files.Linked(p, d) || d.Type().IsRegular()) && !isOwn(p) {
				out = append(out, p)
			}
			return nil
		})
		var pe *fs.PathError
		switch {
		case errors.As(err, &pe):
			return nil, fmt.Errorf("walk %s: %w", arg, files.Short(err))
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
