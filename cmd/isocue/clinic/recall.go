package clinic

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/ledger"
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

// acceptedBefore finds what the ledger says was accepted, the same bytes or the same revision of a protocol, among the files that
// are refused now. A client record counts only in a folder, where its age alone refuses nothing: it ages by itself.
func (j *Judging) acceptedBefore(file string, args []string) (out []finding.Finding, err error) {
	if file, err = clinicFile("ledger.jsonl", file, args); err != nil || file == "" {
		return nil, err
	}
	if _, err := os.Stat(file); err != nil {
		return nil, nil // --record makes it
	}
	lines, _, err := ledger.Read(file)
	var broken *ledger.Broken
	if errors.As(err, &broken) {
		j.Say("%v; what was accepted before cannot be told", broken)
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	accepted := acceptances(lines)
	var names []string
	for n := range j.Files {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		f := j.Files[n]
		i := slices.IndexFunc(j.Found, func(x finding.Finding) bool { return x.Pos.File == n && x.Rejects() })
		if i < 0 || f.Client != nil && !slices.Contains(j.firm, n) {
			continue
		}
		for k := len(accepted) - 1; k >= 0; k-- { // the newest
			l, what := accepted[k], ""
			if l.Digest == f.Digest {
				what = "this file"
			}
			for _, p := range f.Protocols {
				if l.Client == "" && l.Protocol == p.Record.ID && l.Revision == p.Record.Revision && what == "" {
					what = fmt.Sprintf("revision %d of %s, of other content,", l.Revision, l.Protocol)
				}
			}
			if what == "" {
				continue
			}
			out = append(out, finding.Finding{Rule: AcceptedBefore, Verdict: finding.Caution, Pos: j.Found[i].Pos, Private: j.Found[i].Private,
				Message:   fmt.Sprintf("%s was accepted on %s by %s under rule base %s, and is refused now under %s", what, l.Time[:min(10, len(l.Time))], l.By, l.Base, j.Under.Check.Base.Version),
				Remedy:    "look at what changed, the rule base, the policy, a waiver or the text; `isocue lint` on the clinic's folder names the clients who train by it",
				Rationale: "What was sound by the rules of then may be in use: whoever trains by it has to be told, and nobody should find out by chance."})
			break
		}
	}
	return out, nil
}

// acceptances are the lines by which a file was let through: accepted, or waived when everything that had refused the same
// bytes was waived too. The ledger writes a judgement once, so a refusal stands until it is waived or the file is accepted.
func acceptances(lines []ledger.Line) (out []ledger.Line) {
	open := map[string]map[string]bool{} // digest -> rules and places that refuse
	for i, l := range lines {
		at := l.Rule + " " + l.Path
		switch l.Verdict {
		case ledger.Accepted:
			delete(open, l.Digest)
			out = append(out, l)
			continue
		case ledger.Waived:
			delete(open[l.Digest], at)
		default:
			if open[l.Digest] == nil {
				open[l.Digest] = map[string]bool{}
			}
			open[l.Digest][at] = true
		}
		last := i+1 == len(lines) || lines[i+1].Digest != l.Digest || lines[i+1].Time != l.Time // of what was written together
		if last && len(open[l.Digest]) == 0 {
			out = append(out, l)
		}
	}
	return out
}
