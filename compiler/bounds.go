package compiler

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/tree"
)

// Bounds is the rule id of what asks for more than isocue makes.
const Bounds = "bounds"

// BoundsWhy is why there are bounds.
const BoundsWhy = "What would take minutes, or more memory than a small computer has, is refused before it begins; nobody trains by so large a plan."

// asksTooMuch holds what a programme asks for to the bounds, before any of it is made: how many protocols, stretches away and
// sessions.
func (g *programme) asksTooMuch() (out []finding.Finding) {
	if n := len(g.in.Protocols); n > bound.Protocols {
		return []finding.Finding{g.over(g.in.Protocols[bound.Protocols].Node, "", &bound.Over{What: "the programme has", Has: n, Of: "protocols", Most: bound.Protocols,
			Then: "name the protocols that the client trains now"})}
	}
	if n := len(g.history.Spans("")); n > bound.Away {
		return []finding.Finding{g.over(g.in.Client.Node, "", &bound.Over{What: "days away, closing days and pauses are", Has: n, Of: "stretches apart", Most: bound.Away,
			Then: "leave out what lies years away from the course"})}
	}
	all, most, largest := 0, 0, (*load.Protocol)(nil)
	for _, p := range g.trained {
		n := 0
		for _, s := range p.Record.Stages {
			n += s.Weeks * s.DaysPerWeek * s.PerDay
		}
		if all += n; n > most {
			most, largest = n, p
		}
	}
	if all <= bound.Sessions {
		return nil
	}
	r := largest.Record
	return []finding.Finding{g.over(largest.Node.Get("sessionsPerDay"), "sessionsPerDay", &bound.Over{What: "the programme asks for", Has: all, Of: "sessions", Most: bound.Sessions,
		Then: fmt.Sprintf("write fewer sessionsPerDay, daysPerWeek or weeks; %s alone asks for %d sessions", r.ID, most)})}
}

// over is a bound that was exceeded, as a finding at the place that can mend it.
func (g *programme) over(at *tree.Node, path string, o *bound.Over) finding.Finding {
	f := finding.Finding{Rule: Bounds, Verdict: finding.Malformed, Path: path, Message: o.Message(), Remedy: o.Then, Rationale: BoundsWhy}
	if at != nil {
		f.Pos, f.Found = at.Pos, at.Raw
	}
	return f
}

// overrun makes a finding of an error that is an exceeded bound, at the client's hours, and leaves others as they are.
func (r *pass) overrun() {
	var o *bound.Over
	if !errors.As(r.err, &o) {
		return
	}
	at := r.in.Client.Node
	if hours := at.Get("hours"); hours != nil {
		at = hours
	}
	f := r.over(at, "hours", o)
	f.Found, f.Private = "", true
	r.find([]finding.Finding{f})
	r.err = nil
}

// madeTooMuch holds the plan as it was made to the bounds: entries that were cancelled in earlier compiles stay in it.
func (r *pass) madeTooMuch() []finding.Finding {
	if n := len(r.Plan.Sessions) + len(r.Plan.Others); n > bound.Entries {
		r.Plan, r.Changes = nil, nil
		return []finding.Finding{r.over(r.in.Client.Node, "", &bound.Over{What: "the plan would have", Has: n, Of: "entries, those cancelled before included", Most: bound.Entries,
			Then: "stop the plan before, and begin a new course with --start"})}
	}
	for _, p := range r.trained {
		for _, key := range slices.Sorted(maps.Keys(r.Plan.Kinds)) {
			k := r.Plan.Kinds[key]
			if n := len(k.Steps); k.Protocol == p.Record.ID && n > bound.KindSteps {
				r.Plan, r.Changes = nil, nil
				return []finding.Finding{r.over(p.Node, "", &bound.Over{What: "a session of " + p.Record.ID + " has", Has: n, Of: "steps", Most: bound.KindSteps, Then: "write fewer exercises, sets or rounds"})}
			}
		}
	}
	return nil
}
