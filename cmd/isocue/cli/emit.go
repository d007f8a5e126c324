package cli

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/fhir"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/report/plans"
)

// planForms are the forms of a plan that need nothing but the plan.
var planForms = append(plans.Forms, report.Form[*record.Plan]{Name: "fhir", Write: fhir.Plan})

// render makes the bytes of one form.
func render(p *record.Plan, form string, opt calendar.Options) ([]byte, error) {
	if form == "ics" {
		return calendarOf(p, opt)
	}
	var b bytes.Buffer
	err := planForms.Write(&b, form, p)
	return b.Bytes(), err
}

// emit writes the plan. What it says about the files goes where the findings go, and only where these are lines for people: a
// document for programs stands alone.
func (a *app) emit(eng *compiler.Compiler, p *record.Plan, client *load.Client, form string, fl compileFlags) error {
	say := a.err
	if fl.format != "text" && fl.format != "github" {
		say = io.Discard
	}
	var ready []pending
	made := false // the pack's folder
	switch {
	case fl.pack != "":
		_, err := os.Lstat(fl.pack)
		made = err != nil
		if err := os.MkdirAll(fl.pack, 0o700); err != nil {
			return fmt.Errorf("cannot make the pack's folder: %w", unwrapPath(err))
		}
		if ready, err = packed(eng, p, client, fl.pack, packNames, true,
			func(p *record.Plan) ([]byte, error) { return calendarOf(p, fl.again.options()) },
			func(p *record.Plan) ([]byte, error) { return render(p, "plan", calendar.Options{}) }); err != nil {
			return err
		}
	default:
		b, err := render(p, form, fl.again.options())
		if err != nil {
			return err
		}
		if fl.out != "" && fl.out != "-" {
			ready = []pending{{name: fl.out, data: b}}
			break
		}
		if _, err := io.Copy(a.out, bytes.NewReader(b)); err != nil {
			return err
		}
		if fl.out == "" && terminal(a.out) {
			fmt.Fprintln(say, "isocue: write -o FILE.ics for the calendar, --pack DIR for plan and calendar")
		}
		return nil
	}
	for _, r := range ready {
		if n := len(r.data); n > calendar.Large && strings.HasPrefix(string(r.data[:64]), "BEGIN:VCALENDAR") {
			fmt.Fprintf(say, "isocue: %s is %d bytes; some calendar programs refuse an import over %d\n", report.Clean(r.name), n, calendar.Large)
		}
	}
	var may func() error
	switch plan := ready[len(ready)-1]; {
	case fl.pack != "" && fl.again.previous != "":
		may = func() error { return fl.again.stillFollows(plan, fl.force) }
	case fl.pack != "" && !fl.force:
		may = func() error { return sameAsBefore(plan) }
	}
	if err := writeAll(ready, fl.force, may); err != nil {
		if made {
			os.Remove(fl.pack) // which succeeds only if it is empty
		}
		return err
	}
	for _, r := range ready {
		fmt.Fprintf(say, "isocue: wrote %s\n", report.Clean(r.name))
	}
	return nil
}
