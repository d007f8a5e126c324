package clinic

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
)

// NoPolicy stands in the place of a policy's name for the rule base alone, without a policy and without its waivers.
const NoPolicy = "none"

// sentAlong says whether a file of the clinic's own was found in a folder that was named, and is not that of the working directory:
// whoever sent the folder wrote it, and the reader of a judgement has to know.
func sentAlong(name string, folders []string) bool {
	wd, _ := os.Stat(".")
	for _, f := range folders {
		if fi, err := os.Stat(f); err == nil && fi.IsDir() && !os.SameFile(fi, wd) && filepath.Clean(f) == filepath.Dir(name) {
			return true
		}
	}
	return false
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
		j.policyDigest = policy.Digest
		strict, found := j.Under.Under(policy)
		j.Under, j.Found, j.Policy = strict, append(j.Found, found...), "policy "+filepath.ToSlash(name)
		if p.Policy == "" && sentAlong(name, p.Folders) {
			j.Policy += " of the folder itself (--policy none judges by the rule base alone)"
		}
	}
	if p.Policy == NoPolicy && p.Waivers == "" {
		p.Waivers = NoPolicy // they are signed by a policy's reviewers
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

// idle finds the policies and waivers of the folders judged that are not in force, whatever they are called and wherever they stand: a
// limit that somebody wrote down and that judges nothing is worse than none. What was named on the command line was chosen, and so was
// what it leaves out: of that is told.
func (j *Judging) idle(p Lint, walked []string) (out []finding.Finding, err error) {
	for _, x := range []struct {
		kind             load.Kind
		what, file, flag string
	}{{load.IsPolicy, "policy", "policy.cue", p.Policy}, {load.IsWaivers, "waivers file", "waivers.cue", p.Waivers}} {
		force, err := clinicFile(x.file, x.flag, p.Named)
		if err != nil {
			return nil, err
		}
		in, _ := os.Stat(force) // "" is none
		var told []string
		for _, n := range walked {
			f := j.Files[filepath.Clean(n)]
			if f == nil || f.Kind != x.kind {
				continue
			}
			if is, err := os.Stat(n); err == nil && in != nil && os.SameFile(in, is) {
				continue
			}
			if x.flag != "" {
				told = append(told, n)
				continue
			}
			out = append(out, finding.Finding{Rule: Misnamed, Verdict: finding.Malformed, Pos: finding.Pos{File: n, Line: 1, Column: 1},
				Message: fmt.Sprintf("%s is a %s that is not in use; in use: %s", filepath.Base(n), x.what, cmp.Or(filepath.ToSlash(force), "none")),
				Allowed: x.file + " in the folder that is judged, or in the working directory",
				Remedy:  fmt.Sprintf("put its lines into %s, or name it with --%s; if it is not meant to count, move it out of this folder", filepath.ToSlash(cmp.Or(force, x.file)), strings.TrimSuffix(x.file, ".cue")),

				Rationale: "A limit that somebody wrote down and that is not in force looks as if it were."})
		}
		if len(told) > 0 {
			j.Say("%s not in use: %s; in use: %s; to use its lines, put them into %s, or name it with --%s", x.what, strings.Join(told, ", "), cmp.Or(force, "none"), x.file, strings.TrimSuffix(x.file, ".cue"))
		}
	}
	return out, nil
}
