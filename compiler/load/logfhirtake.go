package load

import (
	"slices"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// take takes over the values that stand under one code.
func (b *bundleReader) take(c concept, o object, x *observation) {
	m := c.known
	if m.about == aPanel || m.about == aSystolic || m.about == aDiastolic {
		b.taken(m, x)
	}
	for _, a := range b.amounts(o) {
		switch m.about {
		case aPanel, aSystolic, aDiastolic:
			b.takePressure(m.about, a, x)
		case aPulse:
			if x.active || a.yes || a.no {
				continue // a heart at work is no pulse at rest
			}
			cell, trouble, held := a.pulse()
			x.pulse, x.pulsed = append(x.pulse, cell), addOnce(x.pulsed, trouble)
			x.held.Join(held)
		case aMean: // the systolic one is not under it
			if mm := b.millimetres(a); mm > 0 {
				x.held.Join(record.Held{Largest: mm})
			}
		default:
			b.unknown(c, a, x)
		}
	}
}

// taken reads how a pressure was taken.
func (b *bundleReader) taken(m meaning, x *observation) {
	switch {
	case m.standing:
		x.posture = "standing"
	case m.lying:
		x.posture = "lying"
	}
	if m.derived {
		x.sums = addOnce(x.sums, "it is a mean, a highest or a lowest, and no single reading")
	}
	if x.long {
		x.sums = addOnce(x.sums, "it stands for a span of time, not for one reading")
	}
	if m.exercise {
		x.sums = addOnce(x.sums, "it was not taken at rest")
	}
}

func (b *bundleReader) takePressure(as about, a amount, x *observation) {
	if a.yes || a.no {
		return
	}
	cell, trouble, held := a.pressure(b.span)
	x.held.Join(held)
	x.pressed = addOnce(x.pressed, trouble)
	switch {
	case !a.number && (as == aPanel || strings.Contains(evenSpaces(cell), "/")):
		x.both = append(x.both, cell)
	case as == aSystolic:
		x.systolic = append(x.systolic, cell)
	case as == aDiastolic:
		x.diastolic = append(x.diastolic, cell)
	default: // which of the two it is, nobody says
		x.pressed = addOnce(x.pressed, "one number stands for a blood pressure, allowed: a systolic and a diastolic one, as components")
		if mm := b.millimetres(a); mm > 0 {
			x.held.Join(record.Held{Largest: mm, Diastolic: mm})
		} else {
			x.held.Unknown = x.held.Unknown || a.num.Sign() != 0
		}
	}
}

// millimetres is a number as mmHg by its unit; 0 where it could be no pressure.
func (b *bundleReader) millimetres(a amount) int {
	if !a.number || !a.plain {
		return 0
	}
	if mm := a.millimetres(); mm != 0 {
		return mm
	}
	if (a.unit == "mmHg" || a.unit == "") && a.num.Sign() > 0 && a.num.Less(unit.Int(10_000)) {
		return int(a.num.Int64())
	}
	return 0
}

// unknown keeps what stands under a code that is not known, where it may be a pressure or a pulse: in mmHg, in kPa, a minute, or without a
// unit. What is known to be another thing is passed over, unless it is in a unit of pressure all the same.
func (b *bundleReader) unknown(c concept, a amount, x *observation) {
	pressureUnit := a.number && (a.unit == "mmHg" || a.unit == "kPa" || a.unit == "cmHg")
	if c.known.about == otherPressure || c.known.about == otherThing && a.number && !pressureUnit || named(c.words, notMeasured) {
		return
	}
	h := unread{line: x.line, at: x.at, label: c.label + " in " + a.unit, unit: a.unit}
	whole := 0
	if a.plain && a.num.Sign() > 0 && a.num.Less(unit.Int(10_000)) {
		whole = int(a.num.Int64())
	}
	switch {
	case !a.number:
		l := logReader{span: b.span}
		h.held = l.writtenIn(a.text)
	case !a.plain:
		h.held.Unknown = pressureUnit || a.unit == "" || a.unit == "/min"
	case a.unit == "/min":
		if b.span.LowestPulse <= whole && whole <= b.span.HighestPulse {
			h.held.Pulse = whole
		}
	case pressureUnit || a.unit == "":
		if mm := b.millimetres(a); b.span.Lowest <= mm && mm <= b.span.Highest {
			h.held = record.Held{Largest: mm, Diastolic: mm}
			if a.unit == "" && mm <= b.span.HighestPulse {
				h.held.Pulse = mm
			}
		}
	}
	if h.held != (record.Held{}) {
		x.used = true
		b.keep(h)
	}
}

// extensions reads what stands in an extension whose address names a pressure or a pulse, and the position of the body.
func (b *bundleReader) extensions(o object, x *observation) {
	for _, e := range b.objects(o, "extension") {
		url := b.text(e, "url")
		words := wordsOf(url[strings.LastIndex(url, "/")+1:])
		c := concept{known: inWords(words), words: words, label: url}
		switch {
		case slices.Contains(words, "position"):
			switch said := conceptOf(e["valueCodeableConcept"]).words; {
			case named(said, standingWords):
				x.posture = "standing"
			case named(said, lyingWords):
				x.posture = "lying"
			}
		case c.known.about >= aPanel:
			b.take(c, e, x)
		default:
			for _, a := range b.amounts(e) {
				if a.unit == "mmHg" || a.unit == "kPa" {
					b.unknown(c, a, x)
				}
			}
		}
		b.extensions(e, x)
	}
}
