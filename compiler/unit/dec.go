// Package unit holds the numbers of the trade, exact from the author's file to the printed page.
//
// A Dec is an exact decimal (kept as a ratio, so that thirds survive too). A Force is kept in newtons, a
// Pressure in pascals; both are made and read in the unit a gauge shows, with the exact factors of NIST SP 811
// (2008), appendix B. A Tenths is a time span in tenths of a second, the finest a breath phase is written in.
// A Date is a civil date without zone, a Clock a wall time in minutes. Nothing here is a float: no float decides
// a limit.
package unit

import (
	"fmt"
	"math/big"
	"strings"
)

// Dec is an exact rational number. The zero value is 0. A Dec is immutable.
type Dec struct{ r *big.Rat }

// Int is the Dec of a whole number.
func Int(n int64) Dec { return Dec{big.NewRat(n, 1)} }

// Ratio is the exact fraction a/b. It panics when b is 0.
func Ratio(a, b int64) Dec { return Dec{big.NewRat(a, b)} }

// maxDigits bounds what ParseDec reads, so that a hostile exponent cannot ask for a gigabyte of zeros.
const maxDigits = 64

// ParseDec reads a plain or exponent decimal such as 0.30, -4 or 1e3. Digits and exponent are bounded: at most
// 64 characters, an exponent of at most 64 either way.
func ParseDec(s string) (Dec, error) {
	t := strings.ReplaceAll(s, "_", "")
	if len(t) == 0 || len(t) > maxDigits || strings.ContainsAny(t, "/xXoObBpP") {
		return Dec{}, fmt.Errorf("%q is not a decimal number of at most %d characters", s, maxDigits)
	}
	if i := strings.IndexAny(t, "eE"); i >= 0 {
		e := strings.TrimLeft(t[i+1:], "+-0")
		if len(e) > 2 || len(e) == 2 && e > "64" {
			return Dec{}, fmt.Errorf("the exponent of %q is out of range, allowed: -64 to 64", s)
		}
	}
	r, ok := new(big.Rat).SetString(t)
	if !ok {
		return Dec{}, fmt.Errorf("%q is not a decimal number", s)
	}
	return Dec{r}, nil
}

// MustDec is ParseDec for constants of the program itself.
func MustDec(s string) Dec {
	d, err := ParseDec(s)
	if err != nil {
		panic(err)
	}
	return d
}

var zero = new(big.Rat)

// Rat is the value as a ratio; it must not be changed.
func (d Dec) Rat() *big.Rat {
	if d.r == nil {
		return zero
	}
	return d.r
}

func (d Dec) Add(e Dec) Dec   { return Dec{new(big.Rat).Add(d.Rat(), e.Rat())} }
func (d Dec) Sub(e Dec) Dec   { return Dec{new(big.Rat).Sub(d.Rat(), e.Rat())} }
func (d Dec) Mul(e Dec) Dec   { return Dec{new(big.Rat).Mul(d.Rat(), e.Rat())} }
func (d Dec) Neg() Dec        { return Dec{new(big.Rat).Neg(d.Rat())} }
func (d Dec) Abs() Dec        { return Dec{new(big.Rat).Abs(d.Rat())} }
func (d Dec) Cmp(e Dec) int   { return d.Rat().Cmp(e.Rat()) }
func (d Dec) Sign() int       { return d.Rat().Sign() }
func (d Dec) IsZero() bool    { return d.Sign() == 0 }
func (d Dec) IsInt() bool     { return d.Rat().IsInt() }
func (d Dec) Less(e Dec) bool { return d.Cmp(e) < 0 }

// Quo is d/e. It panics when e is 0: a divisor is checked where it is read.
func (d Dec) Quo(e Dec) Dec { return Dec{new(big.Rat).Quo(d.Rat(), e.Rat())} }

// Int64 is the whole part, rounded toward zero.
func (d Dec) Int64() int64 {
	return new(big.Int).Quo(d.Rat().Num(), d.Rat().Denom()).Int64()
}

// Floor is the largest multiple of step that is not above d; step must be positive.
func (d Dec) Floor(step Dec) Dec { return d.snap(step, false) }

// Ceil is the smallest multiple of step that is not below d; step must be positive.
func (d Dec) Ceil(step Dec) Dec { return d.snap(step, true) }

func (d Dec) snap(step Dec, up bool) Dec {
	q := new(big.Rat).Quo(d.Rat(), step.Rat())
	n, m := new(big.Int).DivMod(q.Num(), q.Denom(), new(big.Int)) // Euclid: m >= 0, so n is the floor
	if up && m.Sign() != 0 {
		n.Add(n, big.NewInt(1))
	}
	return Dec{new(big.Rat).Mul(new(big.Rat).SetInt(n), step.Rat())}
}

// Text prints d with at most places decimals, half away from zero, without trailing zeros.
func (d Dec) Text(places int) string {
	s := d.Rat().FloatString(places)
	if strings.Contains(s, ".") {
		s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// String prints d exactly where it has an end, else to twelve decimals.
func (d Dec) String() string {
	if d.IsInt() {
		return d.Rat().Num().String()
	}
	if n, exact := d.Rat().FloatPrec(); exact && n <= maxDigits {
		return d.Text(n)
	}
	return d.Text(12)
}

// Percent prints a share such as 0.30 as "30 %", with at most one decimal.
func (d Dec) Percent() string { return d.Mul(Int(100)).Text(1) + " %" }

// MarshalJSON writes a plain JSON number.
func (d Dec) MarshalJSON() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalJSON reads a JSON number, exactly.
func (d *Dec) UnmarshalJSON(b []byte) error {
	x, err := ParseDec(string(b))
	if err == nil {
		*d = x
	}
	return err
}
