package handout

import (
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
)

// elsewhere are the emergency numbers that are answered from days to come on, where the client is to move.
func elsewhere(p *record.Plan, l *say.Language) (out []contact) {
	last := p.Emergency
	for _, m := range p.Moves {
		if m.Emergency != last {
			out, last = append(out, contact{fmt.Sprintf(l.Sheet.EmergencyFrom, l.FullDay(m.From)), m.Emergency}), m.Emergency
		}
	}
	return out
}

// numbers are all emergency numbers of a plan in one line, each but the first behind its day.
func numbers(p *record.Plan, l *say.Language) string {
	out := p.Emergency
	for _, c := range elsewhere(p, l) {
		out += " (" + c.Who + ": " + c.Number + ")"
	}
	return out
}
