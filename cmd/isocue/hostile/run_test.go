//go:build unix

// Package hostile holds the tests that attack the built program from outside: hostile files, a machine that fails in the middle
// of its work, and a look at what it leaves behind. It has no code of its own.
package hostile

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode"
)

// What one run may take. The time is the processor's: the machine that tests run on may be busy.
const (
	maxSeconds = 1
	maxMB      = 256
	maxWait    = 20 * time.Second // by the clock: a run that waits for something is stopped
	maxOutput  = 4 << 20
)

var (
	program string // the built program
	root    string // the repository
)

const now = "2027-01-03T09:00:00Z"

func TestMain(m *testing.M) {
	if os.Getenv("ISOCUE_PROBE") != "" { // a program that does what ours does not
		if c, err := net.Dial("tcp", "127.0.0.1:9"); err == nil {
			c.Close()
		}
		os.Exit(0)
	}
	dir, err := os.MkdirTemp("", "hostile")
	if err == nil {
		root, err = filepath.Abs(filepath.Join("..", "..", ".."))
	}
	if err == nil {
		program = filepath.Join(dir, "isocue")
		build := exec.Command("go", "build", "-o", program, "isocue.example/cmd/isocue")
		build.Stdout, build.Stderr = os.Stderr, os.Stderr
		err = build.Run()
	}
	code := 1
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
	} else {
		code = m.Run()
	}
	os.RemoveAll(dir)
	os.Exit(code)
}

// outcome is how one run of the program ended.
type outcome struct {
	code       int
	cpu, clock time.Duration
	peak       int // MB of memory at most; never under what the test itself has
	out, err   string
	stopped    bool // by this test, after maxWait
}

// call is one run: a command line, in a folder, with a file as standard input.
type call struct {
	dir   string
	stdin string // name of a file, a pipe or a device; "" is an empty one
	args  []string
	env   []string
	// before, if there is one, is shell text that sets the scene in the same process, such as a limit.
	before string
}

// run runs the program with an empty environment. Output goes through files, so that this process stays small: the system counts
// a child's memory from its parent's on.
func (c call) run(t testing.TB) (o outcome) {
	t.Helper()
	cmd := exec.Command(program, c.args...)
	if c.before != "" {
		cmd = exec.Command("sh", append([]string{"-c", c.before + `; exec "$0" "$@"`, program}, c.args...)...)
	}
	cmd.Dir, cmd.Env = c.dir, append([]string{}, c.env...)
	var files [2]*os.File
	for i := range files {
		f, err := os.CreateTemp(filepath.Dir(program), "said")
		if err != nil {
			t.Fatal(err)
		}
		defer os.Remove(f.Name())
		defer f.Close()
		files[i] = f
	}
	cmd.Stdout, cmd.Stderr = files[0], files[1]
	if c.stdin != "" {
		in, err := os.OpenFile(c.stdin, os.O_RDONLY|syscall.O_NONBLOCK, 0)
		if err != nil {
			t.Fatal(err)
		}
		defer in.Close()
		cmd.Stdin = in
	}
	began := time.Now()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	stop := time.AfterFunc(maxWait, func() { o.stopped = true; cmd.Process.Kill() })
	err := cmd.Wait()
	stop.Stop()
	o.clock = time.Since(began)
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	o.code = cmd.ProcessState.ExitCode()
	o.cpu = cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	kb := cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss
	if runtime.GOOS == "darwin" { // bytes there
		kb /= 1024
	}
	o.peak = int(kb / 1024)
	o.out, o.err = said(t, files[0]), said(t, files[1])
	return o
}

// said is what a file of output holds, as far as a test wants to know.
func said(t testing.TB, f *os.File) string {
	t.Helper()
	b := make([]byte, maxOutput+1)
	n, err := f.ReadAt(b[:min(size(t, f), len(b))], 0)
	if n == 0 && err != nil && size(t, f) > 0 {
		t.Fatal(err)
	}
	return string(b[:n])
}

func size(t testing.TB, f *os.File) int {
	t.Helper()
	fi, err := f.Stat()
	if err != nil {
		t.Fatal(err)
	}
	return int(fi.Size())
}

// bounds says what of its bounds a run has passed, "" if it kept them all.
func (o outcome) bounds() string {
	switch {
	case o.stopped:
		return fmt.Sprintf("was still there after %v", maxWait)
	case o.code < 0 || o.code > 2:
		return fmt.Sprintf("ended with %d", o.code)
	case o.cpu > maxSeconds*time.Second:
		return fmt.Sprintf("took %v of the processor", o.cpu)
	case o.peak > maxMB:
		return fmt.Sprintf("took %d MB", o.peak)
	case len(o.out) > maxOutput || len(o.err) > maxOutput:
		return "said too much"
	case strings.Contains(o.err, "goroutine ") || strings.Contains(o.err, "this is a defect in isocue"):
		return "failed: " + o.err[:min(len(o.err), 400)]
	}
	for _, s := range []string{o.out, o.err} {
		if i := strings.IndexFunc(s, obeyed); i >= 0 {
			return fmt.Sprintf("says a control character: %q", s[max(0, i-40):min(len(s), i+40)])
		}
	}
	lines := strings.Split(strings.TrimSuffix(o.err, "\n"), "\n")
	if o.code == 2 && (o.out != "" || !strings.HasPrefix(lines[len(lines)-1], "isocue: ")) {
		return fmt.Sprintf("could not run, and says %q and on standard output %q", o.err[:min(len(o.err), 400)], o.out[:min(len(o.out), 200)])
	}
	return ""
}

// obeyed are the characters that a terminal obeys or that turn what is shown around; those of line ends are not.
func obeyed(r rune) bool {
	return unicode.IsControl(r) && !strings.ContainsRune("\n\r\t", r) || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0x200e || r == 0x200f || r == 0x061c
}

// listing is every file below a folder with its kind, mode, size and moment of change, a line each.
func listing(t testing.TB, dir string) string {
	t.Helper()
	var b bytes.Buffer
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		fi, err := d.Info()
		if err != nil {
			return err
		}
		if p != dir {
			fmt.Fprintf(&b, "%s %v %d %d\n", strings.TrimPrefix(p, dir), fi.Mode(), fi.Size(), fi.ModTime().UnixNano())
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// put writes a file below a folder.
func put(t testing.TB, dir, name, text string) {
	t.Helper()
	name = filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// text reads a file of the repository.
func text(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
