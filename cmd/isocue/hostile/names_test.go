//go:build unix

package hostile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Whatever a file is called, in its name or in that of its folder, what is said of it is said on its own line, without a character
// that a terminal obeys; and so is what is said of the words of a command line.
func TestNamesSaid(t *testing.T) {
	t.Parallel()
	w := &worst{}
	for i, name := range []string{"a\x1b[2Jb", "a\nisocue: wrote all\n", "a\u202eb", "a\u009b31mb", "a\rb", "a\u2028b", "\x07", "a\xffb", "-rf"} {
		if !some(i) {
			continue
		}
		dir, err := os.MkdirTemp(filepath.Dir(program), "names")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		for file, content := range map[string]string{name + ".cue": text(t, "testdata/demo/unsafe.cue"), name + "/" + name + ".yaml": "modality: x\n",
			name + ".json": "[", name + "/client.yaml": text(t, "testdata/demo/client.yaml"), name + "/policy.cue": "limits: \"nothing\": x: 1\n"} {
			put(t, dir, file, content)
		}
		if err := os.Symlink("/dev/zero", filepath.Join(dir, name+".yaml")); err != nil {
			t.Fatal(err)
		}
		before := listing(t, dir)
		said := func(args ...string) {
			o := call{dir: dir, args: args}.run(t)
			w.add(strings.Join(args, " "), o)
			if bad := o.bounds(); bad != "" {
				t.Errorf("%q: %s", args, bad)
			}
			for _, s := range []string{o.out, o.err} {
				if strings.Contains("\n"+s, "\nisocue: wrote all") || strings.ContainsRune(s, '\r') {
					t.Errorf("%q: a name has a line of its own: %q", args, s)
				}
			}
		}
		for _, file := range []string{name + ".cue", name + ".json", name + ".yaml", name + "/" + name + ".yaml", name + "/client.yaml", name + "/policy.cue", name + "/gone.cue", name} {
			for n, x := range ways {
				if (full && n%2 == i%2 || n%6 == 0) && x.name != "compile --client" && !(x.name == "lint --record" && strings.HasSuffix(file, "gone.cue")) {
					said(x.args("./" + file)...)
				}
			}
		}
		for _, args := range [][]string{{name}, {"lint", name}, {"lint", "--" + name}, {"lint", "--format", name, "handgrip-start"}, {"explain", name}, {"help", name},
			{"compile", "handgrip-start", "--client", demo(), "--start", name}, {"compile", "handgrip-start", "--client", demo(), "--start", "2027-01-04", "--pause", name},
			{"rules", "--about", name}, {"ledger", "--since", name}, {"new", name, "x.cue"}, {"new", "client", name}, {"completion", name}, {"lint", "-", "--stdin-filename", name},
			{"compile", "handgrip-start", "--client", demo(), "--start", "2027-01-04", "--now", name}, {"compile", "handgrip-start", "--client", demo(), "--start", "2027-01-04", "-o", name},
			{"lint", "handgrip-start", "--color", name}, {"__complete", "lint", name}} {
			said(args...)
		}
		if after := listing(t, dir); after != before {
			t.Errorf("%q: something was written:\n%s\nbefore:\n%s", name, after, before)
		}
		// a name is also what a file is written to, and told as written
		for _, args := range [][]string{{"new", "client", "./" + name + "-new.yaml"}, {"compile", "handgrip-start", "--client", demo(), "--start", "2027-01-04", "--now", now, "-o", "./" + name + "-new.ics"},
			{"compile", "handgrip-start", "--client", demo(), "--start", "2027-01-04", "--now", now, "--pack", "./" + name + "-pack"}} {
			said(args...)
		}
	}
	t.Log(w)
}
