package clinic

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
)

// Rule ids of the findings that compare now with then.
const (
	Recalled       = "recall"
	AcceptedBefore = "accepted-before"
)

// recall judges the newest plan of each folder by the rules, policy and waivers of now, and names the clients who train under
// one that is refused: one finding a plan, as grave as what refuses it.
func (j *Judging) recall() (out []finding.Finding) {
	newest := map[string]*load.File{}
	for _, f := range j.plans {
		dir := filepath.Dir(f.Name)
		old := newest[dir]
		if old == nil || cmp.Or(cmp.Compare(old.Plan.Record.Now, f.Plan.Record.Now), cmp.Compare(old.Plan.Record.Start, f.Plan.Record.Start)) < 0 {
			newest[dir] = f
		}
	}
	clients := map[string]*load.Client{}
	for _, f := range j.Files {
		if f.Client != nil {
			clients[f.Client.Record.ID] = f.Client
		}
	}
	plans := map[string][]*load.File{}
	for _, f := range newest {
		plans[f.Plan.Record.Client] = append(plans[f.Plan.Record.Client], f)
	}
	var called []string
	for _, f := range newest {
		p := f.Plan.Record
		fs, until := j.Under.Recall(f.Plan, clients[p.Client], j.Now, earlier(f, plans[p.Client])...)
		fs = slices.DeleteFunc(fs, func(f finding.Finding) bool { return !f.Rejects() })
		if len(fs) == 0 {
			continue
		}
		slices.SortStableFunc(fs, func(a, b finding.Finding) int { return cmp.Compare(a.Verdict.Rank(), b.Verdict.Rank()) })
		why := fs[0].Message + " "
		if fs[0].Private { // it tells of the client's measurements
			why = ""
		}
		msg := fmt.Sprintf("client %s trains until %s by a plan that is refused now, compiled under rule base %s: %s[%s]", p.Client, until, p.Rules, why, fs[0].Rule)
		if n := len(fs) - 1; n > 0 {
			msg += fmt.Sprintf(", and %d more", n)
		}
		out = append(out, finding.Finding{Rule: Recalled, Verdict: fs[0].Verdict, Pos: finding.Pos{File: f.Name, Line: 1, Column: 1}, Private: true, Message: msg,
			Allowed: "a plan that is not refused", Remedy: "call the client and stop these sessions; compile again from a protocol that is not refused, or remove the pack",
			Rationale: "Whoever was given the calendar goes on by it: a limit that changed reaches the client only if somebody calls.", Sources: fs[0].Sources})
		if !slices.Contains(called, p.Client) {
			called = append(called, p.Client)
		}
	}
	if slices.Sort(called); len(called) > 0 {
		j.Say("call back: %s", strings.Join(called, ", "))
	}
	return finding.Sort(out)
}

// earlier is the plans of the same client in other folders that are older than f: the newest answers for the dose that all of them make
// together.
func earlier(f *load.File, all []*load.File) (out []*load.Plan) {
	order := func(a, b *load.File) int {
		return cmp.Or(cmp.Compare(a.Plan.Record.Now, b.Plan.Record.Now), cmp.Compare(a.Name, b.Name))
	}
	slices.SortFunc(all, order)
	for _, o := range all {
		if order(o, f) < 0 {
			out = append(out, o.Plan)
		}
	}
	return out
}
