package handout

import (
	"fmt"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

// part is the section of one protocol.
type part struct {
	Title     string
	Set       []setLine
	Breathing []string
	Work, How []setLine // walks and exercises: a line for some weeks in place of ways, and how each exercise is done
	Ways      []way
	First     string // what to do where the first squeeze cannot be held
	End       string
}

// way is one way in which a protocol's sessions run: kinds whose steps differ in their loads alone run in one way. Weeks is ""
// where there is no other.
type way struct {
	Weeks     string
	Sentences []string
	Drawings  []drawing
	Sound     string // which file paces it, "" without one; how its tones are heard is said with the first
}

// setLine is what is set in some weeks; Weeks is "" where it is the same in all.
type setLine struct {
	Weeks       string
	Lines       []string
	first, last int
}

// parts are the sections of a sheet about the work, one a protocol.
func parts(in Input, l *say.Language, sessions []*record.Session) (out []part) {
	p := in.Plan
	all := groups(p, sessions)
	slices.SortStableFunc(all, func(a, b group) int { return begins(p, a.protocol) - begins(p, b.protocol) }) // one order from sheet to sheet
	var sounds map[string]string
	if in.Sounds {
		sounds = soundNames(p, sessions)
	}
	at := map[string]int{}
	for _, g := range all {
		k := p.Kinds[g.uses[0].kind]
		i, there := at[g.protocol]
		if !there {
			i = len(out)
			at[g.protocol] = i
			out = append(out, part{Title: k.Title, Breathing: l.Breathing(&k), End: l.SitAtEnd(p)})
		}
		x := &out[i]
		if hard, work, how, ok := l.InShort(&k); ok {
			first, last := g.uses[0].first, g.uses[len(g.uses)-1].last
			x.Set = added(x.Set, setLine{Lines: hard, first: first, last: last})
			x.Work = added(x.Work, setLine{Lines: []string{work}, first: first, last: last})
			for _, m := range how {
				if !slices.ContainsFunc(x.How, func(s setLine) bool { return s.Lines[0] == m }) {
					x.How = append(x.How, setLine{Lines: []string{m}})
				}
			}
			continue
		}
		for _, line := range setLines(p, l, g) {
			x.Set = added(x.Set, line)
		}
		w := way{Weeks: l.InWeeks(g.uses[0].first, g.uses[len(g.uses)-1].last), Sentences: sentences(l, settled(k, g), oneLoad(p, g))}
		if file := sounds[g.uses[0].kind]; file != "" {
			form := l.Sheet.Sound
			if slices.ContainsFunc(x.Ways, func(w way) bool { return w.Sound != "" }) {
				form = l.Sheet.SoundAlso
			}
			w.Sound = fmt.Sprintf(form, file)
		}
		if d, ok := sessionDrawing(l, &k); ok {
			w.Drawings = append(w.Drawings, d)
		}
		if b := pattern(&k); b != nil && !drawn(x.Ways, b, l) {
			w.Drawings = append(w.Drawings, breathDrawing(l, b))
		}
		x.Ways = append(x.Ways, w)
		for j := range sessions {
			if s := sessions[j]; s.First && s.Protocol == g.protocol {
				x.First = l.FirstSqueeze(p)
			}
		}
	}
	for i := range out {
		x := &out[i]
		for _, lines := range [][]setLine{x.Set, x.Work} {
			for j := range lines {
				lines[j].Weeks = say.Upper(l.InWeeks(lines[j].first, lines[j].last))
			}
			if len(x.Work) > 0 && len(lines) == 1 && len(x.Ways) == 0 {
				lines[0].Weeks = ""
			}
		}
		if len(x.Ways) == 1 {
			x.Ways[0].Weeks = ""
			if len(x.Set) == 1 {
				x.Set[0].Weeks = ""
			}
		}
	}
	return out
}

// added is lines with one more, or with the last one standing for longer.
func added(lines []setLine, one setLine) []setLine {
	if n := len(lines); n > 0 && slices.Equal(lines[n-1].Lines, one.Lines) {
		lines[n-1].last = max(lines[n-1].last, one.last)
		return lines
	}
	return append(lines, one)
}

// begins is which of the plan's sessions is a protocol's first.
func begins(p *record.Plan, protocol string) int {
	return slices.IndexFunc(p.Sessions, func(s record.Session) bool { return s.Protocol == protocol })
}

// drawn says whether one breath of this pattern is drawn already.
func drawn(ways []way, b *record.Breath, l *say.Language) bool {
	for _, w := range ways {
		for _, d := range w.Drawings {
			if d.Title == breathDrawing(l, b).Title && d.Desc == l.Pattern(*b) {
				return true
			}
		}
	}
	return false
}

// settled is a kind with its loads alone, without the range around them, where some of its sessions are trained with a load that
// must not be raised.
func settled(k record.Kind, g group) *record.Kind {
	if !slices.ContainsFunc(g.uses, func(u use) bool { return u.status == record.Provisional }) {
		return &k
	}
	k.Steps, k.Loads = slices.Clone(k.Steps), slices.Clone(k.Loads)
	for i := range k.Steps {
		k.Steps[i].Low, k.Steps[i].High = nil, nil
	}
	for i := range k.Loads {
		k.Loads[i].Low, k.Loads[i].High = unit.Dec{}, unit.Dec{}
	}
	return &k
}

// oneLoad says whether all sessions of a group are trained with one load that stands.
func oneLoad(p *record.Plan, g group) bool {
	first := p.Kinds[g.uses[0].kind]
	for _, u := range g.uses {
		k := p.Kinds[u.kind]
		if u.status == record.Provisional && k.NoNumber || !sameLoads(first.Loads, k.Loads) {
			return false
		}
	}
	return true
}

func sameLoads(a, b []record.Dose) bool {
	return slices.EqualFunc(a, b, func(x, y record.Dose) bool {
		return x.Hand == y.Hand && x.Unit == y.Unit && x.Set.Cmp(y.Set) == 0 && x.Label == y.Label && x.Heel.Cmp(y.Heel) == 0
	})
}

func setLines(p *record.Plan, l *say.Language, g group) (out []setLine) {
	for _, u := range g.uses {
		k := p.Kinds[u.kind]
		lines := l.Set(&k, u.status)
		if u.status == record.Provisional && k.NoNumber {
			lines = []string{l.Session.MeasureNoLoad}
		}
		if len(lines) == 0 {
			continue
		}
		out = append(out, setLine{Lines: lines, first: u.first, last: u.last})
	}
	return out
}
