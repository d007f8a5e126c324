package docs

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"isocue.example/cmd/isocue/cli"
	"isocue.example/compiler"
	"isocue.example/compiler/report/judged"
)

// verbs is the command tree with the verbs that cobra adds only when it runs.
func verbs() *cobra.Command {
	root := cli.Root()
	root.InitDefaultHelpCmd()
	return root
}

// cliPage lists the verbs with their flags and examples, the exit codes, and the formats on one real mistake.
func cliPage(c *compiler.Compiler) ([]byte, error) {
	root := verbs()
	var w bytes.Buffer
	fmt.Fprintf(&w, "%s# The command line\n\n%s\n\n## Exit codes\n\nThe same in every format.\n\n| code | meaning |\n|---|---|\n", generated, root.Long)
	for _, e := range []struct {
		code    int
		meaning string
	}{{cli.ExitOK, "nothing refused"}, {cli.ExitRefused, "a rejection"}, {cli.ExitCannotRun, "could not run: usage, a missing file, nothing matched"}} {
		fmt.Fprintf(&w, "| %d | %s |\n", e.code, e.meaning)
	}
	w.WriteString("\nFindings go to standard output for `lint`, to standard error otherwise. PROTOCOL is a path, when it has a separator or a known\nending, or the id of a standard protocol.\n\n## Flags of every verb\n\n")
	flags(&w, root.PersistentFlags())
	for _, v := range root.Commands() {
		verb(&w, v)
	}
	err := formats(&w, c)
	return w.Bytes(), err
}

func verb(w *bytes.Buffer, c *cobra.Command) {
	long := c.Long
	if long == "" {
		long = upper(c.Short) + "."
	}
	fmt.Fprintf(w, "\n## isocue %s\n\n%s\n\n", c.Use, long)
	if c.Flags().HasFlags() {
		flags(w, c.Flags())
		w.WriteString("\n")
	}
	fmt.Fprintf(w, "```\n%s\n```\n", strings.TrimRight(c.Example, "\n"))
}

func flags(w *bytes.Buffer, fs *pflag.FlagSet) {
	w.WriteString("| flag | default | meaning |\n|---|---|---|\n")
	fs.VisitAll(func(f *pflag.Flag) {
		name := "--" + f.Name
		if f.Shorthand != "" {
			name = "-" + f.Shorthand + ", " + name
		}
		def := f.DefValue
		if def == "" || def == "[]" {
			def = "none"
		}
		fmt.Fprintf(w, "| `%s` | %s | %s |\n", name, def, cell(f.Usage))
	})
}

// The mistake that the formats are shown on: a standard protocol with a load over the ceiling.
const (
	shown  = "handgrip-alternating"
	before = "fraction: 0.30"
	after  = "fraction: 0.65"
)

// notation is what a format is written in, for readers that colour it.
var notation = map[string]string{"text": "text", "json": "json", "sarif": "json", "github": "text", "junit": "xml"}

// formats runs lint on one mistake in each format.
func formats(w *bytes.Buffer, c *compiler.Compiler) error {
	src := string(c.Standard(shown).Source)
	if strings.Count(src, before) != 1 {
		return fmt.Errorf("%s no longer holds %q once", shown, before)
	}
	src = strings.Replace(src, before, after, 1)
	fmt.Fprintf(w, "\n## Formats\n\n`--format` is the form of findings and lists, `--as` the form of a plan. `sarif`, `github` and `junit` leave the clinic: of a\nclient record they tell rule, file, line and path, and what the rule claims; never what the record says. Below, `ours.cue` is the\nstandard protocol `%s` with `%s` instead of `%s`.\n", shown, after, before)
	for _, format := range judged.Formats.Names() {
		args := []string{"lint", "-", "--stdin-filename", "ours.cue", "--format", format, "--now", "2027-01-03T09:00:00Z", "--color", "never"}
		var out, errw bytes.Buffer
		if code := cli.Run(args, strings.NewReader(src), &out, &errw); code != cli.ExitRefused {
			return fmt.Errorf("lint of a load over the ceiling ends with %d: %s", code, errw.String())
		}
		fmt.Fprintf(w, "\n`isocue lint - --stdin-filename ours.cue --format %s < ours.cue` prints, and exits with %d:\n\n```%s\n%s```\n", format, cli.ExitRefused, notation[format], out.String())
	}
	return nil
}
