package clinic

import (
	"fmt"
	"os"
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

// expand finds what was named: files and ids stay as they are, and of folders everything below them is found. What isocue itself
// put into a clinic's folder for the editor is nobody's to judge, as long as it is unchanged.
func expand(named []string) (words []string, found Found, err error) {
	for _, arg := range named {
		if fi, err := os.Stat(arg); err != nil || !fi.IsDir() {
			if err != nil || !isOwn(arg) {
				words = append(words, arg)
			}
			continue
		}
		here, err := find(arg)
		switch {
		case err != nil:
			return nil, found, err
		case len(here.Files)+len(here.Logs)+len(here.Trouble) == 0:
			return nil, found, here.holdsNothing(arg, "file to judge")
		}
		words = append(words, here.Files...)
		found.add(here)
	}
	if len(words)+len(found.Logs)+len(found.Trouble) == 0 {
		return nil, found, fmt.Errorf("%s is isocue's own and is not judged, allowed: files that people wrote", strings.Join(named, ", "))
	}
	return words, found, nil
}
