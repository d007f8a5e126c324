package docs

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// The visible top level is fixed: whoever opens the repository sees these names and no others.
func TestTopLevel(t *testing.T) {
	want := []string{"DEVELOPERS.md", "README.md", "cmd", "compiler", "docs", "go.mod", "go.sum", "protocols", "schema", "testdata"}
	var have []string
	out, err := exec.Command("git", "-C", root, "ls-files").Output()
	if err == nil && len(out) > 0 {
		for _, f := range strings.Fields(string(out)) {
			top, _, _ := strings.Cut(f, "/")
			if !strings.HasPrefix(top, ".") && !slices.Contains(have, top) {
				have = append(have, top)
			}
		}
	} else { // not a checkout: the folder itself
		es, err := os.ReadDir(root)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range es {
			if !strings.HasPrefix(e.Name(), ".") && !strings.HasSuffix(e.Name(), ".ics") {
				have = append(have, e.Name())
			}
		}
	}
	slices.Sort(have)
	if !slices.Equal(have, want) {
		t.Errorf("top level is %v, allowed: %v", have, want)
	}
}

type listed struct {
	ImportPath   string
	Imports      []string
	Deps         []string
	TestImports  []string
	XTestImports []string
}

func packages(t *testing.T) (out []listed) {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports,Deps,TestImports,XTestImports", "./...")
	cmd.Dir = root
	b, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	for d := json.NewDecoder(bytes.NewReader(b)); d.More(); {
		var p listed
		if err := d.Decode(&p); err != nil {
			t.Fatal(err)
		}
		out = append(out, p)
	}
	return out
}

const mod = "isocue.example/"

// The import order goes one way. Each ban has its reason.
func TestImportOrder(t *testing.T) {
	shared := []string{"finding", "unit", "tree", "near", "record", "zone"}
	arithmetic := []string{"dose", "session", "schedule", "calendar"}
	ps := packages(t)
	if len(ps) < 15 {
		t.Fatalf("only %d packages listed", len(ps))
	}
	in := func(path, prefix string, names []string) bool {
		for _, n := range names {
			if path == mod+prefix+n {
				return true
			}
		}
		return false
	}
	for _, p := range ps {
		bans := []struct {
			applies bool
			banned  func(string) bool
			deep    bool
			reason  string
		}{
			{in(p.ImportPath, "compiler/", shared), func(x string) bool { return strings.HasPrefix(x, mod) && !in(x, "compiler/", shared) }, true,
				"shared types stand at the bottom: whatever they import, everybody imports"},
			{in(p.ImportPath, "compiler/", append(arithmetic, shared...)), func(x string) bool { return strings.HasPrefix(x, "cuelang.org/go") }, true,
				"arithmetic and calendar are pure: no evaluator under a number that a client sets"},
			{in(p.ImportPath, "compiler/", arithmetic), func(x string) bool {
				return in(x, "compiler/", []string{"load", "rule", "check", "report"}) || strings.Contains(x, "/internal/")
			}, true, "the two columns meet only in compiler"},
			{strings.HasPrefix(p.ImportPath, mod+"compiler"), func(x string) bool { return x == "github.com/spf13/cobra" }, true,
				"the command line stands on top; nothing below knows it"},
			{strings.HasPrefix(p.ImportPath, mod+"compiler/"), func(x string) bool { return x == mod+"compiler" || strings.HasPrefix(x, mod+"cmd") }, true,
				"only compiler knows the order of work, and only cmd calls it"},
			{p.ImportPath != mod+"cmd/isocue/cli" && p.ImportPath != mod+"cmd/isocue/docs", func(x string) bool { return x == "github.com/spf13/cobra" }, false,
				"cobra is cli's own affair; docs reads its tree"},
			{true, func(x string) bool {
				return strings.HasPrefix(x, "github.com/google/go-cmp") || strings.HasPrefix(x, "github.com/arran4/golang-ical") || strings.HasPrefix(x, "github.com/rogpeppe/go-internal/testscript")
			}, false, "these are for tests"},
			{!in(p.ImportPath, "compiler/", []string{"internal/cueval", "internal/guard", "load", "rule", "check"}) && p.ImportPath != mod+"cmd/isocue/docs",
				func(x string) bool { return strings.HasPrefix(x, "cuelang.org/go") }, false, "CUE stays in the rooms that read files and rules"},
			{p.ImportPath != mod+"compiler/internal/cueval", func(x string) bool {
				return x == "cuelang.org/go/cue" || x == "cuelang.org/go/cue/cuecontext"
			}, false, "only cueval lets CUE evaluate"},
		}
		for _, b := range bans {
			list := p.Imports
			if b.deep {
				list = p.Deps
			}
			for _, x := range list {
				if b.applies && b.banned(x) {
					t.Errorf("%s imports %s: %s", p.ImportPath, x, b.reason)
				}
			}
		}
	}
}

// The clock and the environment are read in cmd alone, limits stand in schema, and no file names a place on one machine.
func TestSourceBans(t *testing.T) {
	n := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if d.Name() == ".git" {
				return filepath.SkipDir
			}
			return nil
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		ext := filepath.Ext(rel)
		if !slices.Contains([]string{".go", ".cue", ".md", ".yaml", ".txtar"}, ext) || rel == "cmd/isocue/docs/structure_test.go" {
			return nil
		}
		n++
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		s := string(b)
		for _, ban := range []string{"/work/", "/root/", "t.Skip("} {
			if strings.Contains(s, ban) {
				t.Errorf("%s holds %q: no machine's places, no check that can be passed over", rel, ban)
			}
		}
		if ext == ".go" && strings.HasPrefix(rel, "compiler/") && !strings.HasSuffix(rel, "_test.go") && !strings.Contains(rel, "/gen/") {
			for _, ban := range []string{"time.Now(", "os.Getenv(", "os.LookupEnv("} {
				if strings.Contains(s, ban) {
					t.Errorf("%s uses %s: the clock and the environment are read in cmd alone", rel, ban)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if n < 100 {
		t.Errorf("only %d files read", n)
	}
}
