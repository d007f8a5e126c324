//go:build unix

package ledger

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A disk that fills up in the middle of a line: the writer says so, the ledger keeps what it had, and the next writer goes on.
// The full disk is a limit on the size of a file, which the system answers in the same way: fewer bytes written, and an error.
func TestFullDisk(t *testing.T) {
	if name := os.Getenv("ISOCUE_LEDGER_FULL"); name != "" {
		signal.Ignore(syscall.SIGXFSZ)
		fi, err := os.Stat(name)
		if err != nil {
			os.Exit(4)
		}
		room := syscall.Rlimit{Cur: uint64(fi.Size()) + 700, Max: uint64(fi.Size()) + 700}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &room); err != nil {
			os.Exit(5)
		}
		for i := range 20 {
			if _, err := Append(name, []Line{line(1000 + i)}); err != nil {
				fmt.Println("said:", err)
				os.Exit(0)
			}
			fmt.Println("written", i)
		}
		os.Exit(6)
	}
	name := filepath.Join(t.TempDir(), "l.jsonl")
	if _, err := Append(name, []Line{line(0), line(1)}); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(os.Args[0], "-test.run", "^TestFullDisk$")
	cmd.Env = append(os.Environ(), "ISOCUE_LEDGER_FULL="+name)
	var out bytes.Buffer
	cmd.Stdout = &out
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v\n%s", err, out.String())
	}
	n := strings.Count(out.String(), "written")
	if n == 0 || !strings.Contains(out.String(), "said: write ledger:") {
		t.Fatalf("the disk did not fill up in the middle:\n%s", out.String())
	}
	ls, torn, err := Read(name)
	if err != nil || torn || len(ls) != 2+n {
		t.Fatalf("%d lines after %d reported ones, torn %v, %v", len(ls), n, torn, err)
	}
	if _, err := Append(name, []Line{line(5000)}); err != nil {
		t.Fatal(err)
	}
	if ls, _, err := Read(name); err != nil || len(ls) != 3+n {
		t.Fatal(len(ls), err)
	}
}
