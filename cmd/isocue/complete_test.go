package main

import (
	"slices"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"isocue.example/cmd/isocue/cli"
)

// free are the flags that take a path, a day, a moment or a name: a shell can offer files at most.
var free = []string{"entries", "expect", "by", "date", "emergency", "instead", "note", "role", "row", "signed", "time", "until", "with", "client", "clients", "closed", "credentials", "letter", "log", "now", "output", "pack", "pause", "plan", "policy", "previous", "record", "remind", "report", "sessions", "since", "start", "stop", "stdin-filename", "to", "waivers", "weeks"}

// Every flag with words of its own tells them to shells, and a flag that takes anything is known as such.
func TestFlagsComplete(t *testing.T) {
	n := 0
	root := cli.Root()
	check := func(c *cobra.Command) func(*pflag.Flag) {
		return func(f *pflag.Flag) {
			n++
			_, told := c.GetFlagCompletionFunc(f.Name)
			if anything := f.Value.Type() == "bool" || slices.Contains(free, f.Name); told == anything {
				t.Errorf("%s --%s: completed %v, takes anything %v", c.Name(), f.Name, told, anything)
			}
		}
	}
	root.PersistentFlags().VisitAll(check(root))
	for _, c := range root.Commands() {
		c.LocalNonPersistentFlags().VisitAll(check(c))
	}
	if n < 20 {
		t.Errorf("only %d flags seen", n)
	}
}
