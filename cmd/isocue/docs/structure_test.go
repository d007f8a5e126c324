package docs

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"cuelang.org/go/cue/format"
)

// files lists the repository by slash paths: what git knows or would take, else the folder without its hidden parts.
func files(t *testing.T, tracked bool) (out []string) {
	t.Helper()
	args := []string{"-C", root, "ls-files", "-z"}
	if !tracked {
		args = append(args, "--cached", "--others", "--exclude-standard")
	}
	if b, err := exec.Command("git", args...).Output(); err == nil && len(b) > 0 {
		return strings.Split(strings.TrimRight(string(b), "\x00"), "\x00")
	}
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, p)
		if err != nil {
			return err
		}
		if d.IsDir() {
			if d.Name() == ".git" {
				return filepath.SkipDir
			}
			return nil
		}
		out = append(out, filepath.ToSlash(rel))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// built are the names that .gitignore keeps out, for a folder that is no checkout.
var built = []string{"demo.ics", "isocue", "isocue.exe"}

// The visible top level is fixed: whoever opens the repository sees these names and no others.
func TestTopLevel(t *testing.T) {
	want := []string{"DEVELOPERS.md", "README.md", "cmd", "compiler", "docs", "go.mod", "go.sum", "protocols", "schema", "testdata"}
	var have []string
	for _, f := range files(t, true) {
		top, _, _ := strings.Cut(f, "/")
		if !strings.HasPrefix(top, ".") && !slices.Contains(built, top) && !slices.Contains(have, top) {
			have = append(have, top)
		}
	}
	slices.Sort(have)
	if !slices.Equal(have, want) {
		t.Errorf("top level is %v, allowed: %v", have, want)
	}
}

// Every CUE file is as the cue command formats it, but for those that attack a reader by their bytes; a text with holes is no CUE and has
// another ending.
func TestCUEIsFormatted(t *testing.T) {
	n := 0
	for _, f := range files(t, false) {
		if path.Ext(f) != ".cue" || strings.HasPrefix(f, "testdata/hostile/") {
			continue
		}
		src, err := os.ReadFile(root + f)
		if err != nil {
			if os.IsNotExist(err) { // removed, not yet committed
				continue
			}
			t.Fatal(err)
		}
		n++
		if out, err := format.Source(src); err != nil || !bytes.Equal(out, src) {
			t.Errorf("%s is not formatted: cue fmt %s (%v)", f, f, err)
		}
	}
	if n < 300 {
		t.Errorf("only %d files were looked at", n)
	}
}

// sourceBans are texts that no file of the repository may hold. Each is written in two parts, so that this file does
// not hold it either.
var sourceBans = []struct{ text, reason string }{
	{"/wo" + "rk/", "a place on one machine"},
	{"/ro" + "ot/", "a place on one machine"},
	{"/tm" + "p/", "a place on one machine; tests use t.TempDir"},
	{"/ho" + "me/", "a place on one machine"},
	{"t.Sk" + "ip", "a check that can be passed over is no check"},
}

// No file names a place on one machine or skips a test.
func TestSourceBans(t *testing.T) {
	n := 0
	for _, name := range files(t, false) {
		b, err := os.ReadFile(filepath.Join(root, name))
		if err != nil || bytes.IndexByte(b, 0) >= 0 { // deleted but still tracked, or no text
			continue
		}
		n++
		for _, ban := range sourceBans {
			if i := bytes.Index(b, []byte(ban.text)); i >= 0 {
				t.Errorf("%s:%d holds %s: %s", name, 1+bytes.Count(b[:i], []byte("\n")), ban.text, ban.reason)
			}
		}
	}
	if n < 100 {
		t.Errorf("only %d files read", n)
	}
}

// ambient are the functions that read the world around the process, by import path.
var ambient = map[string][]string{
	"time": {"Now", "Since", "Until"},
	"os":   {"Getenv", "LookupEnv", "Environ", "ExpandEnv"},
}

// readsAmbient lists the places where a file uses one of them, called or passed on.
func readsAmbient(fset *token.FileSet, f *ast.File) (out []string) {
	names := map[string]string{} // name in this file -> import path
	for _, im := range f.Imports {
		p := strings.Trim(im.Path.Value, `"`)
		names[path.Base(p)] = p
		if im.Name != nil {
			names[im.Name.Name] = p
		}
	}
	ast.Inspect(f, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && slices.Contains(ambient[names[x.Name]], s.Sel.Name) {
				out = append(out, fset.Position(s.Pos()).String()+" uses "+names[x.Name]+"."+s.Sel.Name)
			}
		}
		return true
	})
	return out
}

// The clock and the environment are read in cli alone: the same input gives the same bytes, on any machine, whichever front end asks.
// What measures the built program from outside, in .ci, and what makes the docs are no part of it.
func TestClockAndEnvironmentStayInCli(t *testing.T) {
	fset := token.NewFileSet()
	n := 0
	for _, name := range files(t, false) {
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") || strings.HasPrefix(name, "cmd/isocue/cli/") || strings.HasPrefix(name, "cmd/isocue/docs/") || strings.HasPrefix(name, ".ci/") {
			continue
		}
		f, err := parser.ParseFile(fset, filepath.Join(root, name), nil, 0)
		if err != nil {
			if os.IsNotExist(err) {
				continue
			}
			t.Fatal(err)
		}
		n++
		for _, use := range readsAmbient(fset, f) {
			t.Errorf("%s: only cli reads the clock and the environment", use)
		}
	}
	if n < 30 {
		t.Errorf("only %d files read", n)
	}
	bad, err := parser.ParseFile(fset, "bad.go", "package bad\nimport clock \"time\"\nvar now = clock.Now\n", 0)
	if err != nil {
		t.Fatal(err)
	}
	if len(readsAmbient(fset, bad)) != 1 {
		t.Error("a clock under another name is not seen")
	}
}
