package compiler

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"isocue.example/compiler/dose"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/session"
	"isocue.example/compiler/unit"
)

// kinds holds every kind to its own loads, and those of the sessions to come to the protocols that the plan carries. A kind that was
// trained before may stand on an earlier revision, which the plan no longer carries.
func (e *edited) kinds() {
	stands := map[string]record.Dose{} // by measurement: what it measured is one number, however many kinds stand on it
	for _, key := range slices.Sorted(maps.Keys(e.p.Kinds)) {
		k, at := e.p.Kinds[key], "kinds."+key
		if stem := session.Key(k.Protocol, k.Stage); key != stem && !strings.HasPrefix(key, stem+".") {
			e.bad(at+".stage", "the kind %s is not of stage %d, or not of %s", key, k.Stage+1, k.Protocol)
		}
		if err := session.Verify(k); err != nil {
			e.bad(at+".steps", "the session %s does not add up: %v", key, err)
			continue
		}
		e.targets(at, k)
		for i := range k.Loads {
			d := k.Loads[i]
			d.Modality = k.Modality
			e.load(fmt.Sprintf("%s.loads[%d]", at, i), d)
			if !e.used[key] {
				continue
			}
			if was, ok := stands[d.From()]; ok && (was.Maximum.Cmp(d.Maximum) != 0 || was.Gauge != d.Gauge || was.Unit != d.Unit || was.Step.Cmp(d.Step) != 0) {
				e.bad(at+".loads", "%s is %s %s in one kind of session and %s %s in another", d.From(), was.Maximum, was.Unit, d.Maximum, d.Unit)
			}
			stands[d.From()] = d
			if d.Measured != 0 && !slices.Contains(e.p.Measured, d.From()) {
				e.bad("measurements", "a load stands on %s, which the plan's measurements do not have", d.From())
			}
		}
		if e.used[key] {
			e.asWritten(key, at, k)
		}
	}
}

// targets holds the steps to the loads of their kind: what the session page asks for is what the sheet says.
func (e *edited) targets(at string, k record.Kind) {
	for i, s := range k.Steps {
		if s.Target == nil || k.Modality == record.Strength {
			continue
		}
		n := slices.IndexFunc(k.Loads, func(d record.Dose) bool { return d.Hand == s.Hand })
		if n < 0 {
			e.bad(at, "step %d asks for %s %s, and no load of the kind does", i+1, s.Target, s.Unit)
			continue
		}
		d := k.Loads[n]
		d.Modality = k.Modality
		from := s.From == d.From() || d.Measured == 0 && s.From == ""
		lines := k.Modality != record.Handgrip || s.Low.Cmp(d.Low) == 0 && s.High.Cmp(d.High) == 0 // Verify wants both of a squeeze
		if s.Target.Cmp(d.Set) != 0 || s.Unit != d.Unit || !from || !lines {
			e.bad(at, "step %d asks for %s %s, and the load of the kind is %s %s", i+1, s.Target, s.Unit, d.Set, d.Unit)
			return
		}
	}
}

// nearly says whether two numbers are the same but for the last digits that a plan writes.
func nearly(a, b unit.Dec) bool {
	return a.Sub(b).Abs().Less(tiny.Mul(b.Abs().Add(unit.Int(1))))
}

var tiny = unit.Ratio(1, 1e9)

// load holds a load to the measurement that it names: what is set is a share of what was measured, in steps of the gauge, and never over
// what was wanted.
func (e *edited) load(at string, d record.Dose) {
	wrong := func(format string, args ...any) {
		e.bad(at, "the load does not follow from its measurement: "+format, args...)
	}
	over := func(a, b unit.Dec) bool { return b.Less(a) && !nearly(a, b) }
	switch {
	case d.Set.Sign() <= 0 || d.Maximum.Sign() < 0:
		wrong("%s %s of a maximum of %s", d.Set, d.Unit, d.Maximum)
	case d.Modality == record.WallSquat:
		if d.Unit == dose.Degrees && (over(d.Wanted, d.Set) || unit.Int(dose.Straight).Less(d.Set)) {
			wrong("%s degrees is deeper than the wanted %s, or no knee's", d.Set, d.Wanted)
		}
		if own := d.Share.Mul(d.Maximum); d.Maximum.Sign() > 0 && (!nearly(own, own.Add(unit.Ratio(1, 2)).Floor(unit.Int(1))) || over(own, d.High) || over(d.Low, own)) {
			wrong("a stage of the share %s of %s, with a heart rate of %s to %s", d.Share, d.Maximum, d.Low, d.High)
		}
		if d.High.Less(d.Low) || d.Maximum.Sign() > 0 && over(d.High, d.Maximum) {
			wrong("a heart rate of %s to %s of a highest one of %s", d.Low, d.High, d.Maximum)
		}
	case d.Maximum.IsZero() || !nearly(d.Share, d.Set.Quo(d.Maximum)):
		wrong("%s is not the share %s of %s %s", d.Set, d.Share, d.Maximum, d.Unit)
	case over(d.Set, d.Wanted):
		wrong("%s %s is more than the wanted %s", d.Set, d.Unit, d.Wanted)
	case d.Modality == record.Handgrip && (d.Step.Sign() <= 0 || !d.Set.Quo(d.Step).IsInt() || over(d.Wanted, d.Set.Add(d.Step))):
		wrong("%s %s is not the wanted %s in steps of %s", d.Set, d.Unit, d.Wanted, d.Step)
	case d.Modality == record.Handgrip && (d.Set.Less(d.Low) || d.High.Less(d.Set) || over(d.High, d.Maximum)):
		wrong("%s lies outside its lines %s and %s", d.Set, d.Low, d.High)
	}
}

// asWritten works a kind out again from the protocol that the plan carries and the loads of the kind, in each way in which a client may
// train it. Under another rule base only the share of the load is held to the protocol: how a session is built may have changed.
func (e *edited) asWritten(key, at string, k record.Kind) {
	x := e.byID[k.Protocol]
	if x == nil || x.Record.Modality != k.Modality {
		e.bad(at, "the protocol %s of the kind is not one that the plan carries", k.Protocol)
		return
	}
	if titles := slices.Collect(maps.Values(x.Record.Titles)); k.Title != x.Record.Title && !slices.Contains(titles, k.Title) {
		e.bad(at+".title", "the kind is not called as its protocol is")
	}
	e.shares(at, x, k)
	if !e.same {
		return
	}
	for _, v := range variants(x) {
		if k.Stage < 0 || k.Stage >= len(v.protocol.Record.Stages) {
			continue
		}
		loads := slices.Clone(k.Loads)
		for i := range loads {
			loads[i].Protocol, loads[i].Stage, loads[i].Modality = k.Protocol, k.Stage, k.Modality
		}
		whole := v.protocol.Record.Stages[k.Stage]
		stages := []record.Stage{whole}
		if half := whole; k.Modality == record.Handgrip && whole.Rounds > 1 { // after a gap a session may have half its squeezes
			half.Rounds /= 2
			stages = append(stages, half)
		}
		for _, stage := range stages {
			built, err := e.c.kind(v.protocol.Record, &stage, loads, &record.Client{Dominant: v.dominant})
			if err == nil && built.WorkSeconds == k.WorkSeconds && built.NoNumber == k.NoNumber && len(built.Loads) == len(k.Loads) && text(built.Steps) == text(k.Steps) {
				return
			}
		}
	}
	e.bad(at, "the session %s is not what its protocol asks for", key)
}

// variant is one way in which a client may train a protocol.
type variant struct {
	protocol *load.Protocol
	dominant record.Hand
}

// variants are all ways: with either hand first, with a hand that is barred, from a later stage of a walk on.
func variants(x *load.Protocol) (out []variant) {
	switch x.Record.Modality {
	case record.Handgrip:
		for _, h := range []record.Hand{record.Right, record.Left} {
			out = append(out, variant{x, h}, variant{oneHanded(x, h, map[record.Hand]bool{record.Right: true}), h},
				variant{oneHanded(x, h, map[record.Hand]bool{record.Left: true}), h})
		}
	case record.Walking:
		for first := range x.Record.Stages {
			out = append(out, variant{fromStage(x, first), record.Right})
		}
	default:
		out = append(out, variant{x, record.Right})
	}
	return out
}

// shares holds what was wanted of a maximum to the stages of the protocol: that of the kind, or a lighter one before it, whose load is
// repeated where a measurement grew too old.
func (e *edited) shares(at string, x *load.Protocol, k record.Kind) {
	if k.Stage < 0 || k.Stage >= len(x.Record.Stages) || k.Modality.Companion() || k.Modality == record.SlowBreathing {
		return
	}
	asked := x.Record.Stages[k.Stage]
	for i, d := range k.Loads {
		fits := false
		switch s := asked.Squat; {
		case k.Modality != record.WallSquat:
			fits = slices.ContainsFunc(x.Record.Stages, func(s record.Stage) bool { return nearly(d.Wanted, d.Maximum.Mul(s.Load)) }) && !asked.Load.Less(d.Share)
		case s.Effort.Sign() > 0:
			fits = !s.Effort.Less(d.Set) && !d.Set.Less(s.Effort.Sub(e.c.Check.Base.SquatLower.Effort)) && d.Unit == dose.Effort
		case s.KneeDegrees > 0:
			fits = !d.Set.Less(unit.Int(int64(s.KneeDegrees))) && d.Unit == dose.Degrees // straighter is lighter
		default:
			fits = d.Unit == dose.Degrees && !d.Maximum.Mul(s.HeartRate).Floor(unit.Int(1)).Less(d.High)
		}
		if !fits {
			e.bad(fmt.Sprintf("%s.loads[%d]", at, i), "the load of %s %s is not what the protocol asks of a maximum of %s", d.Set, d.Unit, d.Maximum)
		}
	}
}
