package load

import (
	"slices"
	"strings"
	"unicode"

	"isocue.example/compiler/unit"
)

// symptomCodes are codes of symptoms in SNOMED CT, in our words, for an Observation that names none: memory.
var symptomCodes = map[string]string{
	"29857009": "chest pain", "267036007": "short of breath", "230145002": "short of breath", "404640003": "dizzy", "271594007": "faint", "309585006": "faint",
	"25064002": "headache", "80313002": "palpitations", "44077006": "numbness", "29164008": "trouble speaking",
}

// notNow are words of a name that tells of a symptom without saying that it is there.
var notNow = strings.Fields("family history risk fear education screening previous past hx denies denied absence no without ruled")

// symptom keeps the words of an Observation that is no pressure and no pulse: what it says, and what its code names where that is said to
// be there.
func (b *bundleReader) symptom(c concept, o object, x *observation) {
	if c.known.about >= aPanel || c.known.about == otherPressure {
		return
	}
	x.note = strings.TrimSpace(x.note + " " + b.says(c, o))
	for _, part := range b.objects(o, "component") {
		if pc := conceptOf(part["code"]); pc.known.about == unknownCode {
			x.note = strings.TrimSpace(x.note + " " + b.says(pc, part))
		}
	}
}

// mostOfScale is where the scales of symptoms end: a weight or a count of steps over it is no symptom, however it is called.
var mostOfScale = unit.Int(10)

func (b *bundleReader) says(c concept, o object) string {
	if slices.ContainsFunc(c.words, func(w string) bool { return slices.Contains(notNow, w) }) {
		return ""
	}
	name := strings.ReplaceAll(c.label, "|", ". ")
	for _, code := range c.codes {
		if s := symptomCodes[code]; s != "" {
			name += ". " + s
		}
	}
	var out []string
	all := b.amounts(o)
	for _, a := range all {
		switch {
		case a.no:
			return ""
		case a.yes, a.number && a.num.Sign() > 0 && !(c.known.about == otherThing && mostOfScale.Less(a.num)):
			out = append(out, name)
		case !a.number:
			out = append(out, a.text)
		}
	}
	if len(all) == 0 && o["dataAbsentReason"] == nil && o["component"] == nil && o["hasMember"] == nil {
		out = append(out, name)
	}
	said := strings.Join(out, ". ")
	if !slices.ContainsFunc(wordsOf(said), func(w string) bool { return len(w) > 2 && strings.IndexFunc(w, unicode.IsDigit) < 0 }) {
		return "" // a code alone
	}
	return said
}
