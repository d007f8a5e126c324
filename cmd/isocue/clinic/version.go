package clinic

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"

	"isocue.example/cmd/isocue/start"
	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
)

// folderVersion is the form of a clinic's folder that this program writes. A folder without a version has the first.
const folderVersion = 1

// versionText is all that stands in the file that gives a folder's version.
var versionText = regexp.MustCompile(`^(?:#[^\n]*\n)*version: ([1-9][0-9]{0,5})\s*$`)

// versionIn is the version that a file gives, 0 where it gives none.
func versionIn(name string) int {
	b, err := files.Fetch(name, load.MaxBytes)
	if err != nil {
		return 0
	}
	m := versionText.FindSubmatch(unixLines(b))
	if m == nil {
		return 0
	}
	n, _ := strconv.Atoi(string(m[1])) // digits
	return n
}

// isVersion says whether a file is the one that gives a folder's version.
func isVersion(name string) bool {
	return filepath.Base(name) == start.Version && versionIn(name) > 0
}

// Writable refuses to write where the clinic's folder, the nearest above, has a newer version than this program knows, or one that
// cannot be read: what it would write there might mean something else. Reading and judging are not refused.
func Writable(dir string) error {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return fmt.Errorf("find the clinic's folder: %w", err)
	}
	for {
		name := filepath.Join(dir, start.Version)
		if _, err := os.Lstat(name); err == nil {
			switch v := versionIn(name); {
			case v == 0:
				return fmt.Errorf("%s does not say which version the folder has, allowed: version: %d; nothing is written there until it does", name, folderVersion)
			case v > folderVersion:
				return fmt.Errorf("%s says version %d, and this isocue knows version %d; nothing is written there; use the newer isocue", name, v, folderVersion)
			}
			return nil
		}
		if dir == filepath.Dir(dir) {
			return nil
		}
		dir = filepath.Dir(dir)
	}
}
