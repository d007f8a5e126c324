//go:build full

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"

	"isocue.example/cmd/isocue/cli"
)

// cueCommand is the real cue command, which ISOCUE_CUE names; .ci/run builds it and sets it. One that is missing or of another
// version than the module in go.mod is a failure.
func cueCommand(t *testing.T) string {
	t.Helper()
	path := os.Getenv("ISOCUE_CUE")
	out, err := exec.Command(path, "version").Output()
	if err != nil {
		t.Fatalf("ISOCUE_CUE is %q, allowed: a cue command that runs: %v", path, err)
	}
	want := "unknown"
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, d := range info.Deps {
			if d.Path == "cuelang.org/go" {
				want = d.Version
			}
		}
	}
	if !strings.Contains(string(out), want) {
		t.Fatalf("ISOCUE_CUE is %q, allowed: version %s, as in go.mod; found:\n%s", path, want, out)
	}
	return path
}

// offline is the environment of a cue command that reaches no registry and no cache but its own.
func offline(t *testing.T) []string {
	t.Helper()
	home := t.TempDir()
	return append(os.Environ(), "HOME="+home, "XDG_CACHE_HOME="+home, "CUE_CACHE_DIR="+home, "CUE_REGISTRY=none", "CUE_DEBUG=", "CUE_EXPERIMENT=")
}

// newClinic is a fresh clinic's folder, in a place whose name has a space, with links resolved: an editor compares paths.
func newClinic(t *testing.T) string {
	t.Helper()
	top, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(top, "the clinic")
	isocue(t, "new", "clinic", dir, "--now", "2027-01-03T09:00:00Z")
	return dir
}

// isocue runs a command that must succeed.
func isocue(t *testing.T, args ...string) {
	t.Helper()
	var out, errw bytes.Buffer
	if code := cli.Run(args, strings.NewReader(""), &out, &errw); code != cli.ExitOK {
		t.Fatalf("%q ends with %d: %s", args, code, errw.String())
	}
}
