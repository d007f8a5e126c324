package clinic

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"isocue.example/compiler/files"
)

// MakeWay takes out of a stop's way what stands in the pack: a file that isocue did not write as it is is moved aside under a name of its
// own, and a folder, a link or whatever else is no file is left, and nothing written in its place. told says what was done. A stop never
// fails for any of these, and loses none.
func MakeWay(ready []files.File) (out []files.File, told []string, err error) {
	for _, f := range ready {
		fi, err := os.Lstat(f.Name)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return nil, told, fmt.Errorf("cannot look at %s: %w", f.Name, files.Cause(err))
		case !fi.Mode().IsRegular():
			told = append(told, fmt.Sprintf("%s is no file and is left as it is; the client's new one is not written there: take it away, and stop again", f.Name))
			continue
		case fi.Size() > 0:
			head, err := files.Fetch(f.Name, 4096)
			if err == nil && files.Ours(head[:min(len(head), 4096)]) {
				break
			}
			to, err := aside(f.Name)
			if err != nil {
				return nil, told, fmt.Errorf("cannot move %s aside: %w", f.Name, files.Cause(err))
			}
			told = append(told, fmt.Sprintf("%s is not as isocue wrote it, and stands now in %s", f.Name, filepath.Base(to)))
		}
		out = append(out, f)
	}
	if len(out) == 0 {
		return nil, told, fmt.Errorf("nothing of the pack can be written, allowed: a folder without folders or links called as its files; name another one with --pack")
	}
	return out, told, nil
}

// aside gives a file another name in its folder, which nothing has yet.
func aside(name string) (to string, err error) {
	for n := 1; ; n++ {
		to = name + ".old"
		if n > 1 {
			to = fmt.Sprintf("%s.%d.old", name, n)
		}
		if _, err := os.Lstat(to); errors.Is(err, fs.ErrNotExist) {
			return to, os.Rename(name, to)
		} else if err != nil {
			return "", err
		}
	}
}
