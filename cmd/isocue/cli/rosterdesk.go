package cli

import (
	"isocue.example/compiler"
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
)

// desk is what one worker of a roster keeps from client to client: the encoders and the buffers of the files it makes.
type desk struct {
	calendar *calendar.Encoder
	plans    plans.Encoder
	ics      []byte
	shelf    []shelved
	room     int // how many the shelf holds; twice as many after each time, so that a short run that is killed loses little
}

// shelved is a client whose files stand beside their places and wait to be synced with those of others: one sync of a file system
// takes about as long as one of a file.
type shelved struct {
	client  int // its place in the roster
	row     plans.RosterRow
	writing *writing
}

// clear syncs what is on the shelf, puts it into its places and says what became of each client. Names that are given now last at the
// latest when the roster's own lists are written.
func (d *desk) clear(tell func(client int, row plans.RosterRow)) {
	if len(d.shelf) == 0 {
		return
	}
	var err error
	if clientsASync > 1 {
		var dirs []string
		for _, s := range d.shelf {
			dirs = append(dirs, s.writing.dirs...)
		}
		err = syncAround(dirs)
	}
	for _, s := range d.shelf {
		mine := err
		if mine == nil {
			mine = s.writing.place()
		}
		s.writing.end()
		if mine != nil {
			s.row = failed(plans.RosterRow{File: s.row.File, ID: s.row.ID, Folder: s.row.Folder}, mine)
		}
		tell(s.client, s.row)
	}
	d.shelf = d.shelf[:0]
	d.room = min(2*d.room, clientsASync)
}

func newDesk() *desk {
	return &desk{calendar: calendar.NewEncoder(calendar.Options{Version: Version}), room: 1}
}

// pack makes the files of a client's pack, in the order in which they are put into their places; they are valid until the next
// call. Sounds are left out: they are the same for every client of a protocol, and some megabytes.
func (d *desk) pack(eng *compiler.Compiler, client *load.Client, dir string, names []string, p *record.Plan) ([]pending, error) {
	return packed(eng, p, client, dir, names, false, d.ofCalendar, d.plans.JSON)
}

// ofCalendar reuses the encoder, which is of the usual language and manner.
func (d *desk) ofCalendar(p *record.Plan) (out []byte, err error) {
	if p.Language != "" || p.Discreet {
		return calendarOf(p, calendar.Options{Version: Version})
	}
	d.ics, err = d.calendar.Append(d.ics[:0], p)
	return d.ics, err
}
