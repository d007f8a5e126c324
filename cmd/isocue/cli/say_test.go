package cli

import (
	"bytes"
	"errors"
	"regexp"
	"testing"
)

// broken is an input that fails as our own code might.
type broken struct{}

func (broken) Read([]byte) (int, error) { panic("a slip\nof ours \x1b[31m") }

// full is an output that takes nothing.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

// A slip of our own ends with 2 and one line that says so and where, not with a page of addresses.
func TestOwnSlip(t *testing.T) {
	var out, errw bytes.Buffer
	code := Run([]string{"lint", "-"}, broken{}, &out, &errw)
	want := regexp.MustCompile(`^isocue: this is a defect in isocue, not in your file: a slip of ours \[31m \(cmd/isocue/cli\.broken\.Read, say_test\.go:\d+\); please report it with the command you ran\n$`)
	if code != ExitCannotRun || out.Len() > 0 || !want.MatchString(errw.String()) {
		t.Errorf("exit code %d, says %q and on standard output %q", code, errw.String(), out.String())
	}
}

// What could not be said is an error, though the verb did not look; and a refusal stays none the less told as one that failed.
func TestOutputThatTakesNothing(t *testing.T) {
	for _, args := range [][]string{{"help"}, {"version"}, {"lint", "--help"}, {"completion", "zsh"}, {"rules"}} {
		var errw bytes.Buffer
		if code := Run(args, broken{}, full{}, &errw); code != ExitCannotRun || errw.String() != "isocue: no space left on device\n" {
			t.Errorf("%v: exit code %d, says %q", args, code, errw.String())
		}
	}
}
