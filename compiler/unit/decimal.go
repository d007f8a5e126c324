package unit

import (
	"strconv"
	"strings"
)

// tens are the powers of ten by which a small number can be multiplied, twice over, without overflow.
var tens = [...]int64{1, 10, 100, 1000, 10_000, 100_000, 1_000_000, 10_000_000, 100_000_000, 1_000_000_000}

// decimal prints digits, of which places stand after the point, without trailing zeros there; there is no -0.
func decimal(digits int64, places int, minus bool) string {
	for places > 0 && digits%10 == 0 {
		digits, places = digits/10, places-1
	}
	b := make([]byte, 0, 24)
	if minus && digits != 0 {
		b = append(b, '-')
	}
	from := len(b)
	b = strconv.AppendInt(b, digits, 10)
	for len(b)-from <= places {
		b = append(b, 0)
		copy(b[from+1:], b[from:])
		b[from] = '0'
	}
	if places > 0 {
		point := len(b) - places
		b = append(b, 0)
		copy(b[point+1:], b[point:])
		b[point] = '.'
	}
	return string(b)
}

// Text prints d with at most places decimals, half away from zero, without trailing zeros.
func (d Dec) Text(places int) string {
	if d.r == nil && places >= 0 && places < len(tens) {
		n, over := d.parts()
		return decimal((2*max(n, -n)*tens[places]+over)/(2*over), places, n < 0)
	}
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
	if d.r == nil {
		n, over := d.parts()
		for places, ten := range tens {
			if ten%over == 0 {
				return decimal(max(n, -n)*(ten/over), places, n < 0)
			}
		}
	}
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

// parseSmall reads the usual ways to write a small number: digits, perhaps a minus before them, perhaps a point between them.
func parseSmall(s string) (Dec, bool) {
	digits, minus := s, false
	if digits != "" && digits[0] == '-' {
		digits, minus = digits[1:], true
	}
	if len(digits) == 0 || len(digits) > 10 || digits[0] == '.' || digits[len(digits)-1] == '.' {
		return Dec{}, false
	}
	var n int64
	point := -1
	for i := range len(digits) {
		switch c := digits[i]; {
		case c >= '0' && c <= '9':
			n = n*10 + int64(c-'0')
		case c == '.' && point < 0:
			point = i
		default:
			return Dec{}, false
		}
	}
	if minus {
		n = -n
	}
	if point < 0 {
		return Int(n), true
	}
	return small(n, tens[len(digits)-point-1]), true
}
