//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"isocue.example/cmd/isocue/cli"
)

// nobody is a user that is in no group of anybody's.
const nobody = 65534

// withoutRoot runs something as a user for whom permissions count: root reads everything.
func withoutRoot(t *testing.T, dir string, do func()) {
	t.Helper()
	if os.Geteuid() != 0 {
		do()
		return
	}
	for d := dir; strings.HasPrefix(filepath.Base(filepath.Dir(d)), "Test") || d == dir; d = filepath.Dir(d) {
		if err := filepath.WalkDir(d, func(p string, _ os.DirEntry, err error) error {
			if err == nil {
				err = os.Lchown(p, nobody, nobody)
			}
			return err
		}); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Lchown(filepath.Dir(dir), nobody, nobody); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Setreuid(-1, nobody); err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := syscall.Setreuid(-1, 0); err != nil {
			t.Fatal(err)
		}
	}()
	do()
}

// What may not be read is named, and the answer is no: a record, a log, a policy, a folder that cannot be listed, one that cannot be entered.
func TestPermissions(t *testing.T) {
	demo, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		why, name string
		mode      os.FileMode
		folder    bool
		commands  [][]string
	}{
		{"nothing", "", 0, false, [][]string{{"lint", "."}, {"today", "."}}},
		{"a record", "other.yaml", 0, false, [][]string{{"lint", "."}, {"today", "."}, {"roster", "slow-breathing-even", "--clients", ".", "--start", "2027-01-04", "--pack", "packs"}}},
		{"a log", "plover-12.log.csv", 0, false, [][]string{{"lint", "."}, {"today", "."}}},
		{"a policy", "policy.cue", 0, false, [][]string{{"lint", "."}, {"today", "."}}},
		{"a folder that cannot be listed", "below", 0o300, true, [][]string{{"lint", "."}, {"today", "."}}},
		{"a folder that cannot be entered", "below", 0o600, true, [][]string{{"lint", "."}, {"today", "."}, {"roster", "slow-breathing-even", "--clients", ".", "--start", "2027-01-04", "--pack", "packs"}}},
	} {
		dir := t.TempDir()
		write := func(name string, src []byte) {
			if err := os.WriteFile(filepath.Join(dir, name), src, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		write("plover-12.yaml", demo)
		path := filepath.Join(dir, x.name)
		switch {
		case x.folder:
			if err := os.Mkdir(path, 0o700); err != nil {
				t.Fatal(err)
			}
			write(filepath.Join(x.name, "other.yaml"), []byte(strings.Replace(string(demo), "plover-12", "other", 1)))
		case x.name != "":
			write(x.name, []byte(map[string]string{"other.yaml": strings.Replace(string(demo), "plover-12", "other", 1), // each sound, for whoever may read it
				"plover-12.log.csv": "at,systolic,diastolic\n2027-01-03T07:00,134,84\n", "policy.cue": `reviewers: ["B"]`}[x.name]))
		}
		if x.name != "" {
			if err := os.Chmod(path, x.mode); err != nil {
				t.Fatal(err)
			}
		}
		t.Chdir(dir)
		withoutRoot(t, dir, func() {
			for _, args := range x.commands {
				code, out, errw := run(append(args, "--now", "2027-01-03T21:00:00Z")...)
				named := strings.Contains(out+errw, x.name)
				if x.name == "" != (code == cli.ExitOK) || !named {
					t.Errorf("%s: %q: exit %d\n%s%s", x.why, args, code, out, errw)
				}
			}
		})
		if x.folder {
			if err := os.Chmod(path, 0o700); err != nil { // so that it can be cleared away
				t.Fatal(err)
			}
		}
	}
}
