package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

type rosterFlags struct {
	judgeFlags
	clients, start, pack string
	closed               string
	again, force         bool
	reviews, handout     bool
	sheet                sheetFlags
}

func (a *app) roster() *cobra.Command {
	var fl rosterFlags
	c := &cobra.Command{
		Use:   "roster PROTOCOL... --clients DIR|FILE.csv --start DATE --pack DIR",
		Short: "compile protocols for many clients, a pack for each",
		Long: "roster compiles the protocols for every client record in a folder, or for every row of a spreadsheet (.csv), each into a pack\n" +
			"named by the client's id. In a spreadsheet, a heading is the path of a field of the record; the columns protocols and start, where\n" +
			"they are filled, stand in for those of the command line. isocue new client FILE.csv writes a spreadsheet to begin with.\n" +
			"One client who is refused, or whose record cannot be read, never stops the others. A pack that is there already is\n" +
			"followed: what is past stands, and a client of whom nothing changed is left alone, so a run that was stopped goes on.\n" +
			"roster.csv and roster.json in the pack's folder say what became of each.",
		Example: "  isocue roster handgrip-alternating --clients clients --start 2027-01-04 --pack packs\n" +
			"  isocue roster handgrip-alternating slow-breathing-even --clients clients --start 2027-01-04 --pack packs --again\n" +
			"  isocue roster --clients clients.csv --start 2027-01-04 --pack packs",
		Args: words(0, -1, "a protocol, such as handgrip-alternating or ours.cue"),
		RunE: func(c *cobra.Command, args []string) error {
			fl.sheet.told = c.Flags().Changed("discreet")
			return a.runRoster(args, fl)
		},
	}
	c.Flags().StringVar(&fl.clients, "clients", "", "the folder of client records, or a spreadsheet (.csv) with a client a row")
	c.Flags().StringVar(&fl.start, "start", "", "the first day of the course, such as 2027-01-04")
	c.Flags().StringVar(&fl.pack, "pack", "", "write a folder for each client into this one")
	c.Flags().StringVar(&fl.closed, "closed", "", "days on which the clinic is closed: a list of days and spans, one a line, or an .ics")
	c.Flags().BoolVar(&fl.again, "again", false, "compile every client, whether anything changed or not")
	c.Flags().BoolVar(&fl.force, "force", false, "overwrite a file that isocue did not write")
	c.Flags().BoolVar(&fl.reviews, "reviews", true, "the meetings with the coach; --reviews=false leaves them out")
	c.Flags().BoolVar(&fl.handout, "handout", true, "each client's sheet and session page; --handout=false leaves them out where a pack has none yet")
	fl.sheet.add(c)
	fl.clinic(c, "the working directory or of its nearest parent")
	c.ValidArgsFunction = begun(a.completeProtocols)
	return c
}

// runRoster reads what all clients share, lets the workers go, and tells what became of each.
func (a *app) runRoster(args []string, fl rosterFlags) error {
	for _, must := range [][2]string{{"--clients", fl.clients}, {"--pack", fl.pack}} {
		if must[1] == "" {
			return errRosterLacks(must[0])
		}
	}
	if !load.IsSpreadsheet(fl.clients) { // a spreadsheet may have both in columns
		switch {
		case len(args) == 0:
			return errRosterLacks("the protocol")
		case fl.start == "":
			return errRosterLacks("--start")
		}
	}
	if err := fl.sheet.check(); err != nil {
		return err
	}
	if fl.sheet.discreet && !fl.handout {
		return errDiscreet
	}
	shared := compiler.Input{NoReviews: !fl.reviews}
	var err error
	if fl.start != "" {
		if shared.Start, err = unit.ParseDate(fl.start); err != nil {
			return fmt.Errorf("--start: %w", err)
		}
	}
	if fl.closed != "" {
		if shared.Closed, err = closedDays(fl.closed); err != nil {
			return err
		}
	}
	fl.format = "text"
	j, err := a.begin(a.err, fl.judgeFlags, args, nil)
	if err != nil {
		return err
	}
	shared.Now = j.now
	if err := j.protocols(a, args, &shared); err != nil {
		return err
	}
	if finding.Rejected(j.found) { // what all clients would be refused for is told once
		if err := j.print(a.err); err != nil {
			return err
		}
		return errRefused
	}
	r := &rosterRun{a: a, eng: j.eng, shared: shared, fl: fl, same: sameInputs(j, shared, fl)}
	clients, err := r.clients(j)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(fl.pack, 0o700); err != nil {
		return fmt.Errorf("cannot make the pack's folder: %w", unwrapPath(err))
	}
	r.before = earlier(fl.pack, r.sheet != nil)
	outcomes, stopped := r.all(clients)
	var left plans.RosterLeft
	if !stopped { // what was not reached may be whose pack it is
		left = r.left(outcomes, unit.DateOf(j.now))
	}
	if err := writeRoster(fl.pack, outcomes, left, unit.DateOf(j.now)); err != nil {
		return err
	}
	if err := plans.Roster(a.out, outcomes, left, unit.DateOf(j.now), stopped); err != nil {
		return err
	}
	for _, o := range outcomes {
		if o.Outcome == plans.RosterRefused || o.Outcome == plans.RosterFailed {
			return errRefused
		}
	}
	if stopped {
		return errors.New("stopped; what is done is kept, and running again goes on")
	}
	return nil
}

// errRosterLacks says what is missing, and how the command is written.
func errRosterLacks(what string) error {
	return fmt.Errorf("%s is missing; write: isocue roster PROTOCOL... --clients DIR|FILE.csv --start DATE --pack DIR", what)
}

// clients finds the clients: the files of a folder, or the rows of a spreadsheet.
func (r *rosterRun) clients(j *judging) (all []rosterItem, err error) {
	fi, err := os.Stat(r.fl.clients)
	switch {
	case err != nil:
		return nil, fmt.Errorf("--clients: %w", unwrapPath(err))
	case load.IsSpreadsheet(r.fl.clients) && !fi.IsDir():
		src, err := load.Fetch(r.fl.clients, load.MaxSpreadsheet)
		if err != nil {
			return nil, fmt.Errorf("--clients: %w", unwrapPath(err))
		}
		if r.sheet, err = r.eng.Reader.Spreadsheet(filepath.Clean(r.fl.clients), src); err != nil {
			return nil, fmt.Errorf("--clients: %w", err)
		}
		r.choices(j)
		all, r.first = items(r.sheet)
		if len(all) == 0 {
			return nil, fmt.Errorf("--clients is %s, which has no row of a client, allowed: a row for each", r.fl.clients)
		}
		return all, nil
	case !fi.IsDir():
		return nil, fmt.Errorf("--clients is %s, a file; allowed: a folder of client records, or a spreadsheet that ends in .csv", r.fl.clients)
	}
	files, err := expand([]string{r.fl.clients})
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		all = append(all, rosterItem{name: f})
	}
	r.first = firstOf(files)
	return all, nil
}

// protocols reads the protocols that all clients are to train, and judges them by themselves.
func (j *judging) protocols(a *app, args []string, in *compiler.Input) error {
	for _, arg := range args {
		f, err := j.open(a, arg, "standard-input")
		if err != nil {
			return err
		}
		if f.Kind != load.IsProtocol && len(f.Findings) == 0 {
			j.found = append(j.found, wrongKind(f, load.IsProtocol))
		}
		j.found = append(j.found, j.eng.Lint(f, j.now)...)
		for i := range f.Protocols {
			in.Protocols = append(in.Protocols, &f.Protocols[i])
		}
	}
	return nil
}

// writeRoster writes the two lists of what became of each client.
func writeRoster(pack string, outcomes []plans.RosterRow, left plans.RosterLeft, today unit.Date) error {
	sheet, err := plans.RosterCSV(outcomes)
	if err != nil {
		return err
	}
	data, err := plans.RosterJSON(outcomes, left, today)
	if err != nil {
		return err
	}
	return writeAll([]pending{{name: filepath.Join(pack, "roster.csv"), data: sheet}, {name: filepath.Join(pack, "roster.json"), data: data}}, true, nil)
}
