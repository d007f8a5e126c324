package cli

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var kept [][]byte

// A file that takes too long, or too much, ends the process with exit code 2 and a sentence, and writes nothing. The process is
// this test's own binary, slowed down by a hook.
func TestGivesUp(t *testing.T) {
	if bound := os.Getenv("ISOCUE_PATIENCE"); bound != "" {
		patience.Every = time.Millisecond
		if bound == "time" {
			patience.Time, patience.Slow = 20*time.Millisecond, func() {
				for { // only the watchdog ends it
				}
			}
		} else {
			patience.Heap, patience.Slow = 8<<20, func() {
				for { // only the watchdog ends it, and it counts from its first look on, whenever that is
					kept = append(kept, make([]byte, 1<<20))
					time.Sleep(5 * time.Millisecond)
				}
			}
		}
		os.Exit(Run(strings.Fields(os.Getenv("ISOCUE_LINE")), strings.NewReader(""), os.Stdout, os.Stderr))
	}
	root, err := filepath.Abs(filepath.Join("..", "..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	demo := filepath.ToSlash(filepath.Join(root, "testdata", "demo"))
	for _, line := range []string{
		"lint " + demo + "/unsafe.cue --record ledger.jsonl --by me --format json",
		"compile handgrip-alternating --client " + demo + "/client.yaml --start 2027-01-04 --now 2027-01-03T09:00:00Z --pack pack",
		"new protocol ours.cue",
	} {
		for bound, says := range map[string]string{"time": " took over 0.02 s of the processor", "heap": " took over 8 MB of memory"} {
			dir := t.TempDir()
			cmd := exec.Command(os.Args[0], "-test.run", "^TestGivesUp$")
			cmd.Dir = dir
			cmd.Env = append(os.Environ(), "ISOCUE_PATIENCE="+bound, "ISOCUE_LINE="+line)
			var out, errw bytes.Buffer
			cmd.Stdout, cmd.Stderr = &out, &errw
			err := cmd.Run()
			var exit *exec.ExitError
			if !errors.As(err, &exit) || exit.ExitCode() != ExitCannotRun {
				t.Errorf("%s, %s: %v, want exit code 2\n%s%s", bound, line, err, out.String(), errw.String())
			}
			if s := errw.String(); out.Len() > 0 || !strings.HasPrefix(s, "isocue: ") || !strings.Contains(s, says+": stopped at the limit; ") || strings.Count(s, "\n") != 1 {
				t.Errorf("%s, %s: says %q and on standard output %q", bound, line, s, out.String())
			}
			if es, err := os.ReadDir(dir); err != nil || len(es) > 0 {
				t.Errorf("%s, %s: left %v, %v", bound, line, es, err)
			}
		}
	}
}
