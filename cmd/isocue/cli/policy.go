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

// policyFile is the clinic's policy: --policy, else that of the folder given, else that of the working directory or its
// nearest parent; never one that only stands beside a single file from elsewhere. "" is none.
func policyFile(flag string, args []string) (string, error) {
	const name = "policy.cue"
	if flag != "" {
		return flag, nil
	}
	for _, a := range args {
		if fi, err := os.Stat(a); err == nil && fi.IsDir() {
			p := filepath.Join(a, name)
			if _, err := os.Stat(p); err == nil {
				return p, nil
			}
		}
	}
	dir, err := os.Getwd()
	if err != nil {
		return "", fmt.Errorf("find the clinic's policy: %w", err)
	}
	for {
		p := filepath.Join(dir, name)
		switch _, err := os.Stat(p); {
		case err == nil:
			if wd, err := os.Getwd(); err == nil {
				if rel, err := filepath.Rel(wd, p); err == nil {
					return rel, nil
				}
			}
			return p, nil
		case !errors.Is(err, fs.ErrNotExist):
			return "", fmt.Errorf("find the clinic's policy: %w", unwrapPath(err))
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			return "", nil
		}
		dir = parent
	}
}

// under lays the clinic's policy over the engine and says in a few words which one was used.
func (a *app) under(eng *compiler.Compiler, flag string, args []string, files map[string]*load.File) (*compiler.Compiler, []finding.Finding, string, error) {
	name, err := policyFile(flag, args)
	if err != nil || name == "" {
		return eng, nil, "no clinic policy", err
	}
	f, err := eng.Reader.Path(name)
	if err != nil {
		return nil, nil, "", fmt.Errorf("cannot read the policy: %w", unwrapPath(err))
	}
	files[f.Name] = f
	strict, found := eng.Under(f)
	return strict, found, "policy " + filepath.ToSlash(name), nil
}
