package docs

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"isocue.example/cmd/isocue/cli"
)

// cliPage lists the verbs with their flags and examples.
func cliPage() []byte {
	root := cli.Root()
	var w bytes.Buffer
	fmt.Fprintf(&w, "%s# The command line\n\n%s\n\n", generated, root.Long)
	w.WriteString("| exit code | meaning |\n|---|---|\n| 0 | nothing refused |\n| 1 | a rejection |\n| 2 | could not run: usage, a missing file, nothing matched |\n\n")
	w.WriteString("The code is the same in every format. Findings go to standard output for `lint`, to standard error otherwise. PROTOCOL is a\npath, when it has a separator or a known ending, or the id of a standard protocol.\n\nFlags of every verb:\n\n")
	flags(&w, root.PersistentFlags())
	for _, c := range root.Commands() {
		verb(&w, c)
	}
	return w.Bytes()
}

func verb(w *bytes.Buffer, c *cobra.Command) {
	long := c.Long
	if long == "" {
		long = strings.ToUpper(c.Short[:1]) + c.Short[1:] + "."
	}
	fmt.Fprintf(w, "\n## isocue %s\n\n%s\n\n", c.Use, long)
	if c.Flags().HasFlags() {
		flags(w, c.Flags())
	}
	fmt.Fprintf(w, "\n```\n%s\n```\n", strings.TrimRight(c.Example, "\n"))
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
