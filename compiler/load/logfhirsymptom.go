package load

import (
	"regexp"
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

// symptom keeps the words of an Observation: what it says, and what its code names where that is said to be there. Of a pressure or a
// pulse they are those of its other components, of its method, its text and what somebody made of it.
func (b *bundleReader) symptom(c concept, o object, x *observation) {
	add := func(c concept, o object) {
		said := b.says(c, o)
		switch {
		case named(c.words, symptomNames):
			x.symptoms = withWords(x.symptoms, said)
		case said != "":
			x.note = strings.TrimSpace(x.note + " " + said)
		}
	}
	if c.known.about < aPanel && c.known.about != otherPressure {
		add(c, o)
	} else if !x.long {
		for _, v := range []any{textOf(o["method"]), textOf(o["interpretation"]), tags.ReplaceAllString(textOf(object{"text": divOf(o["text"])}), " ")} {
			if s, ok := v.(string); ok {
				x.note = withWords(x.note, s)
			}
		}
	}
	for _, part := range b.objects(o, "component") {
		if pc := conceptOf(part["code"]); pc.known.about == unknownCode {
			add(pc, part)
		}
	}
}

// symptomNames are names of a value that is a symptom, whatever its words.
var symptomNames = strings.Fields("symptom* complaint* beschwerde*")

var tags = regexp.MustCompile(`<[^>]*>`)

func divOf(v any) any {
	o, _ := v.(object)
	return o["div"]
}

// saidBeside keeps what resources beside Observations say of symptoms: a Condition by its code, an answered question by its answer.
func (b *bundleReader) saidBeside(kind string, o object, line int) {
	at := ""
	for _, key := range []string{"authored", "recordedDate", "onsetDateTime", "assertedDate"} {
		if s, ok := o[key].(string); ok && at == "" {
			if at, _ = b.wall(s); len(at) == len("2006-01-02") {
				at += "T12:00"
			}
		}
	}
	row := func(said string) {
		if said != "" {
			b.said = append(b.said, tableRow{line: line, cells: []string{at, "", "", "", "", "", said}, words: true})
		}
	}
	if kind == "Condition" {
		over := append(conceptOf(o["clinicalStatus"]).words, conceptOf(o["verificationStatus"]).words...)
		if s, ok := o["clinicalStatus"].(string); ok {
			over = append(over, wordsOf(s)...)
		}
		if !named(over, strings.Fields("inactive remission resolved refuted entered")) {
			row(withWords(b.says(conceptOf(o["code"]), object{}), textOf(o["note"])))
		}
		return
	}
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case []any:
			for _, x := range v {
				walk(x)
			}
		case object:
			if question, ok := v["text"].(string); ok {
				answers, _ := v["answer"].([]any)
				for _, a := range answers {
					if x, ok := a.(object); ok {
						row(b.says(concept{label: question, words: wordsOf(question)}, x))
					}
				}
			}
			for _, key := range sortedKeys(v) {
				walk(v[key])
			}
		}
	}
	walk(o["item"])
	b.err = nil
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
