package main

import (
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"isocue.example/cmd/isocue/cli"
)

// scene builds the folder that the examples of the verbs stand in: a clinic on the day before the demo client's start. The file
// that the example makes is not there yet; ours is what ours.cue holds.
func scene(t *testing.T, makes, ours string) {
	t.Helper()
	root, err := filepath.Abs(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	t.Setenv("SOURCE_DATE_EPOCH", "1798966800") // 2027-01-03T09:00:00Z
	put := func(name, from string, change ...string) {
		b, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(from)))
		if err != nil {
			t.Fatal(err)
		}
		if name == makes {
			return
		}
		if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(strings.NewReplacer(change...).Replace(string(b))), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	put("ours.cue", ours, "handgrip-start", "ours")
	put("ours-1.cue", "protocols/handgrip-start.cue", "handgrip-start", "ours")
	put("ours-2.cue", "protocols/handgrip-start.cue", "handgrip-start", "ours", "revision: 1", "revision: 2", "0.25", "0.26")
	put("protocols/ours.cue", "protocols/handgrip-start.cue", "handgrip-start", "ours")
	put("heron-07.yaml", "testdata/demo/client.yaml", "plover-12", "heron-07")
	put("clients/heron-07.yaml", "testdata/demo/client.yaml", "plover-12", "heron-07")
	put("heron-07.log.csv", "testdata/demo/plover-12.log.csv")
	put("clients/heron-07.log.csv", "testdata/demo/plover-12.log.csv")
	put("heron-07.sessions.csv", "testdata/demo/plover-12.sessions.csv")
	put("hard.cue", "testdata/demo/unsafe.cue")
	for _, ledger := range []string{"ledger.jsonl", "clinic.jsonl"} {
		if code, out, errw := run("lint", "hard.cue", "--record", ledger, "--by", "B. Reviewer"); code != cli.ExitRefused {
			t.Fatalf("the scene's ledger: %s%s", out, errw)
		}
	}
	if err := os.Remove("hard.cue"); err != nil {
		t.Fatal(err)
	}
}

// Every example of every verb works as it stands, pipes and redirections too. What it should leave behind is there.
func TestExamplesOfTheHelpPages(t *testing.T) {
	root := cli.Root()
	root.InitDefaultHelpCmd()
	for _, c := range root.Commands() {
		lines := strings.Split(strings.TrimSpace(c.Example), "\n")
		if c.Example == "" {
			t.Errorf("%s has no example", c.Name())
		}
		for _, line := range lines {
			line = strings.TrimSpace(line)
			t.Run(line, func(t *testing.T) { example(t, line) })
		}
	}
}

func example(t *testing.T, line string) {
	command, file, redirected := strings.Cut(line, " > ")
	from, to, pipe := strings.Cut(command, " | ")
	if !pipe {
		from, to = "", command
	}
	args := strings.Fields(to)
	if args[0] != "isocue" {
		t.Fatalf("%q runs something else", to)
	}
	args = args[1:]
	makes, ours := file, "protocols/handgrip-start.cue"
	if args[0] == "new" {
		makes = args[2]
	}
	if args[0] == "enter" { // as it stands where a trainer has set who enters
		t.Setenv("ISOCUE_BY", "L. Brandt")
	}
	if pipe { // something to evaluate
		ours = "testdata/template/ours.cue"
	}
	scene(t, makes, ours)
	if i := max(slices.Index(args, "--previous"), slices.Index(args, "--plan")); i >= 0 {
		pack := filepath.Dir(args[i+1])
		if code, _, errw := run("compile", "handgrip-alternating", "--client", "heron-07.yaml", "--start", "2027-01-04", "--pack", pack); code != cli.ExitOK {
			t.Fatalf("the scene's plan before: %s", errw)
		}
	}
	if args[0] == "publish" { // to an empty collection on this machine, in place of the one that the page names
		if code, _, errw := run("compile", "handgrip-alternating", "--client", "heron-07.yaml", "--start", "2027-01-04", "--pack", filepath.Dir(args[1])); code != cli.ExitOK {
			t.Fatalf("the scene's plan: %s", errw)
		}
		if err := os.WriteFile("heron-07.login", []byte("heron\nmade-up\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		s := httptest.NewServer(http.HandlerFunc(emptyCollection))
		t.Cleanup(s.Close)
		args[slices.Index(args, "--to")+1] = s.URL + "/training/"
	}
	if slices.Contains(args, "--refresh") { // it works inside a clinic's folder
		if code, _, errw := run("new", "clinic", "harbour"); code != cli.ExitOK {
			t.Fatalf("the scene's clinic: %s", errw)
		}
		t.Chdir("harbour")
	}
	if slices.Contains(args, "clients.csv") {
		if err := os.Rename(spreadsheetOf(t, ".", nil, "heron-08"), "clients.csv"); err != nil {
			t.Fatal(err)
		}
	}
	var in []byte
	if pipe {
		words := strings.Fields(from)
		if len(words) != 3 || words[0] != "cue" || words[1] != "export" {
			t.Fatalf("%q is no pipe that this test knows, allowed: cue export FILE", from)
		}
		src, err := os.ReadFile(words[2])
		if err != nil {
			t.Fatal(err)
		}
		in = export(t, src)
	}
	code, out, errw := piped(in, args...)
	if code != cli.ExitOK {
		t.Errorf("exit code %d\n%s%s", code, out, errw)
	}
	var made []string
	if redirected {
		if err := os.WriteFile(file, []byte(out), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if makes != "" {
		made = append(made, makes)
	}
	for _, flag := range []string{"-o", "--pack"} {
		if i := slices.Index(args, flag); i >= 0 {
			made = append(made, args[i+1])
		}
	}
	for _, name := range made {
		if fi, err := os.Stat(name); err != nil || !fi.IsDir() && fi.Size() == 0 {
			t.Errorf("%s is not there or empty: %v", name, err)
		}
	}
	if len(made) == 0 && strings.TrimSpace(out) == "" {
		t.Error("nothing is printed")
	}
}

// emptyCollection lists itself alone, as a calendar, and takes everything.
func emptyCollection(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodPut {
		w.WriteHeader(http.StatusCreated)
		return
	}
	w.Header().Set("Content-Type", "application/xml")
	w.WriteHeader(http.StatusMultiStatus)
	io.WriteString(w, `<multistatus xmlns="DAV:"><response><href>`+r.URL.Path+`</href><propstat><prop><resourcetype><collection/><calendar xmlns="urn:ietf:params:xml:ns:caldav"/></resourcetype></prop><status>HTTP/1.1 200 OK</status></propstat></response></multistatus>`)
}
