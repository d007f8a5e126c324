package load

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// What stands in a row that cannot be used still tells whether it may be severe.

// inCell is what a cell holds: its numbers, those that a slash joins together, and whether something stands there that is neither a number
// nor a word for no reading.
type inCell struct {
	groups  [][]unit.Dec
	unknown bool
}

var (
	unitWord   = regexp.MustCompile(`(?i)mm\s*(?:\[\s*hg\s*\]|\(\s*hg\s*\)|hg)|kpa|bpm|beats?(?:\s*(?:/|per|a)\s*min(?:ute)?)?|(?:schläge|schlag)(?:\s*(?:/|pro)\s*min(?:ute)?)?|/\s*min\b`)
	pieces     = regexp.MustCompile(`[\p{L}\p{N}\p{M}.,]+|.`)
	plainCell  = regexp.MustCompile(`^(\d{1,8})(?:[.,](\d{1,8}))?[.,]*$`)
	errorCode  = regexp.MustCompile(`^(?:e|er|err|error|fehler)[\s.:-]*\d{0,2}$`)
	writtenBP  = regexp.MustCompile(`(?i)(?:^|[^\d/.,])(\d{2,3})\s*(?:/|\bover\b|\bzu\b)\s*(\d{2,3})(?:$|[^\d/])`)
	noReadings = []string{"", "na", "n a", "none", "nil", "null", "missing", "forgot", "forgotten", "skipped", "not taken", "not measured", "no reading", "keine", "kein", "vergessen",
		"nicht gemessen", "entfällt", "fehlt", "ok", "okay", "normal", "fine", "good", "gut", "same", "regular", "irregular", "regelmäßig", "unregelmäßig", "not done", "x"}
)

// evenSpaces is a cell with plain spaces and one kind of slash, which programs and phones write in many ways.
func evenSpaces(s string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r), r == '\u200b', r == '\ufeff':
			return ' '
		case r == '\\', r == '⁄', r == '∕', r == '／', r == '|':
			return '/'
		}
		return r
	}, s))
}

// lookInto takes a cell of a pressure or a pulse apart.
func lookInto(s string) (out inCell) {
	s = strings.ToLower(evenSpaces(s))
	words := strings.Join(strings.FieldsFunc(s, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsNumber(r) && !unicode.IsMark(r) && r != '?' && r != unicode.ReplacementChar
	}), " ")
	if slices.Contains(noReadings, words) || errorCode.MatchString(s) {
		return out
	}
	joined, numbers := false, false
	for _, p := range pieces.FindAllString(unitWord.ReplaceAllString(s, " "), -1) {
		m := plainCell.FindStringSubmatch(p)
		switch {
		case m != nil:
			number := m[1]
			if m[2] != "" {
				number += "." + m[2]
			}
			d, err := unit.ParseDec(number)
			if err != nil {
				out.unknown = true
				break
			}
			if n := len(out.groups); joined && n > 0 {
				out.groups[n-1] = append(out.groups[n-1], d)
			} else {
				out.groups = append(out.groups, []unit.Dec{d})
			}
			if len(m[2]) > 1 { // 205,118 may be two numbers
				if second, err := unit.ParseDec(m[2]); err == nil {
					out.groups[len(out.groups)-1] = append(out.groups[len(out.groups)-1], second)
				}
			}
			joined, numbers = false, true
		case p == "/":
			joined = true
		case strings.TrimSpace(p) == "":
		case strings.IndexFunc(p, unicode.IsNumber) >= 0: // 19O, 1l8, digits of another script
			out.unknown, joined = true, false
		default:
			joined = false
		}
	}
	out.unknown = out.unknown || !numbers && words != ""
	return out
}

// held is what a row may hold: all its pressure and pulse cells, whatever they were written as, and what its reader put beside them.
func (r *logReader) held(row tableRow) (out record.Held) {
	s, d, b := lookInto(r.cell(row, "systolic")), lookInto(r.cell(row, "diastolic")), lookInto(r.cell(row, "pressure"))
	small := r.allSmall(s, d, b)
	out.Join(r.pressureIn(s, len(d.groups) == 0, small))
	dia := r.pressureIn(d, false, small)
	if r.swapped(s, d) {
		dia.Diastolic = out.Largest
	} else {
		dia.Diastolic = max(dia.Diastolic, dia.Largest)
	}
	out.Join(dia)
	out.Join(r.pressureIn(b, true, small))
	out.Join(r.pulseIn(lookInto(r.cell(row, "pulse"))))
	out.Join(row.held)
	return out
}

// swapped says whether two cells hold a pressure with its numbers the wrong way round: then the larger one is no diastolic pressure.
func (r *logReader) swapped(s, d inCell) bool {
	if len(s.groups) != 1 || len(d.groups) != 1 || len(s.groups[0]) != 1 || len(d.groups[0]) != 1 || s.unknown || d.unknown {
		return false
	}
	low, high := s.groups[0][0], d.groups[0][0]
	return r.millimetres(low) && !high.Sub(low).Less(unit.Int(int64(r.span.LeastApart)))
}

// pressureIn is what a cell holds as pressures. Where it may hold both, a smaller number behind a larger one is a diastolic pressure.
func (r *logReader) pressureIn(c inCell, both, small bool) (out record.Held) {
	out.Unknown = c.unknown
	var before unit.Dec
	for _, g := range c.groups {
		for i, d := range g {
			mm, ok := r.pressureOf(d, small)
			if !ok {
				out.Unknown = true
			}
			second := len(g) > 1 && i == 1 || both && len(g) == 1 && before.Sign() > 0 && !before.Sub(d).Less(unit.Int(int64(r.span.LeastApart)))
			switch {
			case i == 2:
				out.Pulse = max(out.Pulse, mm)
				continue
			case second:
				out.Diastolic = max(out.Diastolic, mm)
			}
			out.Largest = max(out.Largest, mm)
		}
		before = g[0]
	}
	return out
}

// pressureOf is a number as mmHg. One under the span of a pressure may be in kilopascal, in centimetres of mercury, or short of a digit: the
// largest of these counts. One over the span stays as it is. ok is false where it has too many digits to be anything.
func (r *logReader) pressureOf(d unit.Dec, small bool) (mm int, ok bool) {
	if unit.Int(9999).Less(d) {
		return 0, false
	}
	mm = int(d.Floor(unit.Int(1)).Int64())
	if d.Sign() > 0 && (small || d.Less(unit.Int(int64(r.span.Lowest)))) {
		mm = max(mm, r.fromKilopascal(d), int(d.Mul(unit.Int(10)).Floor(unit.Int(1)).Int64()))
	}
	return mm, true
}

func (r *logReader) pulseIn(c inCell) (out record.Held) {
	out.Unknown = c.unknown
	for _, g := range c.groups {
		for _, d := range g {
			if unit.Int(9999).Less(d) {
				out.Unknown = true
				continue
			}
			if d.Less(unit.Int(int64(r.span.LowestPulse))) { // a digit may be missing
				d = d.Mul(unit.Int(10))
			}
			out.Pulse = max(out.Pulse, int(d.Floor(unit.Int(1)).Int64()))
		}
	}
	return out
}

// allSmall says whether all numbers of a row could be kilopascal or centimetres of mercury, and one is none in mmHg.
func (r *logReader) allSmall(cells ...inCell) bool {
	odd := false
	for _, c := range cells {
		for _, g := range c.groups {
			for _, d := range g {
				if d.Sign() > 0 && r.fromKilopascal(d) == 0 {
					return false
				}
				odd = odd || d.Sign() > 0 && !r.millimetres(d)
			}
		}
	}
	return odd
}

// writtenIn is the pressure that stands in a text as 205/118 does; the gravest where there are several.
func (r *logReader) writtenIn(text string) (out record.Held) {
	for text = evenSpaces(inDigits(text)); ; {
		m := writtenBP.FindStringSubmatchIndex(text)
		if m == nil {
			return out
		}
		s, d := number(text[m[2]:m[3]]), number(text[m[4]:m[5]])
		if s <= r.span.Highest && d >= r.span.Lowest && s-d >= r.span.LeastApart {
			out.Join(record.Held{Largest: s, Diastolic: d})
		}
		text = text[m[5]:]
	}
}

// millimetres says whether a number could be a pressure in mmHg as it stands, for all that it is low.
func (r *logReader) millimetres(d unit.Dec) bool {
	return d.IsInt() && !d.Less(unit.Int(int64(r.span.Lowest)))
}

// fromKilopascal is a number in kilopascal as whole millimetres of mercury, rounded up; 0 where that cannot be a pressure.
func (r *logReader) fromKilopascal(d unit.Dec) int { return r.span.fromKilopascal(d) }

func (s LogSpan) fromKilopascal(d unit.Dec) int {
	p, err := unit.NewPressure(d, unit.Kilopascal)
	if err != nil {
		return 0
	}
	mm := p.In(unit.MillimetreMercury).Ceil(unit.Int(1))
	if mm.Less(unit.Int(int64(s.Lowest))) || unit.Int(int64(s.Highest)).Less(mm) {
		return 0
	}
	return int(mm.Int64())
}
