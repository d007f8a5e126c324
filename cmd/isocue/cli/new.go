package cli

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/cmd/isocue/start"
	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
)

// starts are what can be started.
var starts = []string{"clinic", "protocol", "client", "rule", "form"}

func (a *app) newFile() *cobra.Command {
	var modality string
	var refresh bool
	c := &cobra.Command{
		Use: "new clinic|protocol|client|rule|form PATH|-", Short: "write a commented start for a file, or a clinic's folder",
		Long: "new writes a start to fill in: a protocol, a client record, or a rule of the clinic's own as a piece of a policy.\n" +
			"The ending of PATH picks the notation (.cue, .yaml, .json; JSON has no comments; a rule is CUE only);\n" +
			"- writes to standard output, YAML for a client and CUE otherwise. An existing file is never overwritten.\n" +
			"new form writes the page to print for a first visit: what to ask, to measure and to teach (.html).\n" +
			"new client with a PATH that ends in .csv writes the headings of a spreadsheet with a client a row, for isocue roster.\n" +
			"new clinic writes a whole folder with examples, into a new or empty one, whole or not at all.",
		Example: "  isocue new client heron-07.yaml\n  isocue new protocol ours.cue --modality slow-breathing\n" +
			"  isocue new rule clinic-ours.cue\n  isocue new form first-visit.html\n  isocue new clinic harbour\n  isocue new clinic . --refresh",
		Args: words(2, 2, "what to start ("+strings.Join(starts, ", ")+"), and a path"),
		ValidArgsFunction: begun(func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 { // the path
				return nil, cobra.ShellCompDirectiveDefault
			}
			return starts, cobra.ShellCompDirectiveNoFileComp
		}),
		RunE: func(_ *cobra.Command, args []string) error {
			what, place := args[0], args[1]
			switch {
			case what != "protocol" && modality != "":
				return fmt.Errorf("--modality stands with new %s, allowed: new protocol", what)
			case what != "clinic" && refresh:
				return fmt.Errorf("--refresh stands with new %s, allowed: new clinic", what)
			case what == "clinic" && refresh:
				return a.refreshClinic(place)
			case what == "clinic":
				return a.newClinic(place)
			}
			return a.newStart(what, place, modality)
		},
	}
	c.Flags().StringVar(&modality, "modality", "", "the modality of a protocol, handgrip unless given")
	c.Flags().BoolVar(&refresh, "refresh", false, "bring the schema copy of a clinic's folder up to date, and say what changed")
	complete(c, "modality", modalities()...)
	return c
}

// newStart writes one file to fill in.
func (a *app) newStart(what, place, modality string) error {
	if !slices.Contains(starts, what) { // before anything is said about the path, which may be sound
		return fmt.Errorf("%q cannot be started%s; allowed: %s", what, near.Hint(what, starts), strings.Join(starts, ", "))
	}
	if what == "form" {
		return a.newForm(place)
	}
	if what == "client" && load.IsSpreadsheet(place) {
		return a.newSpreadsheet(place)
	}
	format, known := load.FormatOf(place)
	switch {
	case place == "-" && what == "client":
		format = load.YAML
	case place == "-":
		format = load.CUE
	case what == "rule" && (!known || format != load.CUE):
		return fmt.Errorf("%s does not end in .cue, allowed: .cue; a rule has no other notation", place)
	case !known:
		return fmt.Errorf("%s has no known ending, allowed: .cue, .yaml, .yml or .json", place)
	}
	var out []byte
	var err error
	switch what {
	case "protocol":
		if err := noneOrOneOf("--modality", modality, modalities()); err != nil {
			return err
		}
		m := record.Handgrip
		if modality != "" {
			m = record.Modality(modality)
		}
		out, err = start.Protocol(a.engine().Standard(start.From[m]).Protocols[0].Node, start.ID(place, "", "my-protocol"), "My protocol", format)
	case "client":
		now, nerr := a.moment()
		b, berr := a.rulebase()
		if err := errors.Join(nerr, berr); err != nil {
			return err
		}
		out, err = start.Client(b, now, start.ID(place, "", "client-1"), format)
	case "rule":
		eng := a.engine()
		out, err = start.Rule(eng.Check.Base, eng.Standard(start.From[record.Handgrip]).Protocols[0].Node, start.ID(place, rule.ClinicPrefix, "clinic-ours"))
	}
	if err != nil {
		return err
	}
	if err := a.put(place, out); err != nil || place == "-" {
		return err
	}
	if what == "client" {
		if err := clinic.ListRecord(place); err != nil {
			return err
		}
	}
	a.say("wrote %s; fill it in, then: isocue lint %s", place, clinic.Shown(place))
	return nil
}

// put writes a start into a new file, or to standard output where the place is "-".
func (a *app) put(place string, out []byte) error {
	if place == "-" {
		_, err := a.out.Write(out)
		return err
	}
	return files.CreateNew(place, out)
}

// newForm writes the page for a first visit. It belongs to no client, so it is started like a record and stands in no pack.
func (a *app) newForm(place string) error {
	if place != "-" && !strings.HasSuffix(place, ".html") {
		return fmt.Errorf("%s does not end in .html, allowed: .html, such as first-visit.html", place)
	}
	b, err := a.rulebase()
	if err != nil {
		return err
	}
	out, err := start.Form(b, Version)
	if err != nil {
		return err
	}
	if err := a.put(place, out); err != nil || place == "-" {
		return err
	}
	a.say("wrote %s; print it, and write what it asks into a record: isocue new client", place)
	return nil
}

// newSpreadsheet writes the headings of a spreadsheet of clients.
func (a *app) newSpreadsheet(place string) error {
	b, err := a.rulebase()
	if err == nil {
		err = files.CreateNew(place, start.Spreadsheet(b))
	}
	if err != nil {
		return err
	}
	a.say("wrote %s; add a row for each client, then: isocue roster --clients %s --pack packs", place, clinic.Shown(place))
	return nil
}

// newClinic writes a clinic's folder.
func (a *app) newClinic(dir string) error {
	if dir == "-" {
		return errors.New("a clinic is a folder, not standard output, allowed: the name of a new or empty folder")
	}
	now, err := a.moment()
	if err == nil {
		err = clinic.New(a.engine(), dir, now)
	}
	if err != nil {
		return err
	}
	a.say("wrote %s; read its README.md, then: cd %s && isocue lint .", dir, clinic.Shown(dir))
	return nil
}

// refreshClinic brings what is ours in a clinic's folder up to date and lists what changed.
func (a *app) refreshClinic(dir string) error {
	done, err := clinic.Refresh(dir)
	stale := 0
	for _, d := range done {
		fmt.Fprintf(a.out, "%s %s (%s)\n", d.Verb, d.Name, d.Was)
		if strings.HasPrefix(d.Name, start.Copy) {
			stale++
		}
	}
	if err == nil && stale == 0 {
		_, err = fmt.Fprintln(a.out, "the schema copy is up to date")
	}
	return err
}
