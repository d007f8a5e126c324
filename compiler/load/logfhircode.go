package load

import (
	"slices"
	"strings"
	"unicode"
)

// What an Observation is about, told by its codes, and by its words where its codes are not known.

// about is what a code or its words name.
type about int

const (
	unknownCode   about = iota
	otherThing          // something known that is no pressure of the arteries and no pulse
	otherPressure       // a pressure of another place, which may be in mmHg too
	aPanel
	aSystolic
	aDiastolic
	aMean // a mean pressure, which is never over the systolic one
	aPulse
)

// meaning is what a concept names, and how it was taken.
type meaning struct {
	about
	standing, lying bool
	derived         bool // a mean, a highest, a lowest: no single reading
	exercise        bool
}

// The codes below were seen in published implementation guides and value sets, except those marked "memory", which nobody looked up. A code
// that is not here is told by its words; one without known words is told as not known. A code decides whatever its system is called: the
// forms of these systems do not overlap.
var codes = func() map[string]meaning {
	out := map[string]meaning{}
	add := func(m meaning, list string) {
		for _, c := range strings.Fields(list) {
			out[c] = m
		}
	}
	// LOINC
	add(meaning{about: aPanel}, "85354-9 35094-2 55284-4 55417-0")
	add(meaning{about: aPanel, derived: true}, "96607-7")
	add(meaning{about: aSystolic}, "8480-6 8459-0 8450-9 8451-7 75997-7 76215-3 76534-7 11378-7")
	add(meaning{about: aSystolic, standing: true}, "8460-8")
	add(meaning{about: aSystolic, lying: true}, "8461-6")
	add(meaning{about: aSystolic, derived: true}, "96608-5")
	add(meaning{about: aSystolic, derived: true}, "8490-5") // over 24 hours: memory
	// hl7.org/fhir/6.0.0-ballot5, value set observation-vitalsign-diastolicbp, for those but the lying and the standing one, which stand in
	// published lists of LOINC beside their names.
	add(meaning{about: aDiastolic}, "8462-4 8453-3 75995-1 76213-8 76535-4")
	add(meaning{about: aDiastolic}, "11377-9") // memory
	add(meaning{about: aDiastolic, standing: true}, "8454-1")
	add(meaning{about: aDiastolic, lying: true}, "8455-8")
	add(meaning{about: aDiastolic, derived: true}, "96609-3")
	add(meaning{about: aMean}, "8478-0 76536-2 76214-6") // memory
	// hl7.org/fhir/6.0.0-ballot5, value set observation-vitalsign-heartrate
	add(meaning{about: aPulse}, "8867-4 40443-4 69000-8 68999-2 69001-6")
	add(meaning{about: aPulse}, "8889-8 8893-0 76282-3") // memory
	add(meaning{about: otherThing}, "9279-1 29463-7 8302-2 8306-3 8310-5 2708-6 2710-2 3151-8 39156-5 55423-8 80404-7 93832-4 2339-0 14743-9 85353-1 3141-9 59408-5")
	add(meaning{about: otherThing}, "8331-1 20564-1 41950-7 15074-8 41653-7 8280-0 9843-4 55283-6") // memory
	// SNOMED CT
	add(meaning{about: aPanel}, "75367002 163020007 163035008 928021000000108 335661000000109")
	add(meaning{about: aPanel}, "46973005 392570002") // memory
	add(meaning{about: aPanel, standing: true}, "163034007")
	add(meaning{about: aPanel, lying: true}, "163033001")
	add(meaning{about: aPanel, derived: true}, "2181371000000107")
	add(meaning{about: aSystolic}, "271649006 72313002 407554009 716579001 1162737008")
	add(meaning{about: aSystolic}, "163030003 251070002 399304008") // in published lists of codes of primary care
	add(meaning{about: aSystolic, standing: true}, "400974009")
	add(meaning{about: aSystolic, lying: true}, "407556006")
	add(meaning{about: aSystolic, derived: true}, "2181381000000109")
	add(meaning{about: aSystolic, derived: true}, "314438006 314449000") // memory
	add(meaning{about: aDiastolic}, "271650006 1091811000000102 407555005 716632005 1162735000")
	add(meaning{about: aDiastolic}, "163031004 174255007") // in published lists of codes of primary care
	add(meaning{about: aDiastolic}, "251071003")           // memory
	add(meaning{about: aDiastolic, standing: true}, "400975005")
	add(meaning{about: aDiastolic, lying: true}, "407557002")
	add(meaning{about: aDiastolic, derived: true}, "2181391000000106")
	add(meaning{about: aDiastolic, derived: true}, "314453003 314462001") // in published lists of codes of primary care
	add(meaning{about: aMean}, "6797001")                                 // in a published message of a monitor
	add(meaning{about: aPulse}, "364075005 78564009 444981005 8499008 399017001")
	add(meaning{about: otherThing}, "86290005 27113001 386725007 60621009 50373000 431314004")
	add(meaning{about: otherThing}, "249043002") // memory
	// ISO/IEEE 11073-10101, as home devices send it: the first three with their numbers in published messages, the rest from memory
	add(meaning{about: aPanel}, "150020 MDC_PRESS_BLD_NONINV")
	add(meaning{about: aSystolic}, "150021 MDC_PRESS_BLD_NONINV_SYS")
	add(meaning{about: aDiastolic}, "150022 MDC_PRESS_BLD_NONINV_DIA")
	add(meaning{about: aMean}, "150023 MDC_PRESS_BLD_NONINV_MEAN")
	add(meaning{about: aPulse}, "149546 MDC_PULS_RATE_NON_INV 149530 147842 MDC_ECG_HEART_RATE")
	return out
}()

// concept is a code with all its names.
type concept struct {
	codes []string
	words []string
	known meaning
	label string // what tells it from others
}

// conceptOf reads a CodeableConcept, a list of them, or a Coding, and weighs them: a pressure or pulse among several codes decides.
func conceptOf(v any) (c concept) {
	var names []string
	var walk func(any)
	walk = func(v any) {
		switch x := v.(type) {
		case []any:
			for _, e := range x {
				walk(e)
			}
		case string:
			names = append(names, x)
		case object:
			for _, key := range []string{"text", "display"} {
				if s, ok := x[key].(string); ok {
					names = append(names, s)
				}
			}
			if s, ok := x["code"].(string); ok {
				c.codes, names = append(c.codes, strings.TrimSpace(s)), append(names, s)
			}
			walk(x["coding"])
		}
	}
	walk(v)
	for _, n := range names {
		c.words = append(append(c.words, wordsOf(n)...), "|")
	}
	c.label = strings.Join(names, "|")
	said := inWords(c.words)
	for _, code := range c.codes {
		m, ok := codes[code]
		if !ok || c.known.about >= aPanel {
			continue
		}
		m.standing, m.lying = m.standing || said.standing, m.lying || said.lying
		m.derived, m.exercise = m.derived || said.derived && m.about != aPulse && m.about != aMean, m.exercise || said.exercise
		if m.about == aPulse && (m.exercise || named(c.words, fastWords) || named(c.words, notOneself) || named(c.words, notMeasured)) { // a heart at work, or a child's before birth
			m.about = otherThing
		}
		c.known = m
	}
	if c.known.about < aPanel && (said.about >= aPanel || c.known.about == unknownCode) {
		c.known = said
	}
	return c
}

// wordsOf takes a name apart, at marks and where a capital begins a word: HKQuantityTypeIdentifierStepCount.
func wordsOf(s string) []string {
	var b strings.Builder
	lower := false
	for _, r := range s {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r):
			r = ' '
		case unicode.IsUpper(r) && lower:
			b.WriteByte(' ')
		}
		lower = unicode.IsLower(r)
		b.WriteRune(unicode.ToLower(r))
	}
	return strings.Fields(b.String())
}

// named says whether one of the words stands among those of a name; one of the list with a star stands for its beginning.
func named(words, list []string) bool {
	return slices.ContainsFunc(words, func(w string) bool {
		return slices.ContainsFunc(list, func(x string) bool {
			stem, open := strings.CutSuffix(x, "*")
			return w == x || open && strings.HasPrefix(w, stem)
		})
	})
}
