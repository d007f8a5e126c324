package clinic

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/followup"
	"isocue.example/compiler/report/plans"
)

// Effect is what an entry changes: what a compile of now comes to, and what the client then needs.
type Effect struct {
	Says  []string          // a sentence each; none where nothing is to be said
	Due   bool              // a new sheet has to be made for it
	Asks  bool              // something stays closed until the symptom questions are asked
	Needs followup.Attended // the client
}

// Effect says what became of one client by an entry.
func (j *Judging) Effect(e *Entering, name string) (out Effect, err error) {
	name = filepath.Clean(name)
	found, err := find(filepath.Dir(name))
	if err != nil {
		return out, err
	}
	var holders []holder
	for _, f := range found.Files {
		if !load.IsDiaryName(f) && f != name {
			holders = append(holders, holder{file: f})
		}
	}
	r := j.meet(name)
	of, _ := found.owners(append(holders, holder{file: name, id: r.id}))
	var a compiler.Attending
	out.Needs, a = j.look(r, of[name], filepath.Dir(filepath.FromSlash(e.Pack(name))))
	if a.Runs && a.Plan == nil { // somebody may train by a plan that is not as isocue wrote it
		if out.Due = j.callsBack(e, name); out.Due {
			out.Says = []string{"the plan cannot be trusted, so that every session is to be called back"}
		}
		return out, nil
	}
	out.Says, out.Due = effect(e.Entry, a)
	a.Felt = true
	if f := j.Under.Follow(a.Following); f.Entered != nil {
		out.Asks = slices.ContainsFunc(f.Entered.Held, func(h progress.Held) bool { return strings.Contains(h.Opens, "asked no") })
	}
	for _, t := range of[name].trouble {
		out.Says = append(out.Says, "no new plan can be made: "+finding.Plain(t.Message)+"; "+t.Remedy)
	}
	return out, nil
}

// effect says in a sentence what a compile would change.
func effect(e *record.Entry, a compiler.Attending) (says []string, due bool) {
	switch {
	case a.Made == nil && a.Asked != nil && a.Trial != nil && a.Trial.Plan == nil && finding.Rejected(a.Trial.Findings):
		return append([]string{fmt.Sprintf("the course begins on %s", a.Asked.Start)}, refusals(a.Trial.Findings)...), true
	case a.Made == nil && a.Asked != nil:
		next := 1
		if a.Plan != nil {
			next = a.Plan.Sheet + 1
		}
		return []string{fmt.Sprintf("the course begins on %s; sheet %d is to be made", a.Asked.Start, next)}, true
	case a.Made == nil:
		return nil, false
	case a.Made.Plan == nil:
		return refusals(a.Made.Findings), false
	}
	count := map[string]int{}
	for _, c := range a.Made.Changes {
		if c.Entry == "" && c.What != "reworded" {
			count[c.What]++
		}
	}
	var parts []string
	for _, what := range []string{"cancelled", "added", "moved", "changed"} {
		n := count[what]
		switch {
		case n == 0:
		case what == "cancelled" && len(a.Made.Plan.Holds) > 0:
			parts = append(parts, fell(n)+" until "+opens(e))
		case len(parts) == 0:
			parts = append(parts, sessions(n)+" "+what)
		default:
			parts = append(parts, fmt.Sprintf("%d %s", n, what))
		}
	}
	if len(parts) == 0 {
		if a.Made.Plan.Sheet != a.Plan.Sheet {
			return []string{fmt.Sprintf("no session changes; sheet %d", a.Made.Plan.Sheet)}, true
		}
		return []string{fmt.Sprintf("no session changes; sheet %d stands", a.Plan.Sheet)}, false
	}
	return []string{strings.Join(parts, ", ") + fmt.Sprintf("; sheet %d", a.Made.Plan.Sheet)}, true
}

// refusals are the findings that refuse a plan, a sentence each: what is wrong, what to do, and the rule.
func refusals(fs []finding.Finding) (out []string) {
	for _, f := range rejections(fs) {
		if s := fmt.Sprintf("no new plan can be made: %s; %s [%s]", finding.Plain(f.Message), f.Remedy, f.Rule); !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

func sessions(n int) string {
	if n == 1 {
		return "1 session is"
	}
	return fmt.Sprintf("%d sessions are", n)
}

func fell(n int) string {
	if n == 1 {
		return "1 session falls away"
	}
	return fmt.Sprintf("%d sessions fall away", n)
}

// opens is what opens again what an entry closed.
func opens(e *record.Entry) string {
	switch e.What {
	case record.Ill:
		return "the client is well and was asked again"
	case record.Paused:
		return "the client trains again and was asked"
	case record.Stop:
		return "another course begins"
	}
	return "it is opened again"
}

// Remake makes the pack of one client anew, as a roster of the folder would.
func (j *Judging) Remake(e *Entering, name string) (plans.RosterRow, error) {
	name = filepath.Clean(name)
	r, err := j.Roster(RosterOrder{Clients: filepath.Dir(name), Pack: filepath.Dir(filepath.FromSlash(e.Pack(name))), Own: true, Handout: true})
	if err != nil {
		return plans.RosterRow{}, err
	}
	r.all = []item{{name: name}}
	rows, _ := r.compileAll(nil)
	if len(rows) != 1 {
		return plans.RosterRow{}, finding.Bug{What: "a roster of one client has no row"}
	}
	return rows[0], nil
}
