package clinic

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
)

// clinicFile is the clinic's policy or waivers: the file that the flag names, else that of a folder given, else that of the
// working directory or its nearest parent; never one that only stands beside a single file from elsewhere. "" is none.
func clinicFile(name, flag string, args []string) (string, error) {
	if flag != "" {
		return flag, nil
	}
	for _, a := range args {
		if fi, err := os.Stat(a); err == nil && fi.IsDir() {
			p := filepath.Join(a, name)
			if _, err := os.Stat(p); err == nil {
				return p, files.StaysIn(a, p)
			}
		}
	}
	dir, err := os.Getwd()
	if err != nil {
		return "", fmt.Errorf("find the clinic's %s: %w", name, err)
	}
	for {
		p := filepath.Join(dir, name)
		switch _, err := os.Stat(p); {
		case err == nil:
			if err := files.StaysIn(dir, p); err != nil {
				return "", err
			}
			if wd, err := os.Getwd(); err == nil {
				if rel, err := filepath.Rel(wd, p); err == nil {
					return rel, nil
				}
			}
			return p, nil
		case !errors.Is(err, fs.ErrNotExist):
			return "", fmt.Errorf("find the clinic's %s: %w", name, files.Short(err))
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			return "", nil
		}
		dir = parent
	}
}

// under lays the clinic's policy over the engine and says in a few words which one was used.
func (j *Judging) under(p Places) error {
	j.Under, j.Policy = j.Engine(), "no clinic policy"
	name, err := clinicFile("policy.cue", p.Policy, p.Folders)
	if err != nil {
		return err
	}
	var policy *load.File
	if name != "" {
		if policy, err = j.ownFile("policy", name); err != nil {
			return err
		}
		strict, found := j.Under.Under(policy)
		j.Under, j.Found, j.Policy = strict, append(j.Found, found...), "policy "+filepath.ToSlash(name)
	}
	waivers, err := clinicFile("waivers.cue", p.Waivers, p.Folders)
	if err != nil || waivers == "" {
		return err
	}
	f, err := j.ownFile("waivers", waivers)
	if err != nil {
		return err
	}
	w, found := j.Under.NewWaivers(f, policy)
	if j.Found = append(j.Found, found...); !finding.Rejected(found) {
		j.Under.Waivers = w
	}
	j.Policy += ", waivers " + filepath.ToSlash(waivers)
	return nil
}

// ownFile reads a file of the clinic's own, which is used and not judged.
func (j *Judging) ownFile(what, name string) (*load.File, error) {
	f, err := j.Under.Reader.Path(name)
	if err != nil {
		return nil, fmt.Errorf("cannot read the %s: %w", what, files.Short(err))
	}
	j.Files[f.Name] = f
	return f, nil
}

// sayIdle names the policies of the folders judged that are not in force. Each is sound or is refused like every file; but a limit that
// somebody wrote down and that judges nothing is worse than none.
func (j *Judging) sayIdle(flag string, named, walked []string) error {
	force, err := clinicFile("policy.cue", flag, named)
	if err != nil {
		return err
	}
	in, _ := os.Stat(force) // "" is none
	var idle []string
	for _, n := range walked {
		if f := j.Files[n]; f == nil || f.Kind != load.IsPolicy {
			continue
		}
		if is, err := os.Stat(n); err != nil || in == nil || !os.SameFile(in, is) {
			idle = append(idle, n)
		}
	}
	if len(idle) > 0 {
		j.Say("a policy here judges nothing: %s; in force: %s; put its lines into policy.cue, or name it with --policy", strings.Join(idle, ", "), cmp.Or(force, "none"))
	}
	return nil
}
