package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report/followup"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

type rosterFlags struct {
	judgeFlags
	clients, start, pack string
	closed               string
	again, force         bool
	reviews, handout     bool
	given                func(flag string) bool
	reading              readingFlags
}

func (a *app) roster() *cobra.Command {
	var fl rosterFlags
	c := &cobra.Command{
		Use:   "roster FOLDER | PROTOCOL... --clients DIR|FILE.csv --start DATE --pack DIR",
		Short: "compile protocols for many clients, a pack for each",
		Long: "roster FOLDER takes each client's own course, by the diary or by the plan before, and writes each pack: FOLDER has clients, packs,\n" +
			"protocols and, where the clinic is closed on some days, closed.txt or closed.ics. It needs no other argument. Its last lines name\n" +
			"whom to ring first and whom to hand which sheet.\n" +
			"Elsewhere roster compiles the protocols for every client record in a folder, or for every row of a spreadsheet (.csv), each into a pack\n" +
			"named by the client's id. In a spreadsheet, a heading is the path of a field of the record; the columns protocols and start, where\n" +
			"they are filled, stand in for those of the command line. isocue new client FILE.csv writes a spreadsheet to begin with.\n" +
			"One client who is refused, or whose record cannot be read, never stops the others. A pack that is there already is\n" +
			"followed: what is past stands, and a client of whom nothing changed is left alone, so a run that was stopped goes on.\n" +
			"A log beside a record is read where it is named by the record's id: heron-07.log.csv, heron-07.sessions.csv. What stands in the\n" +
			"folder and was not looked at is counted and named.\n" +
			"roster.csv and roster.json in the pack's folder say what became of each.",
		Example: "  isocue roster .\n" +
			"  isocue roster handgrip-alternating --clients clients --start 2027-01-04 --pack packs\n" +
			"  isocue roster handgrip-alternating slow-breathing-even --clients clients --start 2027-01-04 --pack packs --again\n" +
			"  isocue roster --clients clients.csv --start 2027-01-04 --pack packs",
		Args: words(0, -1, "a protocol, such as handgrip-alternating or ours.cue"),
		RunE: func(c *cobra.Command, args []string) error {
			if err := fl.reading.check(c); err != nil {
				return err
			}
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
	fl.reading.add(c)
	fl.given = c.Flags().Changed
	fl.clinic(c, "the working directory or of its nearest parent")
	fl.reasons(c)
	c.ValidArgsFunction = begun(a.completeProtocols)
	return c
}

// runRoster reads what all clients share, lets the workers go, and tells what became of each.
func (a *app) runRoster(args []string, fl rosterFlags) error {
	var rooms clinic.Rooms
	var folders []string
	if st, err := os.Stat(strings.Join(args, "")); len(args) == 1 && err == nil && st.IsDir() {
		if fl.clients+fl.pack+fl.start != "" {
			return fmt.Errorf("a folder cannot be combined with --clients, --pack or --start; write: isocue roster %s", args[0])
		}
		if rooms, err = clinic.RoomsOf(args[0]); err != nil {
			return err
		}
		folders, args = args, nil
		fl.clients, fl.pack = rooms.Clients, rooms.Packs
		if fl.closed == "" {
			fl.closed = rooms.Closed
		}
	}
	for _, must := range [][2]string{{"--clients", fl.clients}, {"--pack", fl.pack}} {
		if must[1] == "" {
			return errRosterLacks(must[0])
		}
	}
	if _, err := os.Stat(fl.pack); err != nil && folders == nil && !load.IsSpreadsheet(fl.clients) { // no plan goes on; a spreadsheet may have both in columns
		switch {
		case len(args) == 0:
			return errRosterLacks("the protocol")
		case fl.start == "":
			return errRosterLacks("--start")
		}
	}
	if fl.reading.Discreet && !fl.handout {
		return clinic.ErrDiscreet
	}
	o := clinic.RosterOrder{Clients: fl.clients, Pack: fl.pack, Reading: fl.reading.Reading, Again: fl.again, Force: fl.force, Handout: fl.handout, Own: folders != nil,
		Input: compiler.Input{}}
	if fl.given("reviews") {
		o.Options.Reviews = &fl.reviews
	}
	var err error
	if fl.start != "" {
		if o.Input.Start, err = unit.ParseDate(fl.start); err != nil {
			return fmt.Errorf("--start: %w", err)
		}
	}
	if fl.closed != "" {
		if o.Options.Closed, err = clinic.ClosedDays(fl.closed); err != nil {
			return err
		}
	}
	fl.format = "text"
	j, err := a.begin(a.err, fl.judgeFlags, args, folders)
	if err != nil {
		return err
	}
	if o.Input.Protocols, err = j.OpenProtocols(args, "standard-input", "name the protocols first and the client record behind --client"); err != nil {
		return err
	}
	if err := j.refusedAlready(a.err); err != nil { // what all clients would be refused for is told once
		return err
	}
	r, err := j.Roster(o)
	if err != nil {
		return err
	}
	// a first interrupt lets the clients at hand be finished and stops; a second one is the system's
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	context.AfterFunc(ctx, stop)
	hide := a.show(r)
	end, err := r.Run(ctx.Done())
	hide()
	if err != nil {
		return err
	}
	if err := plans.Roster(a.out, end.Rows, end.Left, end.Today, end.Stopped, fl.why); err != nil {
		return err
	}
	if folders != nil && !end.Stopped {
		day, err := j.Today(rooms)
		if err == nil {
			err = followup.Last(a.out, day)
		}
		if err != nil {
			return err
		}
	}
	if end.Lost() {
		return errRefused
	}
	if end.Stopped {
		return errors.New("stopped; what is done is kept, and running again goes on")
	}
	return nil
}

// show prints one line over and over on a terminal, once a run takes longer than a second: clients done, rate, left, lost. hide ends
// it.
func (a *app) show(r *clinic.Roster) (hide func()) {
	if !terminal(a.err) {
		return func() {}
	}
	over, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		begin := time.Now()
		tick := time.NewTicker(500 * time.Millisecond)
		defer tick.Stop()
		shown := false
		for {
			select {
			case <-over:
				if shown {
					fmt.Fprint(a.err, "\r\x1b[K")
				}
				return
			case <-tick.C:
				took := time.Since(begin)
				if took < time.Second {
					continue
				}
				shown = true
				all := int64(r.Clients())
				n, lost := r.Done()
				fmt.Fprintf(a.err, "\r\x1b[K%d of %d clients, %.0f a second, %d left, %d refused or failed", n, all, float64(n)/took.Seconds(), all-n, lost)
			}
		}
	}()
	return func() { close(over); <-ended }
}

// errRosterLacks says what is missing, and how the command is written.
func errRosterLacks(what string) error {
	return fmt.Errorf("%s is missing; write: isocue roster PROTOCOL... --clients DIR|FILE.csv --start DATE --pack DIR", what)
}
