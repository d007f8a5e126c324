package cli

import (
	"fmt"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// runStop ends a programme. What to do first is said first.
func (a *app) runStop(form string, fl compileFlags) error {
	day, err := unit.ParseDate(fl.again.stop)
	if err != nil {
		return fmt.Errorf("--stop: %w", err)
	}
	now, err := a.moment()
	if err != nil {
		return err
	}
	halt, err := clinic.ReadHalt(a.engine(), fl.again.previous, now)
	if err != nil {
		return err
	}
	today := clinic.Today(halt.Plan.Zone, now)
	if day < today {
		fmt.Fprintf(a.err, "%s is past: the programme is stopped from today on, %s\n", day, today)
	}
	if halt.Bare && day > today || day < today {
		day = today // nobody goes on until then by a plan that cannot be trusted; what is past is past
	}
	plan, changes, err := a.engine().Stop(halt.Plan, day, now)
	if err != nil {
		return fmt.Errorf("--stop: %w", err)
	}
	if _, err := fmt.Fprint(a.err, "phone the client today: importing a file removes nothing\n",
		"have the client delete this programme's own calendar on the phone; the new file then holds what is past and what was cancelled\n"); err != nil {
		return err
	}
	for _, f := range halt.Doubts {
		fmt.Fprintf(a.err, "%s: %s [%s]\n", f.Pos.File, f.Message, f.Rule)
	}
	if halt.Bare {
		fmt.Fprintf(a.err, "this plan cannot be trusted: the client may train by a load that nobody judged; ask which one, and tell the coach and the clinic\n"+
			"everything from now on is cancelled, whatever day was named; what is past is left out, and so is every load, step and title\n")
	}
	if halt.Lost > 0 {
		fmt.Fprintf(a.err, "entries that could not be named, and are not cancelled: %d; they go with the calendar on the phone\n", halt.Lost)
	}
	if err := a.emit(a.engine(), plan, nil, halt.Before, form, fl); err != nil {
		return err
	}
	return plans.Changes(a.err, plan, halt.Plan.Sheet, changes)
}
