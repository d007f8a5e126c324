package calendar

import (
	"fmt"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// setLoad says how to set a trainer or a squat.
func setLoad(k *record.Kind, status record.Status) []string {
	if len(k.Loads) == 0 {
		if status == record.Provisional {
			return []string{measureNoLoad}
		}
		return nil
	}
	d := k.Loads[0]
	switch {
	case k.Modality == record.Inspiratory && status == record.Provisional:
		return []string{fmt.Sprintf(lastSetting, d.Label, d.Set)}
	case k.Modality == record.Inspiratory:
		return []string{fmt.Sprintf(setTrainer, d.Label, d.Set)}
	case d.Unit == "effort":
		return []string{fmt.Sprintf(squatEffort, d.Set)}
	}
	out := []string{fmt.Sprintf(slideDown, d.Set)}
	if d.Heel.Sign() > 0 {
		out[0] = fmt.Sprintf(slideHeels, d.Heel, d.Set)
	}
	if d.High.Sign() > 0 {
		out = append(out, fmt.Sprintf(squatRate, d.Low, d.High))
	}
	return out
}

// loads lists the load of each hand, right first, as "right 12 kgf (10 to 14), left 10.5 kgf (9 to 12)".
func loads(doses []record.Dose, ranges bool) string {
	var parts []string
	for _, right := range []bool{true, false} {
		for _, d := range doses {
			if (d.Hand == record.Right) != right {
				continue
			}
			part := fmt.Sprintf("%s %s %s", d.Hand, d.Set, d.Unit)
			if ranges && d.Low.Less(d.High) {
				part += fmt.Sprintf(" (%s to %s)", d.Low, d.High)
			}
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, ", ")
}

// measureText says how a measuring day goes: gated like a session, and at home only what the client was taught.
func measureText(p *record.Plan, protocol, call string) []string {
	s := p.Sitting
	for _, k := range p.Kinds {
		if k.Protocol != protocol {
			continue
		}
		if k.Modality != record.Handgrip {
			return []string{measureCoach}
		}
		if s.TestTrials > 0 && p.Gate.Systolic.Sign() > 0 {
			return append(gate(p, call), fmt.Sprintf(measureGrip, s.TestTrials, span(unit.Seconds(s.TestSeconds)), span(unit.Seconds(s.TestRestSeconds))))
		}
	}
	return nil
}
