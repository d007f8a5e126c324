package check

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
)

// Part is what one protocol trains in one week.
type Part struct {
	Protocol *load.Protocol
	Stage    int
}

func (p Part) stage() *record.Stage { return &p.Protocol.Record.Stages[p.Stage] }

// Together judges the protocols of one modality that a client trains in the same week as the one dose that they make, by the rules
// about a stage: a dose that is written in pieces is held to the limits of a dose that is written whole. Nothing keeps the sessions
// of two protocols on different days or in different sittings, so a sitting is taken to hold one session of each, a day the sessions
// of all, and a week as many days as they ask for together. weeks are the weeks of the programme in their order. The order of the
// parts and the names of the protocols change nothing but the order of the names in a message.
func (c *Checker) Together(weeks [][]Part) (out []finding.Finding) {
	for _, m := range record.Modalities {
		var before []Part
		seen := map[string]bool{}
		worst := map[string]int{} // by rule and protocols: where it stands in out, counted from 1
		for _, all := range weeks {
			now := of(m, all)
			if key := keyOf(before) + "/" + keyOf(now); len(now) > 1 && !seen[key] {
				seen[key] = true
				for _, f := range c.sum(now, before) {
					at := f.Rule + " " + namesOf(now)
					if i := worst[at]; i == 0 {
						out = append(out, f)
						worst[at] = len(out)
					} else if exceeds(f.Found, out[i-1].Found) {
						out[i-1] = f
					}
				}
			}
			before = now
		}
	}
	return out
}

// of is the parts of one modality, by the id of their protocol.
func of(m record.Modality, all []Part) (out []Part) {
	for _, p := range all {
		if p.Protocol.Record.Modality == m {
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b Part) int { return cmp.Compare(a.Protocol.Record.ID, b.Protocol.Record.ID) })
	return out
}

func keyOf(parts []Part) string {
	var b strings.Builder
	for _, p := range parts {
		b.WriteString(p.Protocol.Record.ID)
		b.WriteString(strconv.Itoa(p.Stage))
		b.WriteByte(' ')
	}
	return b.String()
}

// namesOf is the protocols as a sentence names them.
func namesOf(parts []Part) string {
	var ids []string
	for _, p := range parts {
		ids = append(ids, p.Protocol.Record.ID)
	}
	return inWords(ids)
}

func inWords(ids []string) string {
	if len(ids) < 2 {
		return strings.Join(ids, "")
	}
	return strings.Join(ids[:len(ids)-1], ", ") + " and " + ids[len(ids)-1]
}

func exceeds(a, b string) bool {
	x, xerr := unit.ParseDec(a)
	y, yerr := unit.ParseDec(b)
	return xerr == nil && yerr == nil && y.Less(x)
}

// sum judges the dose that some parts make in a week, after the week before. A rule that finds the same value in one of the parts has
// been told there, and what is only worth knowing is not told a second time.
func (c *Checker) sum(parts, before []Part) []finding.Finding {
	var fs []finding.Finding
	var by []*rule.Rule
	found := map[string]bool{}
	for _, s := range c.sums(parts, before) {
		for _, r := range c.rules("stage", s.given.Node) {
			if spanOf(r) != s.span || found[r.ID] {
				continue
			}
			f, ok := c.judge(r, s.given)
			if ok || c.inPart(r, f, parts) {
				continue
			}
			found[r.ID] = true
			fs, by = append(fs, f), append(by, r)
		}
	}
	fs = cover(fs, by)
	for i := range fs {
		jointly(&fs[i], namesOf(parts))
	}
	return fs
}

// inPart says whether a finding about a sum tells nothing that was not found in a part.
func (c *Checker) inPart(r *rule.Rule, f finding.Finding, parts []Part) bool {
	return slices.ContainsFunc(parts, func(p Part) bool {
		g, ok := r.Judge(c.StageGiven(p.Protocol, p.Stage))
		return !ok && (g.Found == f.Found || f.Verdict == finding.Caution)
	})
}

// jointly words a finding about several protocols: nobody can sign a waiver for it, since it is about no one of them.
func jointly(f *finding.Finding, names string) {
	f.Message = names + " together: " + f.Message
	f.Remedy = "train by one of them alone, or make them one protocol: " + f.Remedy
	for i := range f.Covers {
		jointly(&f.Covers[i], names)
	}
}
