//go:build unix

package hostile

import (
	"maps"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
)

// places makes one of each thing that stands where a file is expected, each under every ending, and says what of it is told.
func places(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, ending := range []string{".cue", ".yaml", ".json"} {
		at := func(name, says string) string {
			out[name+ending] = says
			return filepath.Join(dir, name+ending)
		}
		must(syscall.Mkfifo(at("pipe", "is a pipe"), 0o600))
		for _, dev := range []string{"zero", "urandom", "null", "tty"} {
			must(os.Symlink("/dev/"+dev, at("dev-"+dev, "is a device")))
		}
		must(os.Symlink("loop"+ending, at("loop", "too many levels of symbolic links")))
		must(os.Symlink("gone", at("nowhere", "no such file or directory")))
		must(os.Symlink("pipe"+ending, at("to-pipe", "is a pipe")))
		must(os.Mkdir(at("folder", "is a folder"), 0o700))
		out["gone"+ending] = "no such file or directory"
		out["pipe"+ending+"/x"+ending] = "not a directory"
		out[strings.Repeat("n", 300)+ending] = "file name too long"
	}
	l, err := net.Listen("unix", filepath.Join(dir, "socket.cue"))
	must(err)
	t.Cleanup(func() { l.Close() })
	out["socket.cue"] = "is a socket"
	return out
}

// Whatever stands where a file should, is told and left alone: nothing waits for it, nothing of it is read, nothing is written.
func TestPlaces(t *testing.T) {
	dir, err := os.MkdirTemp(filepath.Dir(program), "places")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	things, before, w := places(t, dir), listing(t, dir), &worst{}
	names := slices.Sorted(maps.Keys(things))
	for i, thing := range names {
		says := things[thing]
		for n, x := range ways {
			if !full && (i+n)%4 > 0 {
				continue
			}
			if x.name == "lint --record" && strings.HasPrefix(thing, "gone.") {
				continue // a ledger begins so
			}
			o := call{dir: dir, args: x.args("./" + thing)}.run(t)
			label := thing[max(0, len(thing)-40):] + ", " + x.name
			w.add(label, o)
			if bad := o.bounds(); bad != "" || o.code != 2 {
				t.Errorf("%s: exit code %d, %s\n%s%s", label, o.code, bad, o.out, o.err)
			}
			told, kind := says, strings.HasPrefix(says, "is a ")
			switch {
			case kind && (x.name == "ledger" || x.name == "lint --record"):
				told = "is not a regular file"
			case says == "is a folder" && x.args(thing)[0] == "lint" && x.args(thing)[1] == thing:
				told = "holds no file to judge"
			}
			if !strings.Contains(o.err, told) && !strings.Contains(o.err, "no such ledger") {
				t.Errorf("%s: says %q, want %q", label, o.err, told)
			}
		}
	}
	if after := listing(t, dir); after != before {
		t.Errorf("something was written:\n%s\nbefore:\n%s", after, before)
	}
	t.Log(w)
	if w.runs < len(names)*len(ways)/5 {
		t.Errorf("only %d runs", w.runs)
	}
}

// Standard input that never ends, is a folder or is closed, and a standard output that takes nothing.
func TestStreams(t *testing.T) {
	dir := t.TempDir()
	w := &worst{}
	type row struct {
		name string
		call call
		code int
		says string // on standard output for 1, on standard error for 2
	}
	rows := []row{
		{"zeros without end", call{stdin: "/dev/zero", args: []string{"lint", "-"}}, 1, "file is larger than allowed"},
		{"noise without end", call{stdin: "/dev/urandom", args: []string{"lint", "-", "--stdin-filename", "a.yaml"}}, 1, "file is larger than allowed"},
		{"a folder", call{stdin: dir, args: []string{"lint", "-"}}, 2, "read standard input: "},
		{"closed", call{before: "exec 0<&-", args: []string{"lint", "-"}}, 1, "file is empty"}, // the Go runtime opens nothing in its place
		{"nothing", call{stdin: "/dev/null", args: []string{"lint", "-"}}, 1, "file is empty"},
		{"a client without end", call{stdin: "/dev/zero", args: []string{"compile", "handgrip-alternating", "--client", "-", "--start", "2027-01-04", "--now", now, "-o", "a.ics"}}, 1, ""},
	}
	if runtime.GOOS == "linux" {
		rows = append(rows, row{"output that is full", call{before: "exec > /dev/full", args: []string{"lint", "handgrip-alternating"}}, 2, "no space left on device"},
			row{"errors that are full", call{before: "exec 2> /dev/full", args: []string{"compile", "handgrip-alternating", "--client", demo(), "--start", "2027-01-04", "--now", now, "--pack", "pack"}}, 2, ""})
	}
	for _, c := range rows {
		c.call.dir = dir
		o := c.call.run(t)
		w.add(c.name, o)
		if bad := o.bounds(); bad != "" && c.says != "" {
			t.Errorf("%s: %s", c.name, bad)
		}
		if o.code != c.code || !strings.Contains(map[bool]string{true: o.out, false: o.err}[c.code == 1 && c.says != ""], c.says) {
			t.Errorf("%s: exit code %d, says %q and %q", c.name, o.code, o.out, o.err)
		}
	}
	t.Log(w)
}
