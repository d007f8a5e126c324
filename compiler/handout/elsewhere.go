package handout

import (
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

// elsewhere are the emergency numbers of sessions to come that are trained where another one is answered.
func elsewhere(p *record.Plan, l *say.Language, now unit.Local) (out []contact) {
	last := p.Emergency
	for _, s := range coming(p, now) {
		if call := p.CallOf(*s); call != last {
			out, last = append(out, contact{fmt.Sprintf(l.Sheet.EmergencyFrom, l.FullDay(s.Start.Date())), call}), call
		}
	}
	return out
}
