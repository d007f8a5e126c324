package cli

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/compiler"
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/unit"
)

type compileFlags struct {
	client, start, as, out, pack, policy, waivers string
	rec                                           recordFlags
	force                                         bool
}

func (a *app) compile() *cobra.Command {
	var fl compileFlags
	c := &cobra.Command{
		Use:   "compile PROTOCOL... --client FILE --start DATE",
		Short: "compile protocols and a client record into a dated calendar",
		Long: "compile judges the protocols and the client record, works out the loads, gives every session a date\n" +
			"and hour, judges the result again and writes it. A rejection writes nothing and exits with 1.\n" +
			"Without -o or --pack the calendar goes to a pipe, and the week table to a terminal.",
		Example: "  isocue compile handgrip-alternating --client heron-07.yaml --start 2027-01-04 -o heron-07.ics\n" +
			"  isocue compile handgrip-alternating slow-breathing-even --client heron-07.yaml --start 2027-01-04 --pack packs/heron-07",
		Args: words(1, -1, "a protocol, such as handgrip-alternating or ours.cue"),
		RunE: func(_ *cobra.Command, args []string) error { return a.runCompile(args, fl) },
	}
	c.Flags().StringVar(&fl.client, "client", "", "the client record, a path or -")
	c.Flags().StringVar(&fl.start, "start", "", "the first day of the course, such as 2027-01-04")
	c.Flags().StringVar(&fl.as, "as", "", "ics, plan or table; else by the ending of -o (.ics, .json, .txt), else ics, on a terminal table")
	c.Flags().StringVarP(&fl.out, "output", "o", "", "write to this file, whole or not at all; - is standard output")
	c.Flags().StringVar(&fl.pack, "pack", "", "write plan and calendar into this folder")
	c.Flags().StringVar(&fl.policy, "policy", "", "the clinic's policy; else policy.cue of the working directory or of its nearest parent")
	fl.rec.add(c)
	c.Flags().StringVar(&fl.waivers, "waivers", "", "the clinic's waivers; else waivers.cue, found as the policy is")
	c.Flags().BoolVar(&fl.force, "force", false, "overwrite a file that isocue did not write")
	c.RegisterFlagCompletionFunc("as", cobra.FixedCompletions([]string{"ics", "plan", "table"}, cobra.ShellCompDirectiveNoFileComp))
	c.ValidArgsFunction = a.completeProtocols
	return c
}

// form picks what to write: --as, else the ending of -o, else the calendar, on a terminal the table.
func (a *app) form(fl compileFlags) (string, error) {
	switch fl.as {
	case "ics", "plan", "table":
		return fl.as, nil
	case "":
	default:
		return "", fmt.Errorf("--as is %q, allowed: ics, plan or table", fl.as)
	}
	switch {
	case strings.HasSuffix(fl.out, ".json"):
		return "plan", nil
	case strings.HasSuffix(fl.out, ".txt"):
		return "table", nil
	case fl.out == "" || fl.out == "-":
		if terminal(a.out) && fl.pack == "" {
			return "table", nil
		}
	case !strings.HasSuffix(fl.out, ".ics"):
		return "", fmt.Errorf("-o is %s, allowed: an ending that tells the form (.ics, .json for the plan, .txt for the table), or --as", fl.out)
	}
	return "ics", nil
}

func (a *app) runCompile(args []string, fl compileFlags) error {
	for _, must := range [][2]string{{"--client", fl.client}, {"--start", fl.start}} {
		if must[1] == "" {
			return fmt.Errorf("%s is missing; write: isocue compile PROTOCOL... --client FILE --start DATE", must[0])
		}
	}
	if fl.pack != "" && (fl.out != "" || fl.as != "") {
		return fmt.Errorf("--pack stands with -o or --as, allowed: one of them; a pack holds plan and calendar")
	}
	form, err := a.form(fl)
	if err != nil {
		return err
	}
	start, err := unit.ParseDate(fl.start)
	if err != nil {
		return fmt.Errorf("--start: %w", err)
	}
	args = append(args, fl.client)
	j, err := a.begin(a.err, fl.policy, fl.waivers, args, nil)
	if err != nil {
		return err
	}
	in := compiler.Input{Start: start, Now: j.now}
	for i, arg := range args {
		f, err := j.open(a, arg, "standard-input")
		if err != nil {
			return err
		}
		want := load.IsProtocol
		if i == len(args)-1 {
			want, in.Client = load.IsClient, f.Client
			for i := range f.Findings { // a client record, readable or not
				f.Findings[i].Private = true
			}
		}
		j.found = append(j.found, f.Findings...)
		for i := range f.Protocols {
			in.Protocols = append(in.Protocols, &f.Protocols[i])
		}
		if f.Kind != want && len(f.Findings) == 0 {
			j.found = append(j.found, wrongKind(f, want))
		}
	}
	if !finding.Rejected(j.found) {
		res, err := j.eng.Compile(in)
		if err != nil {
			return err
		}
		j.found = append(j.found, res.Findings...)
		if res.Plan != nil {
			if err := compiler.Carry(res.Plan, in.Protocols); err != nil {
				return err
			}
			if err := a.emit(res.Plan, form, fl); err != nil {
				return err
			}
		}
	}
	if err := j.end(fl.rec); err != nil {
		return err
	}
	if err := j.print(a.err); err != nil {
		return err
	}
	if finding.Rejected(j.found) {
		return errRefused
	}
	return nil
}

func wrongKind(f *load.File, want load.Kind) finding.Finding {
	return finding.Finding{Rule: load.Shape, Verdict: finding.Malformed, Pos: finding.Pos{File: f.Name, Line: 1, Column: 1},
		Message: fmt.Sprintf("file is %s, allowed here: %s", f.Kind.Words(), want.Words()), Private: f.Kind == load.IsClient,
		Remedy:    "name the protocols first and the client record behind --client",
		Rationale: "A file of another kind has none of the fields that are needed here."}
}

// render makes the bytes of one form.
func render(p *record.Plan, form string) ([]byte, error) {
	var b bytes.Buffer
	switch form {
	case "plan":
		err := report.Plan(&b, p)
		return b.Bytes(), err
	case "table":
		err := report.Table(&b, p)
		return b.Bytes(), err
	}
	return calendar.Encode(nil, p, calendar.Options{Version: Version})
}

func (a *app) emit(p *record.Plan, form string, fl compileFlags) error {
	type file struct{ name, form string }
	var todo []file
	switch {
	case fl.pack != "":
		if err := os.MkdirAll(fl.pack, 0o700); err != nil {
			return fmt.Errorf("cannot make the pack's folder: %w", unwrapPath(err))
		}
		todo = []file{{filepath.Join(fl.pack, "plan.json"), "plan"}, {filepath.Join(fl.pack, "calendar.ics"), "ics"}}
	case fl.out == "" || fl.out == "-":
		b, err := render(p, form)
		if err != nil {
			return err
		}
		if _, err := io.Copy(a.out, bytes.NewReader(b)); err != nil {
			return err
		}
		if fl.out == "" && terminal(a.out) {
			fmt.Fprintln(a.err, "isocue: write -o FILE.ics for the calendar, --pack DIR for plan and calendar")
		}
		return nil
	default:
		todo = []file{{fl.out, form}}
	}
	var ready []pending
	for _, t := range todo {
		b, err := render(p, t.form)
		if err != nil {
			return err
		}
		if t.form == "ics" && len(b) > calendar.Large {
			fmt.Fprintf(a.err, "isocue: %s is %d bytes; some calendar programs refuse an import over %d\n", t.name, len(b), calendar.Large)
		}
		ready = append(ready, pending{name: t.name, data: b})
	}
	if err := writeAll(ready, fl.force); err != nil {
		return err
	}
	for _, r := range ready {
		fmt.Fprintf(a.err, "isocue: wrote %s\n", r.name)
	}
	return nil
}
