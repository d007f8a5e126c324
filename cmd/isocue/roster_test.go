package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"isocue.example/cmd/isocue/cli"
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/load"
)

// A run over many clients that is killed at any moment leaves whole files or none, and the next run goes on to the same bytes
// as one that was never killed.
func TestRosterKilled(t *testing.T) {
	args := func(dir, pack string) []string {
		return []string{"roster", "handgrip-alternating", "--clients", filepath.Join(dir, "clients"), "--start", "2027-01-04", "--now", "2027-01-03T09:00:00Z", "--pack", pack}
	}
	if dir := os.Getenv("ISOCUE_ROSTER"); dir != "" {
		code, _, errw := run(args(dir, filepath.Join(dir, "packs"))...)
		fmt.Fprint(os.Stderr, errw)
		os.Exit(code)
	}
	dir := t.TempDir()
	demo, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(dir, "clients"), 0o700); err != nil {
		t.Fatal(err)
	}
	const clients = 40
	for i := range clients {
		src := bytes.ReplaceAll(demo, []byte("plover-12"), fmt.Appendf(nil, "plover-%d", i))
		if err := os.WriteFile(filepath.Join(dir, "clients", fmt.Sprintf("%d.yaml", i)), src, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	kills := 0
	for round := range 12 {
		cmd := exec.Command(os.Args[0], "-test.run", "^TestRosterKilled$")
		cmd.Env = append(os.Environ(), "ISOCUE_ROSTER="+dir)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(30+11*round) * time.Millisecond)
		cmd.Process.Kill()
		if cmd.Wait() != nil {
			kills++
		}
		whole(t, filepath.Join(dir, "packs"))
	}
	if kills == 0 {
		t.Error("no run was killed before its end")
	}
	if code, out, errw := run(args(dir, filepath.Join(dir, "packs"))...); code != cli.ExitOK || !strings.Contains(out, fmt.Sprint(clients, " clients")) {
		t.Fatalf("%d\n%s%s", code, out, errw)
	}
	if code, _, errw := run(args(dir, filepath.Join(dir, "fresh"))...); code != cli.ExitOK {
		t.Fatal(errw)
	}
	for i := range clients {
		for _, name := range []string{"plan.json", "calendar.ics"} {
			a, err := os.ReadFile(filepath.Join(dir, "packs", fmt.Sprint("plover-", i), name))
			b, err2 := os.ReadFile(filepath.Join(dir, "fresh", fmt.Sprint("plover-", i), name))
			if err != nil || err2 != nil || !bytes.Equal(a, b) {
				t.Fatalf("client %d: %s differs from that of a run that was not killed: %v %v", i, name, err, err2)
			}
		}
	}
}

// whole holds every file that stands in the packs to its form.
func whole(t *testing.T, packs string) {
	t.Helper()
	plans, _ := filepath.Glob(filepath.Join(packs, "*", "plan.json"))
	for _, name := range plans {
		src, err := os.ReadFile(name)
		if err == nil {
			_, err = load.ReadPlan(src)
		}
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	calendars, _ := filepath.Glob(filepath.Join(packs, "*", "calendar.ics"))
	for _, name := range calendars {
		src, err := os.ReadFile(name)
		if err == nil {
			_, err = calendar.Read(src)
		}
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
}
