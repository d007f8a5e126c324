package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"golang.org/x/tools/txtar"

	"isocue.example/cmd/isocue/cli"
)

// inThisProcess copies a script with its commands exec isocue and stdin turned into our own.
func inThisProcess(t *testing.T, from, to string) string {
	t.Helper()
	a, err := txtar.ParseFile(from)
	if err != nil {
		t.Fatal(err)
	}
	a.Comment = regexp.MustCompile(`(?m)^((?:\[[^]]*\] )?(?:! )?)exec isocue\b`).ReplaceAll(a.Comment, []byte("${1}run"))
	a.Comment = regexp.MustCompile(`(?m)^((?:\[[^]]*\] )?)stdin `).ReplaceAll(a.Comment, []byte("${1}input "))
	if err := os.WriteFile(to, txtar.Format(a), 0o600); err != nil {
		t.Fatal(err)
	}
	return to
}

// standardInput is what the next command of a script reads there.
type standardInput struct{ text string }

func input(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: stdin FILE")
	}
	ts.Value(standardInput{}).(*standardInput).text = ts.ReadFile(args[0])
}

// one guards the working directory and the environment, which belong to the process and not to a script.
var one sync.Mutex

// read is what of the environment the program reads after its start.
var read = []string{"USER", "LOGNAME", "USERNAME", "SOURCE_DATE_EPOCH", "NO_COLOR", "ISOCUE_CALDAV_USER", "ISOCUE_CALDAV_PASSWORD"}

// inProcess runs a command line in this process, in the script's folder and with what of its environment the program reads.
func inProcess(ts *testscript.TestScript, args []string) (code int) {
	one.Lock()
	defer one.Unlock()
	home, err := os.Getwd()
	ts.Check(err)
	ts.Check(os.Chdir(ts.MkAbs(".")))
	defer os.Chdir(home)
	for _, name := range read {
		was, there := os.LookupEnv(name)
		if there {
			defer os.Setenv(name, was)
		} else {
			defer os.Unsetenv(name)
		}
		if v := ts.Getenv(name); v != "" {
			os.Setenv(name, v)
		} else {
			os.Unsetenv(name)
		}
	}
	in := ts.Value(standardInput{}).(*standardInput)
	text := in.text
	in.text = ""
	return cli.Run(args, strings.NewReader(text), ts.Stdout(), ts.Stderr())
}

// process runs a command line as a process of its own.
func process(ts *testscript.TestScript, args []string) (code int) {
	err := ts.Exec("isocue", args...)
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit):
		return exit.ExitCode()
	case err != nil:
		ts.Fatalf("run: %v", err)
	}
	return 0
}

// begins is exec isocue of a script that is run in this process: it succeeds, or with neg it fails.
func begins(ts *testscript.TestScript, neg bool, args []string, begin func(*testscript.TestScript, []string) int) {
	if code := begin(ts, args); (code == 0) == neg {
		ts.Fatalf("exit code %d", code)
	}
}

// exits CODE ARGS... runs isocue and demands the exact exit code; its output is for stdout and stderr.
func exits(ts *testscript.TestScript, neg bool, args []string, begin func(*testscript.TestScript, []string) int) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE ARGS...")
	}
	if code := begin(ts, args[1:]); fmt.Sprint(code) != args[0] {
		ts.Fatalf("exit code %d, want %s", code, args[0])
	}
}
