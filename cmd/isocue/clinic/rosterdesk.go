package clinic

import (
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/files"
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
	writing *files.Writing
}

// clear syncs what is on the shelf, puts it into its places and says what became of each client. Names that are given now last at the
// latest when the roster's own lists are written.
func (d *desk) clear(tell func(client int, row plans.RosterRow)) {
	if len(d.shelf) == 0 {
		return
	}
	var err error
	if files.TogetherMost > 1 {
		var dirs []string
		for _, s := range d.shelf {
			dirs = append(dirs, s.writing.Dirs...)
		}
		err = files.SyncAround(dirs)
	}
	for _, s := range d.shelf {
		mine := err
		if mine == nil {
			mine = s.writing.Place()
		}
		s.writing.End()
		if mine != nil {
			s.row = failed(plans.RosterRow{File: s.row.File, ID: s.row.ID, Folder: s.row.Folder}, mine)
		}
		tell(s.client, s.row)
	}
	d.shelf = d.shelf[:0]
	d.room = min(2*d.room, files.TogetherMost)
}

func newDesk() *desk {
	return &desk{calendar: calendar.NewEncoder(calendar.Options{Version: Version}), room: 1}
}

// ofCalendar reuses the encoder, which is of the usual language and manner.
func (d *desk) ofCalendar(p *record.Plan) (out []byte, err error) {
	if p.Language != "" || p.Discreet || p.Remind > 0 {
		return calendarOf(p)
	}
	d.ics, err = d.calendar.Append(d.ics[:0], p)
	return d.ics, err
}
