// Package unit holds the numbers of the trade, exact from the author's file to the printed page.
//
// A Dec is an exact decimal (kept as a ratio, so that thirds survive too). A Force is kept in newtons, a
// Pressure in pascals; both are made and read in the unit a gauge shows, with the exact factors of NIST SP 811
// (2008), appendix B. A Tenths is a time span in tenths of a second, the finest a breath phase is written in.
// A Date is a civil date without zone, a Clock a wall time in minutes. Nothing here is a float: no float decides
// a limit.
package unit

import (
	"cmp"
	"fmt"
	"math"
	"math/big"
	"strings"
)

// Dec is an exact rational number. The zero value is 0. A Dec is immutable, and equal numbers are equal values.
//
// Nearly all numbers of the trade fit into two small whole numbers, and are reckoned with as such; what does not is a big.Rat. No
// result depends on which it is.
type Dec struct {
	n, d int64    // in lowest terms, each at most most in size, d >= 1; both 0 for 0, and where r is not nil
	r    *big.Rat // where they would not fit
}

// most is so small that no product of two, nor the sum of two products, overflows.
const most = 1<<31 - 1

// Int is the Dec of a whole number.
func Int(n int64) Dec { return Ratio(n, 1) }

// Ratio is the exact fraction a/b. It panics when b is 0.
func Ratio(a, b int64) Dec {
	if b == 0 || a == math.MinInt64 || b == math.MinInt64 {
		return ofRat(big.NewRat(a, b))
	}
	if b < 0 {
		a, b = -a, -b
	}
	return small(a, b)
}

// small is n/d; d is over 0, and n is not the least of its kind.
func small(n, d int64) Dec {
	if n == 0 {
		return Dec{}
	}
	g := gcd(max(n, -n), d)
	if n, d = n/g, d/g; max(n, -n) > most || d > most {
		return Dec{r: big.NewRat(n, d)}
	}
	return Dec{n: n, d: d}
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// ofRat takes r over.
func ofRat(r *big.Rat) Dec {
	if r.Num().IsInt64() && r.Denom().IsInt64() && r.Num().Int64() != math.MinInt64 {
		return small(r.Num().Int64(), r.Denom().Int64())
	}
	return Dec{r: r}
}

// parts are the two numbers of a Dec that is small, 0/1 for 0.
func (d Dec) parts() (n, over int64) { return d.n, max(d.d, 1) }

func bothSmall(d, e Dec) bool { return d.r == nil && e.r == nil }

// maxDigits bounds what ParseDec reads, so that a hostile exponent cannot ask for a gigabyte of zeros.
const maxDigits = 64

// ParseDec reads a plain or exponent decimal such as 0.30, -4 or 1e3. Digits and exponent are bounded: at most
// 64 characters, an exponent of at most 64 either way.
func ParseDec(s string) (Dec, error) {
	if d, ok := parseSmall(s); ok {
		return d, nil
	}
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
	return ofRat(r), nil
}

// MustDec is ParseDec for constants of the program itself.
func MustDec(s string) Dec {
	d, err := ParseDec(s)
	if err != nil {
		panic(err)
	}
	return d
}

// Rat is the value as a ratio; it must not be changed.
func (d Dec) Rat() *big.Rat {
	if d.r != nil {
		return d.r
	}
	return big.NewRat(d.parts())
}

// Add is the sum.
func (d Dec) Add(e Dec) Dec {
	if !bothSmall(d, e) {
		return ofRat(new(big.Rat).Add(d.Rat(), e.Rat()))
	}
	n, over := d.parts()
	m, under := e.parts()
	return small(n*under+m*over, over*under)
}

// Sub is the difference.
func (d Dec) Sub(e Dec) Dec { return d.Add(e.Neg()) }

// Mul is the product.
func (d Dec) Mul(e Dec) Dec {
	if !bothSmall(d, e) {
		return ofRat(new(big.Rat).Mul(d.Rat(), e.Rat()))
	}
	n, over := d.parts()
	m, under := e.parts()
	return small(n*m, over*under)
}

// Quo is d/e. It panics when e is 0: a divisor is checked where it is read.
func (d Dec) Quo(e Dec) Dec {
	if !bothSmall(d, e) || e.n == 0 {
		return ofRat(new(big.Rat).Quo(d.Rat(), e.Rat()))
	}
	n, over := d.parts()
	m, under := e.parts()
	return Ratio(n*under, over*m)
}

// Neg is -d.
func (d Dec) Neg() Dec {
	if d.r != nil {
		return ofRat(new(big.Rat).Neg(d.r))
	}
	return Dec{n: -d.n, d: d.d}
}

// Abs is d without its sign.
func (d Dec) Abs() Dec {
	if d.Sign() < 0 {
		return d.Neg()
	}
	return d
}

// Cmp is -1, 0 or 1 where d is less than, equal to or over e.
func (d Dec) Cmp(e Dec) int {
	if !bothSmall(d, e) {
		return d.Rat().Cmp(e.Rat())
	}
	n, over := d.parts()
	m, under := e.parts()
	return cmp.Compare(n*under, m*over)
}

// Less says whether d is below e.
func (d Dec) Less(e Dec) bool { return d.Cmp(e) < 0 }

// Sign is -1, 0 or 1.
func (d Dec) Sign() int {
	if d.r != nil {
		return d.r.Sign()
	}
	return cmp.Compare(d.n, 0)
}

// IsZero says whether d is 0.
func (d Dec) IsZero() bool { return d.Sign() == 0 }

// IsInt says whether d is a whole number.
func (d Dec) IsInt() bool {
	if d.r != nil {
		return d.r.IsInt()
	}
	return d.d <= 1
}

// Int64 is the whole part, rounded toward zero.
func (d Dec) Int64() int64 {
	if d.r != nil {
		return new(big.Int).Quo(d.r.Num(), d.r.Denom()).Int64()
	}
	n, over := d.parts()
	return n / over
}

// Floor is the largest multiple of step that is not above d; step must be positive.
func (d Dec) Floor(step Dec) Dec { return d.snap(step, false) }

// Ceil is the smallest multiple of step that is not below d; step must be positive.
func (d Dec) Ceil(step Dec) Dec { return d.snap(step, true) }

func (d Dec) snap(step Dec, up bool) Dec {
	if bothSmall(d, step) && step.n > 0 {
		n, over := d.parts()
		n, over = n*step.d, over*step.n
		whole := n / over
		switch rest := n % over; {
		case rest < 0 && !up:
			whole--
		case rest > 0 && up:
			whole++
		}
		return Int(whole).Mul(step)
	}
	q := new(big.Rat).Quo(d.Rat(), step.Rat())
	n, m := new(big.Int).DivMod(q.Num(), q.Denom(), new(big.Int)) // Euclid: m >= 0, so n is the floor
	if up && m.Sign() != 0 {
		n.Add(n, big.NewInt(1))
	}
	return ofRat(new(big.Rat).Mul(new(big.Rat).SetInt(n), step.Rat()))
}
