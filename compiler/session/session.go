// Package session writes the step list of one stage: what the client does, second by second.
//
// A kind is the work that every session of a stage shares. Squeezes stand in the stage's own order; between two of
// them lies the rest, and where the next hand is another one the rest begins with a change of hands. Paced breathing
// is one step with a pattern and a count of whole breaths; what is left of the minutes is sitting. The steps of a kind
// sum to its work exactly, so that a timer, a sound and a calendar entry end together. The gate before the work and
// the minutes after it belong to the sitting, not to the kind.
package session

import (
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Key names the kind of a stage: protocol id, slash, stage index.
func Key(protocol string, stage int) string { return fmt.Sprintf("%s/%d", protocol, stage) }

// Build is the kind of one stage for one client. Of the doses only those of this protocol and stage count. It is an
// error when a trained hand has no load or a load of zero: a squeeze without a number would be squeezed at will. It
// is also an error when a span is not positive, is finer than a tenth of a second, or the modality has no steps yet.
func Build(p *record.Protocol, s *record.Stage, doses []record.Dose, c *record.Client, sitting record.Sitting) (record.Kind, error) {
	k := record.Kind{Protocol: p.ID, Title: p.Title, Modality: p.Modality, Stage: s.Index}
	var err error
	switch p.Modality {
	case record.Handgrip:
		err = squeezes(&k, p, s, doses, c, sitting)
	case record.SlowBreathing:
		err = breaths(&k, s)
	case record.Inspiratory:
		err = loadedBreaths(&k, s, doses, sitting)
	case record.WallSquat:
		err = squats(&k, s, doses)
	case record.Walking:
		err = walk(&k, s)
	case record.Strength:
		err = exercises(&k, s, sitting)
	default:
		err = fmt.Errorf("found modality %q, allowed: one of %v", p.Modality, record.Modalities)
	}
	if err != nil {
		return record.Kind{}, fmt.Errorf("session %s: %w", Key(p.ID, s.Index), err)
	}
	if k.WorkSeconds, err = Length(p, s, sitting); err != nil {
		return record.Kind{}, err
	}
	if err := Verify(k); err != nil {
		return record.Kind{}, fmt.Errorf("session %s: %w", Key(p.ID, s.Index), err)
	}
	return k, nil
}

func squeezes(k *record.Kind, p *record.Protocol, s *record.Stage, doses []record.Dose, c *record.Client, sitting record.Sitting) error {
	if s.Rounds < 1 || s.HoldSeconds < 1 || s.RestSeconds < 0 {
		return fmt.Errorf("found %d squeezes of %d s with %d s between, allowed: 1 squeeze or more of 1 s or more",
			s.Rounds, s.HoldSeconds, s.RestSeconds)
	}
	loads := map[record.Hand]*record.Dose{}
	for i := range doses {
		if d := &doses[i]; d.Protocol == p.ID && d.Stage == s.Index {
			k.Loads = append(k.Loads, *d)
			loads[d.Hand] = d
		}
	}
	order := s.Order(c.Dominant)
	for i, h := range order {
		step, err := squeeze(h, s, loads)
		if err != nil {
			return err
		}
		k.Steps = append(k.Steps, step)
		if i+1 < len(order) {
			k.Steps = append(k.Steps, between(h, order[i+1], s.RestSeconds, sitting.ChangeHandSeconds)...)
		}
	}
	return nil
}

// squeeze is one squeeze. Two hands that squeeze at once have two targets, so their step carries none: the kind's
// loads do.
func squeeze(h record.Hand, s *record.Stage, loads map[record.Hand]*record.Dose) (record.Step, error) {
	step := record.Step{Kind: record.Squeeze, Seconds: unit.Seconds(s.HoldSeconds), Hand: h}
	needs := []record.Hand{h}
	if h == record.Both {
		needs = []record.Hand{record.Right, record.Left}
	}
	for _, n := range needs {
		d := loads[n]
		if d == nil {
			return step, fmt.Errorf("no load for the %s hand, allowed: a measured load for each hand trained", n)
		}
		if d.Set.Sign() <= 0 {
			return step, fmt.Errorf("the load of the %s hand is %s %s, allowed: one step of the gauge or more", n, d.Set, d.Unit)
		}
	}
	if h != record.Both {
		d := loads[h]
		target, low, high := d.Set, d.Low, d.High
		step.Target, step.Low, step.High, step.Unit = &target, &low, &high, d.Unit
		step.From = d.From()
	}
	return step, nil
}

// between is the rest between two squeezes. Changing hands takes its seconds from the rest, never from the next
// squeeze; its step names the hand that comes next.
func between(now, next record.Hand, rest, change int) []record.Step {
	var out []record.Step
	if now != next && change > 0 && rest > 0 {
		change = min(change, rest)
		out = append(out, record.Step{Kind: record.ChangeHand, Seconds: unit.Seconds(change), Hand: next})
		rest -= change
	}
	if rest > 0 {
		out = append(out, record.Step{Kind: record.Rest, Seconds: unit.Seconds(rest)})
	}
	return out
}

func breaths(k *record.Kind, s *record.Stage) error {
	total, ok := unit.TenthsOf(s.Minutes.Mul(unit.Int(60)))
	if !ok || total <= 0 {
		return fmt.Errorf("found %s min, allowed: a length above 0 in whole tenths of a second", s.Minutes)
	}
	b := s.Breath
	if b.Inhale <= 0 || b.Exhale <= 0 || b.Pause < 0 || b.Rest < 0 || b.Cycle() > total {
		return fmt.Errorf("found a breath of %s s in, %s s pause, %s s out, %s s rest in %s min, allowed: one whole breath or more",
			b.Inhale, b.Pause, b.Exhale, b.Rest, s.Minutes)
	}
	n := total / b.Cycle()
	k.Steps = append(k.Steps, record.Step{Kind: record.Breathe, Seconds: n * b.Cycle(), Pattern: &b, Count: int(n)})
	if left := total - n*b.Cycle(); left > 0 {
		k.Steps = append(k.Steps, record.Step{Kind: record.Sit, Seconds: left})
	}
	return nil
}
