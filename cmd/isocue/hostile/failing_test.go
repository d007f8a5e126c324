//go:build unix

package hostile

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
)

// A disk that fills up at any point leaves what was there, says so and ends with 2. The full disk is a limit on the size of a file:
// the system answers in the same way, with fewer bytes written and an error.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	fresh, again := states(t)
	tried := 0
	sizes := []int{100} // blocks of 512 bytes; the calendar has 139 and a part
	if full {
		sizes = []int{1, 2, 8, 40, 60, 100, 138}
	}
	for _, blocks := range sizes {
		for i, of := range [][]pack{fresh, again} {
			dir := t.TempDir()
			args := forDemo(first)
			if i == 1 {
				plain(t, dir, 0, args...)
				args = forDemo(second)
			}
			before := listing(t, dir)
			o := call{dir: dir, args: args, before: fmt.Sprintf("ulimit -f %d", blocks)}.run(t)
			if tried++; o.code != 2 || !strings.Contains(o.err, "cannot write pack"+string(filepath.Separator)) || !strings.Contains(o.err, "file too large") {
				t.Errorf("%d blocks: exit code %d, says %q", blocks, o.code, o.err)
			}
			if p, beside := packOf(t, filepath.Join(dir, "pack")); at(p, of) != 0 || len(beside) > 0 || listing(t, dir) != before && i == 1 {
				t.Errorf("%d blocks: state %d, %d files beside\n%s\nbefore:\n%s", blocks, at(p, of), len(beside), listing(t, dir), before)
			}
			if _, err := os.Stat(filepath.Join(dir, "pack")); i == 0 && !os.IsNotExist(err) {
				t.Errorf("%d blocks: an empty pack is left", blocks)
			}
		}
	}
	others := [][]string{ // what else is written
		{"lint", filepath.Join(root, "protocols"), "--record", "ledger.jsonl", "--by", "B"},
		{"compile", "handgrip-alternating", "--client", demo(), "--start", "2027-01-04", "--now", now, "-o", "a.json"},
		{"compile", "handgrip-alternating", "--client", demo(), "--start", "2027-01-04", "--now", now, "-o", "a.csv"},
		{"new", "client", "a.yaml"},
	}
	if !full {
		others = others[:2]
	}
	for _, args := range others {
		dir := t.TempDir()
		o := call{dir: dir, args: args, before: "ulimit -f 1"}.run(t)
		if tried++; o.code != 2 || !strings.Contains(o.err, "file too large") {
			t.Errorf("%v: exit code %d, says %q", args, o.code, o.err)
		}
		for _, e := range left(t, dir) {
			if fi, err := e.Info(); err != nil || e.Name() != "ledger.jsonl" || fi.Size() > 0 { // an empty ledger tells of nothing
				t.Errorf("%v left %s", args, e.Name())
			}
		}
	}
	t.Logf("%d full disks", tried)
}

func left(t testing.TB, dir string) []os.DirEntry {
	t.Helper()
	es, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	return es
}

// nobody runs the program as a user who is not the owner of everything: for the superuser no folder is read-only.
func nobody(t testing.TB, dir string, args ...string) (code int, errw string) {
	t.Helper()
	cmd := exec.Command(program, args...)
	cmd.Dir, cmd.Env = dir, []string{}
	if os.Geteuid() == 0 {
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	var b bytes.Buffer
	cmd.Stderr = &b
	if err := cmd.Run(); err != nil && cmd.ProcessState == nil {
		t.Fatal(err)
	}
	return cmd.ProcessState.ExitCode(), b.String()
}

// A folder, or a file in it, that must not be written says so, and stays as it is.
func TestReadOnly(t *testing.T) {
	t.Parallel()
	dir, err := os.MkdirTemp(filepath.Dir(program), "readonly")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	client := filepath.Join(dir, "client.yaml")
	put(t, dir, "client.yaml", text(t, "testdata/demo/client.yaml"))
	must(os.Chmod(client, 0o644))
	must(os.Chmod(filepath.Dir(program), 0o755))
	folder := filepath.Join(dir, "folder")
	args := func(out ...string) []string {
		return append([]string{"compile", "handgrip-alternating", "--client", client, "--start", "2027-01-04", "--now", now}, out...)
	}
	plain(t, dir, 0, args("--pack", filepath.Join(folder, "pack"))...)
	plain(t, dir, 0, "lint", "handgrip-alternating", "--record", filepath.Join(folder, "ledger.jsonl"), "--by", "B", "--now", now)
	for _, p := range []string{"pack/plan.json", "pack/calendar.ics", "ledger.jsonl"} {
		must(os.Chmod(filepath.Join(folder, p), 0o444))
	}
	for _, p := range []string{filepath.Join(folder, "pack"), folder} {
		must(os.Chmod(p, 0o555))
	}
	must(os.Chmod(dir, 0o755))
	defer os.Chmod(filepath.Join(folder, "pack"), 0o700)
	defer os.Chmod(folder, 0o700)
	before := listing(t, dir)
	for i, x := range [][]string{
		args("-o", "folder/a.ics"), args("--pack", "folder/new"), args("--pack", "folder/pack"), args("--pack", "folder/pack", "--force"),
		args("--pack", "folder/pack", "--previous", "folder/pack/plan.json", "--pause", "2027-02-01..2027-02-09"),
		{"new", "client", "folder/a.yaml"}, {"new", "protocol", "folder/a.cue"},
		{"lint", "handgrip-alternating", "--record", "folder/new.jsonl", "--by", "B"},
		{"lint", "handgrip-start", "--record", "folder/ledger.jsonl", "--by", "B"},
	} {
		if !full && i%3 > 0 {
			continue
		}
		if code, says := nobody(t, dir, x...); code != 2 || !strings.Contains(says, "permission denied") || !strings.Contains(says, "folder") {
			t.Errorf("%v: exit code %d, says %q", x, code, says)
		}
	}
	if after := listing(t, dir); after != before {
		t.Errorf("something was written:\n%s\nbefore:\n%s", after, before)
	}
}

// Runs at once into one pack do not mix: calendar and plan are of one run, and a run that would write over a plan that it does not
// know says so.
func TestRunsAtOnce(t *testing.T) {
	t.Parallel()
	var of []pack
	starts := []string{"2027-01-04", "2027-01-05", "2027-01-06", "2027-01-07"}[:map[bool]int{true: 4, false: 3}[full]]
	args := func(start string) []string {
		return forDemo([]string{"compile", "handgrip-alternating", "--client", "", "--start", start, "--now", now, "--pack", "pack"})
	}
	for _, s := range starts {
		dir := t.TempDir()
		plain(t, dir, 0, args(s)...)
		p, _ := packOf(t, filepath.Join(dir, "pack"))
		of = append(of, p)
	}
	// no two of them share a day: a pause inside the others changes no session, and its sheet keeps its number
	pauses := []string{"2027-02-01..2027-02-06", "2027-02-08..2027-02-13", "2027-02-15..2027-02-20", "2027-02-22..2027-02-27"}
	rounds := 1
	if full {
		rounds = 6
	}
	for round := range rounds {
		dir := t.TempDir()
		codes := make([]outcome, len(starts))
		once := func(line func(i int) []string) {
			var wg sync.WaitGroup
			for i := range starts {
				wg.Go(func() { codes[i] = call{dir: dir, args: line(i)}.process(t) })
			}
			wg.Wait()
		}
		once(func(i int) []string { return args(starts[i]) })
		p, beside := packOf(t, filepath.Join(dir, "pack"))
		won := at(p, of)
		if won < 0 || len(beside) > 0 {
			t.Fatalf("round %d: a calendar of %d bytes beside a plan of %d, and %d files beside", round, len(p.calendar), len(p.plan), len(beside))
		}
		for i, o := range codes {
			if (o.code == 0) != (i == won) || o.code != 0 && !strings.Contains(o.err, "is the plan of an earlier compile and differs") {
				t.Errorf("round %d, run %d, where run %d won: exit code %d, %s", round, i, won, o.code, o.err)
			}
		}
		// all follow the same plan: one is written, or one after the other, and never two of them over one plan
		once(func(i int) []string {
			return forDemo([]string{"compile", "handgrip-alternating", "--client", "", "--previous", "pack/plan.json", "--pause", pauses[i], "--now", now, "--pack", "pack"})
		})
		p, _ = packOf(t, filepath.Join(dir, "pack"))
		written := 0
		for i, o := range codes {
			switch {
			case o.code == 0:
				written++
			case !strings.Contains(o.err, "was changed by another run while this one followed it"):
				t.Errorf("round %d, run %d: exit code %d, %s", round, i, o.code, o.err)
			}
		}
		if n := strings.Count(p.plan, `"from": "2027-02-`); written == 0 || n != written {
			t.Errorf("round %d: %d runs wrote, the plan holds %d pauses", round, written, n)
		}
		unfolded := strings.ReplaceAll(p.calendar, "\r\n ", "")
		if sheet := fmt.Sprintf("Sheet %d.", 1+written); !strings.Contains(p.plan, fmt.Sprintf(`"sheet": %d,`, 1+written)) || !strings.Contains(unfolded, sheet) {
			t.Errorf("round %d: %d runs wrote, and plan or calendar is not of the last", round, written)
		}
	}
}
