package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"isocue": main})
}

// full says that the tag full is given, as in `.ci/run`.
var full bool

// elsewhere are the scripts that the quick check does not run in this process. Those of true need a program of others, and are run
// under the tag full alone.
var elsewhere = map[string]bool{
	"new_clinic_hook.txtar": true,  // git
	"environment.txtar":     false, // an environment that libraries read when a process starts
}

// Every command as a user types it. Goldens are written anew with ISOCUE_UPDATE=1. A process for each of a thousand commands is most
// of what the scripts cost, so that the quick check runs them in this one; under the tag full each is a process of its own.
func TestScripts(t *testing.T) {
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join(root, "testdata", "script", "*.txtar"))
	if err != nil || len(files) < 40 {
		t.Fatalf("%d scripts, %v", len(files), err)
	}
	update := os.Getenv("ISOCUE_UPDATE") != ""
	dir, here, processes := t.TempDir(), []string{}, []string{}
	for _, f := range files {
		name := filepath.Base(f)
		outside, alone := elsewhere[name]
		switch {
		case full || update || alone && !outside:
			processes = append(processes, f)
		case !alone:
			here = append(here, inThisProcess(t, f, filepath.Join(dir, name)))
		}
	}
	if len(processes) > 0 {
		scripts(t, root, processes, update, process)
	}
	if len(here) > 0 {
		scripts(t, root, here, false, inProcess)
	}
}

// scripts runs some of them; begin runs one command of isocue and says its exit code.
func scripts(t *testing.T, root string, files []string, update bool, begin func(*testscript.TestScript, []string) int) {
	testscript.Run(t, testscript.Params{
		Files:               files,
		UpdateScripts:       update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Condition: func(cond string) (bool, error) {
			if cond != "full" {
				return false, fmt.Errorf("[%s] is no condition, allowed: [full]", cond)
			}
			return full, nil
		},
		Setup: func(e *testscript.Env) error {
			e.Setenv("DEMO", filepath.Join(root, "testdata", "demo"))
			e.Setenv("FOLLOW", filepath.Join(root, "testdata", "follow"))
			e.Setenv("NOW", "2027-01-03T09:00:00Z")
			e.Values[standardInput{}] = &standardInput{}
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"run":    func(ts *testscript.TestScript, neg bool, args []string) { begins(ts, neg, args, begin) },
			"input":  input,
			"exits":  func(ts *testscript.TestScript, neg bool, args []string) { exits(ts, neg, args, begin) },
			"counts": counts,
			"big":    big,
			"bytes":  rawBytes,
			"edit":   edit,
			"uids":   uids,
			"differ": func(ts *testscript.TestScript, neg bool, args []string) { agree(ts, neg, args, false) },
			"same":   func(ts *testscript.TestScript, neg bool, args []string) { agree(ts, neg, args, true) },
		},
	})
}
