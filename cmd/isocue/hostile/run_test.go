//go:build unix

// Package hostile holds the tests that attack the program from outside: hostile files, a machine that fails in the middle of its
// work, and a look at what it leaves behind. It has no code of its own. The quick check takes a share of each attack, most of it in
// the test's own process; under the tag full all of it meets the built program.
package hostile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
	"unicode"

	"isocue.example/cmd/isocue/cli"
)

// What one run may take. There is no bound of time: a slow or busy machine would break it, and a run without end meets the
// program's own watchdog, or the end that go test sets.
const (
	maxMB     = 256 // of a process
	maxOutput = 4 << 20
)

var (
	program string // its file
	root    string // the repository
)

const now = "2027-01-03T09:00:00Z"

func TestMain(m *testing.M) {
	isProgram()
	dir, err := os.MkdirTemp("", "hostile")
	if err == nil {
		root, err = filepath.Abs(filepath.Join("..", "..", ".."))
	}
	if err == nil {
		program = filepath.Join(dir, "isocue")
		err = build(program)
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
	code     int
	peak     int           // MB of memory at most, of a process; never under what the test itself has
	cpu      time.Duration // of the processor, for the log alone
	out, err string
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

// one guards the working directory, which is the process's.
var one sync.Mutex

// run runs the program with an empty environment, in the quick check in this process where that shows as much.
func (c call) run(t testing.TB) outcome {
	t.Helper()
	if full || c.before != "" || len(c.env) > 0 {
		return c.process(t)
	}
	one.Lock()
	defer one.Unlock()
	home, err := os.Getwd()
	if err == nil {
		err = os.Chdir(c.dir)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer os.Chdir(home)
	var in io.Reader = strings.NewReader("")
	if c.stdin != "" {
		f, err := os.OpenFile(c.stdin, os.O_RDONLY|syscall.O_NONBLOCK, 0)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		in = f
	}
	var out, errw bytes.Buffer
	code := cli.Run(c.args, in, &out, &errw)
	return outcome{code: code, out: out.String(), err: errw.String()}
}

// process runs it as a process. Output goes through files, so that this process stays small: the system counts a child's memory
// from its parent's on.
func (c call) process(t testing.TB) (o outcome) {
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
	err := cmd.Run()
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
	case o.code < 0 || o.code > 2:
		return fmt.Sprintf("ended with %d", o.code)
	case full && o.peak > maxMB: // else this process, from which it begins, is large
		return fmt.Sprintf("took %d MB", o.peak)
	case len(o.out) > maxOutput || len(o.err) > maxOutput:
		return "said too much"
	case strings.Contains(o.err, "stopped at the limit"):
		return "met the watchdog: " + o.err[:min(len(o.err), 400)]
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
