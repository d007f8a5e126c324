package calendar

import (
	"fmt"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// gateIf is the gate where the session carries it.
func gateIf(p *record.Plan, at place, call string) []string {
	switch {
	case at.gate:
		return gate(p, call)
	case at.shared:
		return []string{gateShared}
	}
	return nil
}

// gate says the symptoms first: who has them must not stop to read numbers.
func gate(p *record.Plan, call string) []string {
	if call == "" {
		call = gateCall
	}
	n, sit := p.Sitting.Readings, span(unit.Seconds(p.Sitting.SitSeconds))
	if p.Gate.Maternity {
		out := []string{fmt.Sprintf(gateSymptoms, call), fmt.Sprintf(gateSit, sit, count(n, "reading")),
			fmt.Sprintf(maternityGate, p.Gate.Systolic, p.Gate.Diastolic, p.Gate.EmergencySystolic, p.Gate.EmergencyDiastolic, call)}
		if p.Gate.LowSystolic.Sign() > 0 {
			out = append(out, fmt.Sprintf(gateLow, p.Gate.LowSystolic, p.Gate.PulseCoach, p.Gate.PulseClinic))
		}
		return out
	}
	out := []string{
		fmt.Sprintf(gateSymptoms, call),
		fmt.Sprintf(gateSit, sit, count(n, "reading")),
		fmt.Sprintf(gateMean, sit, inWords(n), plural(n, "reading")),
		fmt.Sprintf(gateThreshold, p.Gate.Systolic, p.Gate.Diastolic),
	}
	if line := effortLine(p.Gate); line != "" {
		out = append(out, fmt.Sprintf(gateEffort, line, inWords(p.Sitting.HighDays)))
	}
	if p.Gate.LowSystolic.Sign() > 0 {
		out = append(out, fmt.Sprintf(gateLow, p.Gate.LowSystolic, p.Gate.PulseCoach, p.Gate.PulseClinic))
	}
	return out
}

// effortLine is the pair from which there is no effort, as far as a line is drawn.
func effortLine(g record.Gate) string {
	var parts []string
	for _, x := range []struct {
		name string
		at   unit.Dec
	}{{"upper", g.EffortSystolic}, {"lower", g.EffortDiastolic}} {
		if x.at.Sign() > 0 {
			parts = append(parts, fmt.Sprintf("%s number %s or more", x.name, x.at))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	s := strings.Join(parts, ", or ")
	return strings.ToUpper(s[:1]) + s[1:]
}
