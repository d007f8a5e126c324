package load

import (
	"strings"

	"isocue.example/compiler/record"
)

// besideObservations are resources that can carry a reading as well, though none is read from them. A goal or an order holds numbers that
// nobody measured.
var besideObservations = map[string]bool{"QuestionnaireResponse": true, "DiagnosticReport": true, "Communication": true, "ClinicalImpression": true, "Composition": true, "Basic": true, "Parameters": true}

// beside looks into such a resource: answers whose question names a pressure or a pulse, and pressures written out in its texts.
func (b *bundleReader) beside(kind string, o object, line int) {
	at := ""
	for _, key := range []string{"authored", "effectiveDateTime", "sent", "date", "issued"} {
		if s, ok := o[key].(string); ok && at == "" {
			at, _ = b.wall(s)
		}
	}
	b.err = nil
	l := logReader{span: b.span}
	var walk func(v any, label []string)
	walk = func(v any, label []string) {
		switch v := v.(type) {
		case []any:
			for _, x := range v {
				walk(x, label)
			}
		case string:
			if h := l.writtenIn(v); h.Largest > 0 {
				b.keep(unread{line: line, at: at, label: kind + " text", what: kind, held: h})
			}
		case object:
			if v["resourceType"] != nil && v["resourceType"] != kind {
				return // it is visited on its own
			}
			own := label
			for _, key := range []string{"text", "linkId", "name"} {
				if s, ok := v[key].(string); ok {
					if key == "text" {
						own = nil
					}
					own = append(own, wordsOf(s)...)
				}
			}
			own = append(own, conceptOf(v["code"]).words...)
			m := inWords(own)
			for _, a := range b.amounts(v) {
				h := record.Held{}
				switch n := b.millimetres(a); {
				case !a.number && m.about >= aPanel:
					h = l.pressureIn(lookInto(a.text), true, false)
				case m.about == aPulse && a.plain:
					h.Pulse = int(a.num.Int64())
				case m.about == aDiastolic:
					h.Largest, h.Diastolic = n, n
				case m.about == aPanel:
					h.Largest, h.Diastolic = n, n
				case m.about == aSystolic || m.about == aMean:
					h.Largest = n
				}
				if h != (record.Held{}) {
					b.keep(unread{line: line, at: at, label: kind + strings.Join(own, " "), unit: a.unit, what: kind, held: h})
				}
			}
			for _, key := range sortedKeys(v) {
				walk(v[key], own)
			}
		}
	}
	walk(o, nil)
	b.err = nil
}
