// Package cli is the command line: one file a verb. It is the only place that reads the clock, the environment and
// the terminal.
//
// How the program talks: lower case, no full stop; what was found, then what is allowed, then how to repair it. An
// error starts "isocue:" and a hint, where there is one, stands on its own line. Findings are the result of lint and
// go to standard output there, to standard error elsewhere.
package cli

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"runtime/debug"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler/bound"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/near"
	"isocue.example/compiler/rule"
)

// Exit codes, the same in every format.
const (
	ExitOK        = 0 // nothing refused
	ExitRefused   = 1 // a rejection
	ExitCannotRun = 2 // usage, missing file, nothing matched
)

// Version is the program's version.
const Version = clinic.Version

// errRefused says that findings were printed and one of them rejects.
var errRefused = errors.New("refused")

// app is what every verb shares.
type app struct {
	in       io.Reader
	out, err io.Writer
	base     func() (*rule.Base, error) // another rule base in place of the built-in one, for tests; nil otherwise
	now      string                     // --now
	color    string                     // --color
}

// Main runs the command line of the process.
func Main() int {
	os.Unsetenv("CUE_DEBUG") // the engine reads both on its own
	os.Unsetenv("CUE_EXPERIMENT")
	ordinary()
	if debug.SetMemoryLimit(-1) == math.MaxInt64 { // nobody has chosen one
		debug.SetMemoryLimit(clinic.HeapUsual)
	}
	return Run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
}

// Run runs one command line.
func Run(args []string, in io.Reader, out, errw io.Writer) (code int) {
	told := &teller{Writer: out}
	a := &app{in: in, out: told, err: errw}
	defer func() {
		if p := recover(); p != nil {
			bug, ok := p.(finding.Bug)
			if !ok {
				bug.What = fmt.Sprint(p, where())
			}
			a.say("%v; please report it with the command you ran", bug)
			code = ExitCannotRun
		}
	}()
	root := a.root()
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(told)
	root.SetErr(errw)
	err := root.Execute()
	if told.failed != nil && (err == nil || errors.Is(err, errRefused)) {
		err = told.failed // what was to be said was not: the disk is full, say
	}
	var over *bound.Over
	switch {
	case err == nil:
		return ExitOK
	case errors.Is(err, errRefused):
		return ExitRefused
	case errors.As(err, &over): // too large to be worked on: a fault of the input, like any other that is malformed
		a.say("malformed: %s", strings.TrimSpace(err.Error()))
		return ExitRefused
	default:
		a.say("%s", strings.TrimSpace(err.Error()))
		return ExitCannotRun
	}
}

// Root is the command tree, for the generated docs and completion tests.
func Root() *cobra.Command {
	return (&app{in: strings.NewReader(""), out: io.Discard, err: io.Discard}).root()
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "isocue",
		Short: "compile a training protocol and a client's measurements into a dated calendar",
		Long: "isocue judges home training protocols that lower blood pressure against published evidence,\n" +
			"and compiles a protocol and one client's measurements into a dated calendar of sessions.\n" +
			"It is a tool for coaches. It gives no medical advice and is no medical clearance:\n" +
			"follow the client's physician and your local rules.",
		SilenceErrors: true, SilenceUsage: true,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return cmd.Help()
			}
			return notAVerb(cmd, args[0])
		},
	}
	root.PersistentFlags().StringVar(&a.now, "now", "", "the moment taken as now, such as 2027-01-03T09:00:00Z (else SOURCE_DATE_EPOCH, else the clock)")
	root.PersistentFlags().StringVar(&a.color, "color", "auto", orList(colors)+"; NO_COLOR is kept to")
	complete(root, "color", colors...)
	root.SetFlagErrorFunc(flagError)
	root.CompletionOptions.DisableDefaultCmd = true
	root.SetHelpCommand(a.help(root))
	root.AddCommand(a.lint(), a.compile(), a.roster(), a.enter(), a.today(), a.progress(), a.publish(), a.compare(), a.explain(), a.rules(), a.protocols(), a.newFile(), a.ledger(), a.version(), a.completion())
	return root
}

func (a *app) help(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use: "help [VERB]", Short: "say what a verb does", Example: "  isocue help lint",
		ValidArgsFunction: upTo(1, func(*cobra.Command, []string, string) (out []string, _ cobra.ShellCompDirective) {
			for _, c := range root.Commands() {
				if c.IsAvailableCommand() {
					out = append(out, c.Name()+"\t"+c.Short)
				}
			}
			return out, cobra.ShellCompDirectiveNoFileComp
		}),
		RunE: func(_ *cobra.Command, args []string) error {
			c, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				return notAVerb(root, strings.Join(args, " "))
			}
			c.InitDefaultHelpFlag() // so that the page is that of --help
			return c.Help()
		},
	}
}

// notAVerb names the verb that was probably meant.
func notAVerb(root *cobra.Command, word string) error {
	var names []string
	for _, c := range root.Commands() {
		names = append(names, c.Name())
	}
	return fmt.Errorf("%q is not a verb%s; allowed: %s", word, near.Hint(word, names), strings.Join(names, ", "))
}

// flagError names the flag that was probably meant.
func flagError(c *cobra.Command, err error) error {
	word, ok := strings.CutPrefix(err.Error(), "unknown flag: --")
	if !ok {
		return err
	}
	var names []string
	c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
	c.InheritedFlags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
	hint := ""
	if m := near.Match(word, names); m != "" {
		hint = ", did you mean --" + m
	}
	return fmt.Errorf("--%s is not a flag of %s%s; `isocue help %s` lists them", word, c.Name(), hint, c.Name())
}

// words holds a verb to at least low and at most high words beside its flags; a negative high is no bound.
func words(low, high int, allowed string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if n := len(args); n < low || high >= 0 && n > high {
			return fmt.Errorf("%s was given %d words, allowed: %s; write: isocue %s", c.Name(), n, allowed, c.UseLine()[len("isocue "):])
		}
		return nil
	}
}

// moment is now: --now, else SOURCE_DATE_EPOCH, else the clock; read once a run.
func (a *app) moment() (time.Time, error) {
	if a.now != "" {
		t, err := time.Parse(time.RFC3339, a.now)
		if err != nil {
			return t, fmt.Errorf("--now is %q, allowed: a moment with its zone such as 2027-01-03T09:00:00Z", a.now)
		}
		return t.UTC().Truncate(time.Second), nil
	}
	if s := os.Getenv("SOURCE_DATE_EPOCH"); s != "" {
		n, err := strconv.ParseInt(s, 10, 64)
		if err != nil {
			return time.Time{}, fmt.Errorf("SOURCE_DATE_EPOCH is %q, allowed: whole seconds since 1970", s)
		}
		return time.Unix(n, 0).UTC(), nil
	}
	return time.Now().UTC().Truncate(time.Second), nil
}

// colors are the words of --color.
var colors = []string{"auto", "always", "never"}

// useColor says whether text findings may use colour on w.
func (a *app) useColor(w io.Writer) (bool, error) {
	if err := oneOf("--color", a.color, colors); err != nil {
		return false, err
	}
	return a.color == "always" || a.color == "auto" && os.Getenv("NO_COLOR") == "" && terminal(w), nil
}

// terminal says whether w is a character device, as a terminal is and a pipe or file is not.
func terminal(w io.Writer) bool {
	if t, ok := w.(*teller); ok {
		w = t.Writer
	}
	f, ok := w.(*os.File)
	return ok && terminalFile(f)
}

func terminalFile(f *os.File) bool {
	fi, err := f.Stat()
	return err == nil && fi.Mode()&os.ModeCharDevice != 0
}
