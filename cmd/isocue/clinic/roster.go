package clinic

import (
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"

	"isocue.example/compiler"
	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// RosterOrder is what a run over many clients is asked for.
type RosterOrder struct {
	Clients string         // a folder of client records, or a spreadsheet
	Pack    string         // the folder into which each client's pack is written
	Input   compiler.Input // what all clients share; a row of a spreadsheet may have protocols and a start of its own
	Options Options        // those that were given
	Reading Reading
	Again   bool // compile every client, whether anything changed or not
	Force   bool // overwrite a file that isocue did not write
	Handout bool // each client's sheet and session page
	Own     bool // each client's own course, and nothing else: who has none is left alone
}

// Roster is one run over many clients. Each client is read, compiled and written by one worker and then forgotten, so that
// memory does not grow with their number.
type Roster struct {
	Front
	order   RosterOrder
	under   *compiler.Compiler
	same    string                     // digest of everything that all clients share
	sheet   *load.Spreadsheet          // the clients, where they stand in a spreadsheet; nil for a folder
	choice  map[string]chosen          // protocols that a row may name
	all     []item                     // the clients
	before  map[string]plans.RosterRow // by file, or by id for a spreadsheet: what an earlier run wrote down, so that nothing needs to be read twice
	listed  os.FileInfo                // the list of that run
	ids     sync.Map                   // id -> file, of those that first missed: two records of one id would overwrite each other
	found   Found                      // what stands in the folder of records, or beside the spreadsheet
	holders []holder                   // the clients, with the ids that they seem to have
	having  map[string][]string        // id -> all that seem to have it
	idOf    map[string]string          // the other way
	of      map[string]*belongings     // what stands beside each client
	rows    []plans.RosterRow          // what became of each
	done    atomic.Int64
	lost    atomic.Int64
}

// item is one client of a roster: a file of a folder, or a row of a spreadsheet.
type item struct {
	name string // the file; of a row, file and line
	row  int    // of the spreadsheet
}

// rosterList is the list that a roster keeps beside its packs.
const rosterList = "roster.json"

// Roster finds the clients of an order, and what an earlier run wrote down about them.
func (j *Judging) Roster(o RosterOrder) (*Roster, error) {
	o.Input.Now = j.Now
	r := &Roster{Front: j.Front, order: o, under: j.Under, same: j.same(o)}
	if err := r.clients(j); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(o.Pack, 0o700); err != nil {
		return nil, fmt.Errorf("cannot make the pack's folder: %w", files.Short(err))
	}
	r.earlier()
	return r, nil
}

// clients finds the clients: the files of a folder, or the rows of a spreadsheet.
func (r *Roster) clients(j *Judging) error {
	name := r.order.Clients
	fi, err := os.Stat(name)
	switch {
	case err != nil:
		return fmt.Errorf("--clients: %w", files.Short(err))
	case load.IsSpreadsheet(name) && !fi.IsDir():
		src, err := files.Fetch(name, load.MaxSpreadsheet)
		if err != nil {
			return fmt.Errorf("--clients: %w", files.Short(err))
		}
		if r.sheet, err = r.under.Reader.Spreadsheet(filepath.Clean(name), src); err != nil {
			return fmt.Errorf("--clients: %w", err)
		}
		r.choices(j)
		if r.sheet.Len() == 0 {
			return fmt.Errorf("--clients is %s, which has no row of a client, allowed: a row for each", name)
		}
		return r.ofSpreadsheet()
	case !fi.IsDir():
		return fmt.Errorf("--clients is %s, a file; allowed: a folder of client records, or a spreadsheet that ends in .csv", name)
	}
	return r.ofFolder(name)
}

// RosterEnd is what a run came to.
type RosterEnd struct {
	Rows    []plans.RosterRow
	Left    plans.RosterLeft
	Today   unit.Date
	Stopped bool // before all clients were reached
}

// Lost says whether a client was refused, or could not be read or written, or something that may be a client's could not be looked at.
func (e RosterEnd) Lost() bool {
	if len(e.Left.Trouble) > 0 {
		return true
	}
	for _, o := range e.Rows {
		if o.Outcome == plans.RosterRefused || o.Outcome == plans.RosterFailed {
			return true
		}
	}
	return false
}

// Run compiles every client until halt, and writes down what became of each.
func (r *Roster) Run(halt <-chan struct{}) (end RosterEnd, err error) {
	end.Today = unit.DateOf(r.order.Input.Now)
	end.Rows, end.Stopped = r.compileAll(halt)
	if !end.Stopped { // what was not reached may be whose pack it is
		end.Left = r.left(end.Rows, end.Today)
	}
	r.seen(end.Rows, &end.Left)
	sheet, err := plans.RosterCSV(end.Rows)
	if err != nil {
		return end, err
	}
	data, err := plans.RosterJSON(end.Rows, end.Left, end.Today)
	if err != nil {
		return end, err
	}
	return end, files.Write([]files.File{
		{Name: filepath.Join(r.order.Pack, "roster.csv"), Data: sheet},
		{Name: filepath.Join(r.order.Pack, rosterList), Data: data}}, files.Manner{Force: true})
}

// Clients is how many clients the run has; Done how many are done so far, and how many of those were refused or failed.
func (r *Roster) Clients() int { return len(r.all) }

func (r *Roster) Done() (done, lost int64) { return r.done.Load(), r.lost.Load() }

// names are the files of a client's pack. What the client takes home is left out only where that was asked for, where no older one
// would be left beside a newer plan, and where the calendar does not send to it.
func (r *Roster) names(dir string, p *record.Plan) []string {
	if r.order.Handout || p != nil && p.Discreet || files.Exists(dir, "handout.html") || files.Exists(dir, "session.html") {
		return packNames
	}
	return bareNames
}
