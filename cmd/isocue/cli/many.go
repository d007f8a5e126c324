package cli

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report/followup"
)

// runClinic follows every client of a folder and lists who needs a look, the worst first.
func (a *app) runClinic(fl progressFlags, judge judgeFlags) error {
	j, err := a.begin(a.err, judge, nil, []string{fl.clients})
	if err != nil {
		return err
	}
	if err := checkWeeks(j.eng, fl.weeks); err != nil {
		return err
	}
	if finding.Rejected(j.found) { // the clinic's own policy
		if err := j.print(a.err); err != nil {
			return err
		}
		return errRefused
	}
	names, err := records(fl.clients)
	if err != nil {
		return err
	}
	var all []followup.Standing
	refused := false
	for _, name := range names {
		s, ok, err := a.standing(j, name, fl)
		if err != nil {
			return err
		}
		if ok {
			all = append(all, s)
			refused = refused || s.Refused != "" || s.Followed.Closing() != nil
		}
	}
	if len(all) == 0 {
		return fmt.Errorf("%s holds no client record, allowed: at least one, ending in .cue, .yaml, .yml or .json", fl.clients)
	}
	slices.SortStableFunc(all, func(x, y followup.Standing) int {
		return cmp.Or(cmp.Compare(x.Rank(), y.Rank()), cmp.Compare(x.Name(), y.Name()))
	})
	err = followup.Standings.Write(a.out, fl.format, all)
	if err == nil && refused {
		err = errRefused
	}
	return err
}

// records are the files of a folder that a person may have written, without those below it.
func records(dir string) (out []string, err error) {
	es, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", dir, cause(err))
	}
	for _, e := range es {
		name := filepath.Join(dir, e.Name())
		if _, known := load.FormatOf(e.Name()); !known {
			continue
		}
		if linked(name, e) || e.Type().IsRegular() {
			out = append(out, name)
		}
	}
	return out, nil
}

// standing follows one client of a folder; ok is false for a file that is no client record.
func (a *app) standing(j *judging, name string, fl progressFlags) (out followup.Standing, ok bool, err error) {
	if err := staysIn(fl.clients, name); err != nil {
		out.File, out.Refused = filepath.ToSlash(name), err.Error()
		return out, true, nil
	}
	f, err := j.eng.Reader.Path(name)
	if err != nil {
		return out, false, fmt.Errorf("cannot read: %w", unwrapPath(err))
	}
	if f.Kind != load.IsClient {
		return out, false, nil
	}
	out.File = filepath.ToSlash(name)
	if f.Client == nil {
		out.Refused = "the record cannot be used: isocue lint says why"
		return out, true, nil
	}
	cl := f.Client.Record
	in := compiler.Following{Client: f.Client, Now: j.now, Weeks: fl.weeks}
	logs, _, err := logsBeside(name, cl.ID)
	if err != nil {
		out.Refused = err.Error()
		return out, true, nil
	}
	out.NoLog = logs[0] == ""
	if fl.plan != "" {
		p := filepath.Join(fl.plan, cl.ID, "plan.json")
		if _, err := os.Stat(p); err == nil {
			if in.Plan, err = readPlan(p, cl); err != nil {
				out.Refused = err.Error()
				return out, true, nil
			}
		}
	}
	if in.Log, in.Sessions, err = readLogs(j.eng, in, filepath.ToSlash(logs[0]), filepath.ToSlash(logs[1]), j.keepLog); err != nil {
		out.Refused = err.Error() // one log that cannot be read must not hide the other clients
		return out, true, nil
	}
	out.Followed = j.eng.Follow(in)
	return out, true, nil
}
