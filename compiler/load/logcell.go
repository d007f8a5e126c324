package load

import (
	"fmt"
	"regexp"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// How people write a pressure into cells: 148 and 84, 148/84 in one, with the pulse as a third number, and two readings one after the other.

// written is one reading as its parts were written.
type written struct{ systolic, diastolic, pulse string }

const onePair = `\d{2,3}(?:[.,]0+)?\s*/\s*\d{2,3}(?:[.,]0+)?(?:\s*/\s*\d{2,3})?`

var (
	pressureUnit = regexp.MustCompile(`(?i)mm\s*(?:\[hg\]|hg)`)
	pairForm     = regexp.MustCompile(onePair)
	pairsForm    = regexp.MustCompile(`(?i)^` + onePair + `(?:(?:[\s;,&+]|\b(?:and|und)\b)+` + onePair + `)*$`)
	listForm     = regexp.MustCompile(`^\d{2,3}(?:[\s;&+]+\d{2,3})+$`)
)

// pressures reads and weighs what the pressure cells of a row hold: a reading, or several where each cell holds as many.
func (r *logReader) pressures(row tableRow, x record.LogReading) ([]record.LogReading, error) {
	parts, err := r.written(row)
	if err != nil {
		return nil, err
	}
	var out []record.LogReading
	for _, w := range parts {
		if err := r.pressure(w, &x); err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, nil
}

// written takes the pressure cells of a row apart.
func (r *logReader) written(row tableRow) ([]written, error) {
	cell := func(name string) string {
		return strings.TrimSpace(pressureUnit.ReplaceAllString(evenSpaces(r.cell(row, name)), " "))
	}
	s, d, both := cell("systolic"), cell("diastolic"), cell("pressure")
	switch {
	case !r.has("systolic") || !r.has("diastolic") || s == "" && d == "" && both != "":
		return pairs("pressure", both)
	case strings.Contains(s, "/"):
		ps, err := pairs("systolic", s)
		if err == nil && d != "" && (len(ps) != 1 || ps[0].diastolic != d) {
			return nil, fmt.Errorf("systolic is %s and diastolic is %s, which do not fit together; allowed: one number under each, such as 148 and 84", shown(s), shown(d))
		}
		return ps, err
	case s == "" && strings.Contains(d, "/"):
		return pairs("diastolic", d)
	case listForm.MatchString(s) && listForm.MatchString(d):
		uppers, lowers := digitsOf(s), digitsOf(d)
		if len(uppers) != len(lowers) {
			return nil, fmt.Errorf("systolic holds %d numbers and diastolic %d, allowed: a row for each reading", len(uppers), len(lowers))
		}
		var out []written
		for i := range uppers {
			out = append(out, written{systolic: uppers[i], diastolic: lowers[i]})
		}
		return out, nil
	}
	return []written{{systolic: s, diastolic: d}}, nil
}

// pairs takes a cell apart that holds readings as 148/84 or 148/84/70.
func pairs(name, s string) (out []written, err error) {
	if !pairsForm.MatchString(s) {
		return nil, fmt.Errorf("%s is %s, allowed: two numbers such as 138/84, and a row for each reading", name, shown(s))
	}
	for _, p := range pairForm.FindAllString(s, -1) {
		parts := strings.Split(p, "/")
		w := written{systolic: strings.TrimSpace(parts[0]), diastolic: strings.TrimSpace(parts[1])}
		if len(parts) == 3 {
			w.pulse = strings.TrimSpace(parts[2])
		}
		out = append(out, w)
	}
	return out, nil
}

func digitsOf(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r < '0' || r > '9' })
}

// pressure reads and weighs the numbers of one reading.
func (r *logReader) pressure(w written, x *record.LogReading) (err error) {
	if x.Systolic, err = r.whole("systolic", w.systolic, r.span.Lowest, r.span.Highest, "mmHg"); err != nil {
		return err
	}
	if x.Diastolic, err = r.whole("diastolic", w.diastolic, r.span.Lowest, r.span.Highest, "mmHg"); err != nil {
		return err
	}
	x.Pulse = 0
	if w.pulse != "" {
		if x.Pulse, err = r.whole("the third number, a pulse,", w.pulse, r.span.LowestPulse, r.span.HighestPulse, "bpm"); err != nil {
			return err
		}
	}
	switch apart := x.Systolic - x.Diastolic; {
	case apart < 0:
		return fmt.Errorf("systolic %d is under diastolic %d, as if swapped; allowed: the larger number as systolic", x.Systolic, x.Diastolic)
	case apart < r.span.LeastApart:
		return fmt.Errorf("systolic %d and diastolic %d lie %d mmHg apart, allowed: at least %d", x.Systolic, x.Diastolic, apart, r.span.LeastApart)
	}
	return nil
}

// whole reads a whole number between two bounds; 138.0 and 138,0 are whole.
func (r *logReader) whole(name, s string, low, high int, units string) (int, error) {
	s = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(s), units))
	if s == "" {
		return 0, fmt.Errorf("%s is missing, allowed: %d to %d %s", name, low, high, units)
	}
	d, err := unit.ParseDec(strings.Replace(s, ",", ".", 1))
	mm := 0
	if err == nil && units == "mmHg" && !r.millimetres(d) {
		mm = r.fromKilopascal(d)
	}
	switch {
	case mm > 0:
		return 0, fmt.Errorf("%s is %s, which in kPa would be %d mmHg; allowed: a whole number of %d to %d %s", name, shown(s), mm, low, high, units)
	case err != nil || !d.IsInt():
		return 0, fmt.Errorf("%s is %s, allowed: a whole number of %d to %d %s", name, shown(s), low, high, units)
	case d.Sign() == 0:
		return 0, fmt.Errorf("%s is 0, which is no reading; allowed: %d to %d %s", name, low, high, units)
	case d.Less(unit.Int(int64(low))) || unit.Int(int64(high)).Less(d):
		return 0, fmt.Errorf("%s is %s, allowed: %d to %d %s", name, shown(s), low, high, units)
	}
	return int(d.Int64()), nil
}
