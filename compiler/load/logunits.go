package load

import (
	"regexp"
	"strconv"
	"strings"

	"isocue.example/compiler/unit"
)

// Numbers of a row that cannot be used still tell whether a pressure was severe.

var (
	digits  = regexp.MustCompile(`\d{2,3}`)
	decimal = regexp.MustCompile(`\d+(?:[.,]\d+)?`)
)

// numbers are the pressure cells of a row.
func (r *logReader) numbers(row tableRow, form *regexp.Regexp) (out []string) {
	for _, c := range []string{"systolic", "diastolic", "pressure"} {
		out = append(out, form.FindAllString(r.cell(row, c), -1)...)
	}
	return out
}

// largest is the largest number of the pressure cells that could be a pressure, mmHg.
func (r *logReader) largest(row tableRow) int {
	out := r.kilopascal(row)
	if out > 0 {
		return out
	}
	for _, s := range r.numbers(row, digits) {
		if n, err := strconv.Atoi(s); err == nil && n >= r.span.Lowest && n <= r.span.Highest {
			out = max(out, n)
		}
	}
	return out
}

// kilopascal is the largest number of a row that is in kilopascal, in mmHg: all of its numbers could be that, and one is none in mmHg.
// 0 for any other row.
func (r *logReader) kilopascal(row tableRow) (out int) {
	odd := false
	for _, s := range r.numbers(row, decimal) {
		d, err := unit.ParseDec(strings.Replace(s, ",", ".", 1))
		if err != nil {
			return 0
		}
		mm := r.fromKilopascal(d)
		if mm == 0 {
			return 0
		}
		odd = odd || !r.millimetres(d)
		out = max(out, mm)
	}
	if !odd {
		return 0
	}
	return out
}

// millimetres says whether a number could be a pressure in mmHg as it stands, for all that it is low.
func (r *logReader) millimetres(d unit.Dec) bool {
	return d.IsInt() && !d.Less(unit.Int(int64(r.span.Lowest)))
}

// fromKilopascal is a number in kilopascal as whole millimetres of mercury, rounded up; 0 where that cannot be a pressure.
func (r *logReader) fromKilopascal(d unit.Dec) int {
	p, err := unit.NewPressure(d, unit.Kilopascal)
	if err != nil {
		return 0
	}
	mm := p.In(unit.MillimetreMercury).Ceil(unit.Int(1))
	if mm.Less(unit.Int(int64(r.span.Lowest))) || unit.Int(int64(r.span.Highest)).Less(mm) {
		return 0
	}
	return int(mm.Int64())
}
