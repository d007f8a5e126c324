package cli

import (
	"bytes"
	"fmt"
	"io"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler"
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
)

// emit writes the plan. What it says about the files goes where the findings go, and only where these are lines for people: a
// document for programs stands alone.
func (a *app) emit(eng *compiler.Compiler, p *record.Plan, client *load.Client, before *clinic.Before, form string, fl compileFlags) error {
	say := a.err
	if fl.format != "text" && fl.format != "github" {
		say = io.Discard
	}
	var ready []files.File
	pack := clinic.NewPack(fl.pack)
	if fl.pack != "" {
		var err error
		if ready, err = pack.Files(eng, p, client); err != nil {
			return err
		}
		if fl.again.stop != "" {
			var told []string
			if ready, told, err = clinic.MakeWay(ready); err != nil {
				return err
			}
			for _, s := range told {
				fmt.Fprintf(a.err, "isocue: %s\n", report.Clean(s))
			}
		}
	} else {
		b, err := clinic.Render(p, form)
		if err != nil {
			return err
		}
		if fl.out == "" || fl.out == "-" {
			if _, err := io.Copy(a.out, bytes.NewReader(b)); err != nil {
				return err
			}
			if fl.out == "" && terminal(a.out) {
				fmt.Fprintln(say, "isocue: write -o FILE.ics for the calendar, --pack DIR for calendar, plan, sheet and session page")
			}
			return nil
		}
		ready = []files.File{{Name: fl.out, Data: b}}
	}
	for _, r := range ready {
		if n := len(r.Data); n > calendar.Large && bytes.HasPrefix(r.Data, []byte("BEGIN:VCALENDAR")) {
			fmt.Fprintf(say, "isocue: %s is %d bytes; some calendar programs refuse an import over %d\n", report.Clean(r.Name), n, calendar.Large)
		}
	}
	var err error
	if fl.pack != "" {
		err = pack.Write(ready, before, fl.force)
	} else {
		err = files.Write(ready, files.Manner{Force: fl.force})
	}
	if err != nil {
		return err
	}
	for _, r := range ready {
		fmt.Fprintf(say, "isocue: wrote %s\n", report.Clean(r.Name))
	}
	return nil
}
