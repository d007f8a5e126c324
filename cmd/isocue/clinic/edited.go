package clinic

import (
	"fmt"
	"path/filepath"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/bound"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// Judge judges the plan that a compile follows: what somebody edited is not gone on with. What it finds stands in j.Found.
func (b *Before) Judge(j *Judging) {
	_, fs := j.Under.ReadPlan(b.Name, b.bytes, j.Now)
	j.Found, b.doubted = append(j.Found, fs...), finding.Rejected(fs)
}

// Halt is a plan that is to be stopped.
type Halt struct {
	*Before
	Doubts []finding.Finding // what is wrong with it
	Bare   bool              // it cannot be trusted: its entries from now on stand in it, and nothing of what they say
	Lost   int               // entries that could not be named
}

// ReadHalt reads a plan that is to be stopped. What cannot be trusted is stopped too, by the little that can.
func ReadHalt(eng *compiler.Compiler, name string, now time.Time) (h Halt, err error) {
	src, err := files.Fetch(name, load.MaxPlan)
	if err != nil {
		return h, fmt.Errorf("cannot read: %w", files.Short(err))
	}
	p, fs := eng.ReadPlan(name, src, now)
	h.Doubts = fs
	if p != nil && !finding.Rejected(fs) {
		h.Before = &Before{Name: name, Plan: p.Record, bytes: src}
		return h, nil
	}
	if p == nil { // a plan without its protocols is stopped as it stands: nobody edited what an older isocue did not write
		if old, err := load.ReadPlan(src); err == nil && len(old.Protocols) == 0 {
			h.Before = &Before{Name: name, Plan: old, bytes: src}
			return h, nil
		}
	}
	calendar, _ := files.Fetch(filepath.Join(filepath.Dir(name), "calendar.ics"), bound.Output) // without it, the plan alone
	bare, lost, err := eng.Salvage(src, calendar, now)
	if err != nil {
		return h, fmt.Errorf("%s: %w", name, err)
	}
	h.Before, h.Bare, h.Lost = &Before{Name: name, Plan: bare, bytes: src}, true, lost
	return h, nil
}

// judgedPlan reads a plan of a client's for a look at it; nil without a name. Where something in it rejects, the plan is nil, and the
// findings say why.
func (j *Judging) judgedPlan(name string, cl *record.Client) (*record.Plan, []finding.Finding, error) {
	p, err := readPlan(name, cl)
	if err != nil || p == nil {
		return nil, nil, err
	}
	src, err := files.Fetch(name, load.MaxPlan)
	if err != nil {
		return nil, nil, fmt.Errorf("cannot read %s: %w", name, files.Cause(err))
	}
	_, fs := j.Under.ReadPlan(name, src, j.Now)
	if finding.Rejected(fs) {
		return nil, fs, nil
	}
	return p, fs, nil
}

// doubt is one finding about a plan as a line.
func doubt(f finding.Finding) string { return f.Pos.File + ": " + f.Message + "; " + f.Remedy }
