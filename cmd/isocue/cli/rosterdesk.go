package cli

import (
	"path/filepath"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
)

// The files of a pack.
const packCalendar, packPlan = "calendar.ics", "plan.json"

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
// call. The plan is the last: as long as the old one stands, a run that was killed compiles this client again. Further views of
// the plan stand before it.
func (d *desk) pack(dir string, p *record.Plan) ([]pending, error) {
	plan, err := d.plans.JSON(p)
	if err != nil {
		return nil, err
	}
	if d.ics, err = d.calendar.Append(d.ics[:0], p); err != nil {
		return nil, err
	}
	return []pending{{name: filepath.Join(dir, packCalendar), data: d.ics}, {name: filepath.Join(dir, packPlan), data: plan}}, nil
}
