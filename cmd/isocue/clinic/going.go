package clinic

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Options are those that shape an output and last from plan to plan: what a run was not given stays as it was in the plan before,
// whoever compiles. nil is not given.
type Options struct {
	Reviews, Gather *bool
	Remind          *int
	Closed          []record.Span
}

// over is a compile's input after a plan, with what a run was given laid over what the plan carries.
func (o Options) over(in compiler.Input, prev *record.Plan) compiler.Input {
	if in.Previous = prev; prev != nil {
		in.Closed, in.NoReviews, in.Gather, in.Remind = prev.Closed, prev.NoReviews, prev.Gather, prev.Remind
	}
	if o.Reviews != nil {
		in.NoReviews = !*o.Reviews
	}
	if o.Gather != nil {
		in.Gather = *o.Gather
	}
	if o.Remind != nil {
		in.Remind = *o.Remind
	}
	if o.Closed != nil {
		in.Closed = o.Closed
	}
	return in
}

// After is the input of a compile after a plan before, nil for none.
func (o Options) After(b *Before) compiler.Input {
	if b == nil {
		return o.over(compiler.Input{}, nil)
	}
	in := o.over(compiler.Input{}, b.Plan)
	in.Start, in.Pauses = b.Plan.Start, b.Plan.Pauses
	return in
}

// ended says whether the course of a plan is over: its last session is past, or it was stopped before today.
func ended(in compiler.Input, p *record.Plan) bool {
	var last unit.Date
	for _, s := range p.Sessions {
		last = max(last, s.Start.Date())
	}
	return last < Today(p.Zone, in.Now)
}

// own are the protocols that a plan goes on with, as they are today where a file of theirs is found, else as the plan has them.
func (f Front) own(eng *compiler.Compiler, plan *record.Plan, name string, src []byte, now unit.Local, given []*load.Protocol) (out []*load.Protocol, err error) {
	var copies []*load.Protocol
	for _, id := range plan.Own(now) {
		if i := slices.IndexFunc(given, func(p *load.Protocol) bool { return p.Record.ID == id }); i >= 0 {
			out = append(out, given[i])
			continue
		}
		if s := eng.Standard(id); s != nil {
			out = append(out, &s.Protocols[0])
			continue
		}
		file, err := f.beside(eng, name, id)
		if err != nil {
			return nil, err
		}
		if file != nil {
			out = append(out, file)
			continue
		}
		if copies == nil {
			r := eng.Reader.Bytes(name, src)
			if r.Plan == nil {
				return nil, fmt.Errorf("%s does not carry protocol %s as it was compiled; name its file", name, id)
			}
			copies = r.Plan.Protocols
		}
		i := slices.IndexFunc(copies, func(p *load.Protocol) bool { return p.Record.ID == id })
		if i < 0 {
			return nil, fmt.Errorf("%s does not carry protocol %s in a form of today; name its file", name, id)
		}
		f.Say("%s has no file here: the copy in %s is compiled", id, filepath.ToSlash(name))
		out = append(out, copies[i])
	}
	return out, nil
}

// beside is a protocol of the clinic's own by its id: in the folder of protocols here, or in that of the clinic's folder around a
// plan; nil where there is none.
func (f Front) beside(eng *compiler.Compiler, plan, id string) (*load.Protocol, error) {
	packs := filepath.Dir(filepath.Dir(plan))
	for _, dir := range []string{"protocols", filepath.Join(filepath.Dir(packs), "protocols")} {
		for _, ending := range []string{".cue", ".yaml", ".yml", ".json"} {
			path := filepath.Join(dir, id+ending)
			if st, err := os.Stat(path); err != nil || !st.Mode().IsRegular() {
				continue
			}
			file, err := f.Open(eng, path, "")
			if err != nil {
				return nil, err
			}
			for i := range file.Protocols {
				if file.Protocols[i].Record.ID == id {
					if finding.Rejected(file.Findings) {
						return nil, fmt.Errorf("%s cannot be read; isocue lint says why", path)
					}
					return &file.Protocols[i], nil
				}
			}
		}
	}
	return nil, nil
}

// strangers are the protocols named that the plan of a running course does not have.
func strangers(in compiler.Input) (out []string) {
	for _, p := range in.Protocols {
		if _, known := in.Previous.Course(p.Record.ID); !known {
			out = append(out, p.Record.ID)
		}
	}
	return out
}

// MayJoin refuses a protocol that a running course does not have, unless it was said that it is meant: a word from the command of
// yesterday would cancel a course and begin another.
func MayJoin(in compiler.Input, name string) error {
	if in.Previous == nil || in.Begin != 0 || ended(in, in.Previous) {
		return nil
	}
	new := strangers(in)
	if len(new) == 0 || in.Move && len(new) == len(in.Protocols) {
		return nil // another course takes the place of this one, from a day that was named
	}
	was := strings.Join(in.Previous.Own(history.Wall(in.Previous.Zone, in.Now)), ", ")
	return fmt.Errorf("%s is not in the running course of %s, which has: %s; for a new course in its place, name a --start; to train it beside the others, add --add and the --start of it", strings.Join(new, ", "), name, was)
}
