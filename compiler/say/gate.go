package say

import (
	"fmt"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Gate is what is asked and read before a session.
type Gate struct {
	Symptoms, Call, Sit, Mean, Threshold, Effort, Low, Shared, Maternity string
	LowClinic                                                            string // stands in Low, where the plan draws that line
	Upper, Lower, Or                                                     string // the pair from which there is no effort, as far as a line is drawn
}

// GateLines says the symptoms first: who has them must not stop to read numbers. Call is the emergency number, "" where the
// record has none.
func (l *Language) GateLines(p *record.Plan, call string) []string {
	g, t := p.Gate, l.Gate
	if call == "" {
		call = t.Call
	}
	n, sit := p.Sitting.Readings, l.seconds(p.Sitting.SitSeconds)
	out := []string{fmt.Sprintf(t.Symptoms, call), fmt.Sprintf(t.Sit, sit, l.Count(n, l.Words.Reading))}
	if g.Maternity {
		out = append(out, fmt.Sprintf(t.Maternity, l.Number(g.Systolic), l.Number(g.Diastolic), l.Number(g.EmergencySystolic), l.Number(g.EmergencyDiastolic), call))
	} else {
		out = append(out, fmt.Sprintf(t.Mean, sit, l.InWords(n), l.Plural(n, l.Words.Reading)),
			fmt.Sprintf(t.Threshold, l.Number(g.Systolic), l.Number(g.Diastolic), call))
		if line := l.effortLine(g); line != "" {
			out = append(out, fmt.Sprintf(t.Effort, line, l.InWords(p.Sitting.HighDays)))
		}
	}
	if g.LowSystolic.Sign() > 0 {
		clinic := ""
		if g.LowClinic.Sign() > 0 {
			clinic = fmt.Sprintf(t.LowClinic, l.Number(g.LowClinic))
		}
		out = append(out, fmt.Sprintf(t.Low, l.Number(g.LowSystolic), l.Number(g.PulseCoach), clinic, l.Number(g.PulseClinic)))
	}
	return out
}

// effortLine is the pair from which there is no effort, as far as a line is drawn.
func (l *Language) effortLine(g record.Gate) string {
	var parts []string
	for _, x := range []struct {
		form string
		at   unit.Dec
	}{{l.Gate.Upper, g.EffortSystolic}, {l.Gate.Lower, g.EffortDiastolic}} {
		if x.at.Sign() > 0 {
			parts = append(parts, fmt.Sprintf(x.form, l.Number(x.at)))
		}
	}
	return Upper(strings.Join(parts, l.Gate.Or))
}
