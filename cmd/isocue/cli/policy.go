package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"isocue.example/compiler"
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
				return p, staysIn(a, p)
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
			if err := staysIn(dir, p); err != nil {
				return "", err
			}
			if wd, err := os.Getwd(); err == nil {
				if rel, err := filepath.Rel(wd, p); err == nil {
					return rel, nil
				}
			}
			return p, nil
		case !errors.Is(err, fs.ErrNotExist):
			return "", fmt.Errorf("find the clinic's %s: %w", name, unwrapPath(err))
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			return "", nil
		}
		dir = parent
	}
}

// under lays the clinic's policy over the engine and says in a few words which one was used.
func (a *app) under(eng *compiler.Compiler, flag, waivers string, args []string, files map[string]*load.File) (*compiler.Compiler, []finding.Finding, string, error) {
	words := "no clinic policy"
	name, err := clinicFile("policy.cue", flag, args)
	if err != nil {
		return nil, nil, "", err
	}
	var policy *load.File
	var fs []finding.Finding
	if name != "" {
		if policy, eng, fs, err = a.policy(eng, name, files); err != nil {
			return nil, nil, "", err
		}
		words = "policy " + filepath.ToSlash(name)
	}
	if waivers, err = clinicFile("waivers.cue", waivers, args); err != nil || waivers == "" {
		return eng, fs, words, err
	}
	f, err := eng.Reader.Path(waivers)
	if err != nil {
		return nil, nil, "", fmt.Errorf("cannot read the waivers: %w", unwrapPath(err))
	}
	files[f.Name] = f
	w, more := eng.NewWaivers(f, policy)
	if fs = append(fs, more...); !finding.Rejected(more) {
		eng.Waivers = w
	}
	return eng, fs, words + ", waivers " + filepath.ToSlash(waivers), nil
}

func (a *app) policy(eng *compiler.Compiler, name string, files map[string]*load.File) (*load.File, *compiler.Compiler, []finding.Finding, error) {
	f, err := eng.Reader.Path(name)
	if err != nil {
		return nil, nil, nil, fmt.Errorf("cannot read the policy: %w", unwrapPath(err))
	}
	files[f.Name] = f
	strict, found := eng.Under(f)
	return f, strict, found, nil
}
