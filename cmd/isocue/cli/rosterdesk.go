package cli

import (
	"isocue.example/compiler"
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
)

// desk is what one worker of a roster keeps from client to client: the encoders and the buffers of the files it makes.
type desk struct {
	calendar *calendar.Encoder
	plans    report.Plans
	ics      []byte
}

func newDesk() *desk {
	return &desk{calendar: calendar.NewEncoder(calendar.Options{Version: Version})}
}

// pack makes the files of a client's pack, in the order in which they are put into their places; they are valid until the next
// call. Sounds are left out: they are the same for every client of a protocol, and some megabytes.
func (d *desk) pack(eng *compiler.Compiler, client *load.Client, dir string, p *record.Plan) ([]pending, error) {
	return packed(eng, p, client, dir, false, d.ofCalendar, d.plans.JSON)
}

// ofCalendar reuses the encoder, which is of the usual language and manner.
func (d *desk) ofCalendar(p *record.Plan) (out []byte, err error) {
	if p.Language != "" || p.Discreet {
		return calendarOf(p, calendar.Options{Version: Version})
	}
	d.ics, err = d.calendar.Append(d.ics[:0], p)
	return d.ics, err
}
