//go:build full

package hostile

import (
	"bufio"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Checks by the system's own eye. They need strace and unshare.

// tool is a program that must be there.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// traced runs a line under strace and gives the calls of the system that it made.
func traced(t *testing.T, strace, dir string, l line, options ...string) []string {
	t.Helper()
	log := filepath.Join(t.TempDir(), "calls")
	cmd := exec.Command(strace, append(append(append([]string{"-f", "-qq", "-y", "-s", "4096", "-o", log}, options...), program), strings.Fields(l.args)...)...)
	cmd.Dir, cmd.Env = dir, []string{}
	if l.stdin != "" {
		in, err := os.Open(filepath.Join(dir, l.stdin))
		if err != nil {
			t.Fatal(err)
		}
		defer in.Close()
		cmd.Stdin = in
	}
	cmd.Run()
	if code := cmd.ProcessState.ExitCode(); code != l.code {
		t.Errorf("%s under strace: exit code %d, want %d", l.args, code, l.code)
	}
	b, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for s := bufio.NewScanner(strings.NewReader(string(b))); s.Scan(); {
		_, call, _ := strings.Cut(s.Text(), " ")
		out = append(out, strings.TrimSpace(call))
	}
	return out
}

// opened is what a call opens to write, makes, moves or removes.
var opened = regexp.MustCompile(`^(openat|open|creat|mkdirat|mkdir|linkat|link|symlinkat|symlink|renameat2|renameat|rename|unlinkat|unlink|rmdir|truncate|mknodat|mknod|chmod|fchmodat|chown|utimensat|mount)\((.*)`)

// No verb opens a socket, and none opens, makes, moves or removes a file outside the folder that it runs in.
func TestCallsOfTheSystem(t *testing.T) {
	strace := tool(t, "strace")
	work, err := os.MkdirTemp(filepath.Dir(program), "traced")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(work)
	scene(t, work)
	writes, calls := 0, 0
	for _, l := range lines {
		for _, c := range traced(t, strace, work, l, "-e", "trace=network,file,io_uring_setup") {
			calls++
			name, _, _ := strings.Cut(c, "(")
			if slices.Contains([]string{"socket", "socketpair", "connect", "bind", "listen", "accept", "accept4", "sendto", "sendmsg", "recvfrom", "recvmsg", "io_uring_setup"}, name) {
				t.Errorf("%s: %s", l.args, c)
			}
			m := opened.FindStringSubmatch(c)
			if m == nil || strings.HasPrefix(m[1], "open") && !regexp.MustCompile(`O_(WRONLY|RDWR|CREAT|TRUNC|TMPFILE)`).MatchString(m[2]) {
				continue
			}
			writes++
			for _, q := range regexp.MustCompile(`"((?:[^"\\]|\\.)*)"`).FindAllStringSubmatch(m[2], -1) {
				p := q[1]
				if !filepath.IsAbs(p) {
					p = filepath.Join(work, p)
				}
				if rel, err := filepath.Rel(work, p); (err != nil || !filepath.IsLocal(rel)) && !strings.HasPrefix(p, "/proc/self/fd/") {
					t.Errorf("%s: writes outside the folder: %s", l.args, c)
				}
			}
		}
	}
	t.Logf("%d lines, %d calls, %d of them to write, none of a socket", len(lines), calls, writes)
	if calls < 500 || writes < 15 {
		t.Errorf("only %d calls seen, %d of them to write", calls, writes)
	}
	// what this looks for, it finds: a program that does open a socket
	probe := filepath.Join(t.TempDir(), "calls")
	cmd := exec.Command(strace, "-f", "-qq", "-o", probe, "-e", "trace=network,file,io_uring_setup", os.Args[0])
	cmd.Env = []string{"ISOCUE_PROBE=1"}
	cmd.Run()
	if b, err := os.ReadFile(probe); err != nil || !strings.Contains(string(b), "socket(") {
		t.Errorf("strace shows no socket of a program that opens one: %v", err)
	}
}

// Every verb works where there is no network at all, not even the machine's own.
func TestNoNetwork(t *testing.T) {
	unshare := tool(t, "unshare")
	dir := t.TempDir()
	scene(t, dir)
	for _, l := range lines {
		cmd := exec.Command(unshare, append([]string{"--user", "--map-root-user", "--net", program}, strings.Fields(l.args)...)...)
		cmd.Dir, cmd.Env = dir, []string{}
		if l.stdin != "" {
			in, err := os.Open(filepath.Join(dir, l.stdin))
			if err != nil {
				t.Fatal(err)
			}
			defer in.Close()
			cmd.Stdin = in
		}
		cmd.Run()
		if code := cmd.ProcessState.ExitCode(); code != l.code {
			t.Errorf("%s without a network: exit code %d, want %d", l.args, code, l.code)
		}
	}
	b, err := exec.Command(unshare, "--user", "--map-root-user", "--net", "cat", "/proc/net/dev").Output()
	if err != nil || strings.Count(string(b), ":") != 1 || !strings.Contains(string(b), "lo:") {
		t.Errorf("there is a network: %v\n%s", err, b)
	}
}

// A compile into a pack, killed at the very calls that put its files in their places: what stands then is whole, and so is what
// lies beside.
func TestKilledAtTheCall(t *testing.T) {
	strace := tool(t, "strace")
	fresh, again := states(t)
	for _, c := range []struct {
		call, file    string
		again         bool
		state, beside int
	}{
		{"linkat", "calendar.ics", false, 0, 0},
		{"linkat", "handout.html", false, 1, 0},
		{"linkat", "session.html", false, 2, 0},
		{"linkat", "plan.json", false, 3, 0},
		{"renameat", "calendar.ics", true, 0, 1},
		{"renameat", "handout.html", true, 1, 1},
		{"renameat", "session.html", true, 2, 1},
		{"renameat", "plan.json", true, 3, 1},
	} {
		dir := t.TempDir()
		args, of := first, fresh
		if c.again {
			plain(t, dir, 0, forDemo(first)...)
			args, of = second, again
		}
		cmd := exec.Command(strace, append([]string{"-f", "-qq", "-o", filepath.Join(t.TempDir(), "calls"), "-P", "pack/" + c.file,
			"-e", "trace=" + c.call, "-e", "inject=" + c.call + ":signal=SIGKILL", program}, forDemo(args)...)...)
		cmd.Dir, cmd.Env = dir, []string{}
		cmd.Run()
		p, beside := packOf(t, filepath.Join(dir, "pack"))
		if cmd.ProcessState.ExitCode() == 0 || at(p, of) != c.state || len(beside) != c.beside {
			t.Errorf("killed at %s of %s: exit code %d, state %d with %d files beside, want %d with %d", c.call, c.file, cmd.ProcessState.ExitCode(), at(p, of), len(beside), c.state, c.beside)
		}
		for _, b := range beside {
			if !of[4].has(b) {
				t.Errorf("killed at %s of %s: %d bytes of a file beside", c.call, c.file, len(b))
			}
		}
		plain(t, dir, 0, forDemo(args)...)
		if p, _ := packOf(t, filepath.Join(dir, "pack")); at(p, of) != 4 {
			t.Errorf("run again after %s of %s: state %d", c.call, c.file, at(p, of))
		}
	}
}
