package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cuelang.org/go/cue/cuecontext"

	"isocue.example/cmd/isocue/cli"
)

// export evaluates a CUE file and writes it as JSON by the library that `cue export` stands on, laid out as that command does;
// .ci/run holds the two against each other.
func export(t testing.TB, src []byte) []byte {
	t.Helper()
	v := cuecontext.New().CompileBytes(src)
	b, err := v.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := json.Indent(&out, b, "", "    "); err != nil {
		t.Fatal(err)
	}
	out.WriteByte('\n')
	return out.Bytes()
}

// piped runs isocue with a text as its standard input.
func piped(in []byte, args ...string) (code int, out, errw string) {
	var o, e bytes.Buffer
	code = cli.Run(args, bytes.NewReader(in), &o, &e)
	return code, o.String(), e.String()
}

// A protocol with a template and arithmetic is refused as it stands, and judged and compiled as what it comes to.
func TestTemplates(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	src, err := os.ReadFile("testdata/template/ours.cue")
	if err != nil {
		t.Fatal(err)
	}
	want, err := os.ReadFile("testdata/template/ours.json")
	if err != nil {
		t.Fatal(err)
	}
	if got := export(t, src); !bytes.Equal(got, want) {
		t.Fatalf("the template comes to %s, the file beside it holds %s", got, want)
	}
	if code, out, _ := run("lint", "testdata/template/ours.cue"); code != cli.ExitRefused || !strings.Contains(out, "pipes `cue export` into `isocue lint -`") {
		t.Errorf("the template by itself: exit code %d\n%s", code, out)
	}
	for _, name := range []string{"ours.json", "standard-input"} {
		if code, out, _ := piped(want, "lint", "-", "--stdin-filename", name); code != cli.ExitOK || !strings.HasPrefix(out, "1 file judged; no rule refused this") {
			t.Errorf("exported, as %s: exit code %d\n%s", name, code, out)
		}
	}
	code, out, errw := piped(want, "compile", "-", "--client", "testdata/demo/client.yaml", "--start", "2027-01-04", "--now", "2027-01-03T09:00:00Z", "--as", "table")
	if code != cli.ExitOK || !strings.Contains(out, "Ours") {
		t.Errorf("compiled: exit code %d\n%s%s", code, out, errw)
	}
	strong := bytes.Replace(src, []byte("#full: 0.30"), []byte("#full: 0.70"), 1)
	code, out, _ = piped(export(t, strong), "lint", "-", "--stdin-filename", "ours.json")
	if code != cli.ExitRefused || !strings.Contains(out, "ours.json:7:21: unsafe: load is 0.70 of maximal grip, allowed: at most 0.60 [grip-load-ceiling]\n    | \"fraction\": 0.70\n") {
		t.Errorf("a load of 0.70: exit code %d\n%s", code, out)
	}
}
