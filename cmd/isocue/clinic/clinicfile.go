package clinic

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
)

// clinicFile is the clinic's policy or waivers: the file that the flag names, else that of a folder given, else that of the
// working directory or its nearest parent; never one that only stands beside a single file from elsewhere. "" is none.
func clinicFile(name, flag string, args []string) (string, error) {
	return inNearest(name, flag, args, func(dir string) (string, error) { return standsIn(dir, name) })
}

// inNearest looks for what has a name in the places that clinicFile names; in says what it is in one folder.
func inNearest(name, flag string, args []string, in func(dir string) (string, error)) (string, error) {
	switch flag {
	case "":
	case NoPolicy:
		return "", nil
	default:
		return flag, nil
	}
	for _, a := range args {
		if fi, err := os.Stat(a); err == nil && fi.IsDir() {
			if p, err := in(a); p != "" || err != nil {
				return p, err
			}
		}
	}
	wd, err := os.Getwd()
	if err != nil {
		return "", fmt.Errorf("find the clinic's %s: %w", name, err)
	}
	for dir := wd; ; dir = filepath.Dir(dir) {
		p, err := in(dir)
		if err != nil {
			return "", err
		}
		if p != "" {
			if rel, err := filepath.Rel(wd, p); err == nil {
				return rel, nil
			}
			return p, nil
		}
		if dir == filepath.Dir(dir) {
			return "", nil
		}
	}
}

// standsIn is the clinic's file of that name in one folder, in any notation and in capitals or not; "" where there is none. Two of
// them, or one under a name that would not be read, are an error: limits that somebody wrote down must not be left out.
func standsIn(dir, name string) (string, error) {
	var have, seeming []string
	for _, e := range clinicNames(dir, name) {
		switch low := strings.ToLower(e); {
		case isNotation(name, low):
			have = append(have, e)
		case seems(dir, name, e):
			seeming = append(seeming, e)
		}
	}
	flag := strings.TrimSuffix(name, filepath.Ext(name))
	switch {
	case len(have) > 1:
		return "", fmt.Errorf("%s stand in %s, allowed: one of them; put what they say into one file, or name one with --%s", strings.Join(have, " and "), dir, flag)
	case len(have) == 1:
		p := filepath.Join(dir, have[0])
		return p, files.StaysIn(dir, p)
	case len(seeming) > 0:
		return "", fmt.Errorf("%s is not read under that name, allowed: %s; rename it, move it out of the folder, or name it with --%s", filepath.Join(dir, seeming[0]), name, flag)
	}
	return "", nil
}

// clinicNames are the names in a folder that begin as a clinic's file does. Of a folder that cannot be listed, those are tried that
// may be there.
func clinicNames(dir, name string) (out []string) {
	stem := strings.TrimSuffix(name, filepath.Ext(name))
	entries, err := os.ReadDir(dir)
	for _, e := range entries {
		if strings.HasPrefix(strings.TrimSpace(strings.ToLower(e.Name())), stem) {
			out = append(out, e.Name())
		}
	}
	if err == nil {
		return out
	}
	for _, end := range []string{filepath.Ext(name), ".yaml", ".yml", ".json"} {
		if _, err := os.Lstat(filepath.Join(dir, stem+end)); err == nil && isNotation(name, stem+end) {
			out = append(out, stem+end)
		}
	}
	return out
}

// isNotation says whether a name is that of a clinic's file in some notation. The ledger has one.
func isNotation(name, low string) bool {
	_, known := load.FormatOf(name)
	if !known {
		return name == low
	}
	_, known = load.FormatOf(low)
	return known && strings.TrimSuffix(low, filepath.Ext(low)) == strings.TrimSuffix(name, filepath.Ext(name))
}

// seems says whether a file seems to be the clinic's under another name: a copy as sync programs and browsers make them, or one whose
// ending was hidden or left out.
func seems(dir, name, found string) bool {
	if _, known := load.FormatOf(name); !known {
		return false
	}
	low := strings.ToLower(found)
	what, _ := called(found)
	switch rest := strings.TrimPrefix(low, strings.TrimSuffix(name, filepath.Ext(name))); what {
	case aCopy:
		return true
	case toRead:
		return strings.TrimSpace(low) != low || synced.MatchString(rest)
	case unknown:
		src, err := files.Fetch(filepath.Join(dir, found), load.MaxBytes)
		return err == nil && holdsWords.Match(src)
	}
	return false
}
