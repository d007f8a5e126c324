package check

import (
	"slices"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// counted is the sessions of one modality as they stand in the calendar, whatever protocol they are of.
type counted struct {
	last      *record.Session
	gap       unit.Local // the least between two sessions of different protocols; under 0 without
	a, b      string     // whose they are
	protocols []string
	day, week map[unit.Date]int
	now, most unit.Tenths // work in the sitting at hand, and in the longest
}

// Apart judges the sessions of one modality that are of different protocols, by the rules about sessions: rest does not ask which
// protocol came before, and a day or a sitting not whose sessions it holds. The sessions stand in the order of their starts. What
// was found in the sessions of one protocol is not told a second time.
func (c *Checker) Apart(protocols []*load.Protocol, f PlanFacts, own []finding.Finding) (out []finding.Finding) {
	all := map[record.Modality]*counted{}
	for i := range f.Sessions {
		s := &f.Sessions[i]
		k := f.Kinds[s.Kind]
		n := all[k.Modality]
		if n == nil {
			n = &counted{gap: -1, day: map[unit.Date]int{}, week: map[unit.Date]int{}}
			all[k.Modality] = n
		}
		n.take(s, k, f.Start)
		if s.End {
			for _, n := range all {
				n.now = 0
			}
		}
	}
	for _, m := range record.Modalities {
		n := all[m]
		if n == nil || len(n.protocols) < 2 {
			continue
		}
		g := tree.NewRecord()
		str(g, "protocol", n.b)
		str(g, "modality", string(m))
		num(g, "gapHours", unit.Ratio(int64(n.gap), 60))
		g.Set("perDay", tree.Int(most(n.day)))
		g.Set("perWeek", tree.Int(most(n.week)))
		num(g, "workMinutes", unit.Ratio(int64(n.most), 600))
		out = append(out, c.apart(n, rule.Given{Node: g, Anchor: n.anchor(protocols)}, own)...)
	}
	return out
}

func (n *counted) take(s *record.Session, k record.Kind, start unit.Date) {
	if p := n.last; p != nil && p.Protocol != s.Protocol && (n.gap < 0 || s.Start-p.Start < n.gap) {
		n.gap, n.a, n.b = s.Start-p.Start, p.Protocol, s.Protocol
	}
	n.last = s
	if !slices.Contains(n.protocols, s.Protocol) {
		n.protocols = append(n.protocols, s.Protocol)
	}
	d := s.Start.Date()
	n.day[d]++
	n.week[d-((d-start)%7+7)%7]++
	n.now += k.WorkSeconds
	n.most = max(n.most, n.now)
}

// anchor is in the later protocol where it is at hand: it is the one that can move.
func (n *counted) anchor(protocols []*load.Protocol) (at *tree.Node) {
	for _, p := range protocols {
		if p.Record.ID == n.b || p.Record.ID == n.a && at == nil {
			at = p.Node.Get("daysPerWeek")
		}
	}
	return at
}

// ofAny is the facts about sessions that do not ask whose sessions they are.
var ofAny = []string{"gapHours", "perDay", "perWeek", "workMinutes"}

func (c *Checker) apart(n *counted, g rule.Given, own []finding.Finding) (out []finding.Finding) {
	var fs []finding.Finding
	var by []*rule.Rule
	for _, r := range c.rules("session", g.Node) {
		if !reads(r, ofAny...) {
			continue
		}
		f, ok := c.judge(r, g)
		if ok || slices.ContainsFunc(own, func(o finding.Finding) bool { return o.Rule == f.Rule && o.Found == f.Found }) {
			continue
		}
		names := slices.Sorted(slices.Values(n.protocols))
		if reads(r, "gapHours") {
			names = []string{n.a, n.b}
			slices.Sort(names)
			f.Remedy = "leave more time between the last session of one and the first of the other, or train by one of them alone"
			f.Message = inWords(names) + " together: " + f.Message
		} else {
			jointly(&f, inWords(names))
		}
		fs, by = append(fs, f), append(by, r)
	}
	return cover(fs, by)
}
