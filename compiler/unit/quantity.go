package unit

import "fmt"

// ForceUnit names what a grip gauge shows: "kgf" (what gauges print as kg), "lbf" or "N".
type ForceUnit string

const (
	KilogramForce ForceUnit = "kgf"
	PoundForce    ForceUnit = "lbf"
	Newton        ForceUnit = "N"
)

// Exact factors, NIST SP 811 (2008), appendix B.8 and B.9: 1 kgf = 9.806 65 N; 1 lbf = 0.453 592 37 kgf.
var (
	newtonPerKgf = MustDec("9.80665")
	newtonPerLbf = MustDec("0.45359237").Mul(newtonPerKgf)
)

func (u ForceUnit) factor() (Dec, bool) {
	switch u {
	case KilogramForce:
		return newtonPerKgf, true
	case PoundForce:
		return newtonPerLbf, true
	case Newton:
		return Int(1), true
	}
	return Dec{}, false
}

// Force is a force, kept in newtons.
type Force struct{ newton Dec }

// NewForce is the force that a gauge with this unit shows as v.
func NewForce(v Dec, u ForceUnit) (Force, error) {
	f, ok := u.factor()
	if !ok {
		return Force{}, fmt.Errorf("unit %q is not a force unit, allowed: kgf, lbf, N", string(u))
	}
	return Force{v.Mul(f)}, nil
}

// In is the number a gauge with this unit shows; an unknown unit is a bug of the caller and panics.
func (f Force) In(u ForceUnit) Dec {
	k, ok := u.factor()
	if !ok {
		panic("unit: unknown force unit " + string(u))
	}
	return f.newton.Quo(k)
}

// Share is the part s of f: 0.30 of 40 kgf is 12 kgf.
func (f Force) Share(s Dec) Force { return Force{f.newton.Mul(s)} }

// PressureUnit names a pressure unit: "mmHg" (conventional), "cmH2O" (conventional) or "kPa".
type PressureUnit string

const (
	MillimetreMercury PressureUnit = "mmHg"
	CentimetreWater   PressureUnit = "cmH2O"
	Kilopascal        PressureUnit = "kPa"
)

// Exact factors, NIST SP 811 (2008), appendix B.8: conventional mmHg 133.322387415 Pa, conventional cmH2O
// 98.0665 Pa (the 4 degree value 98.0638 is another unit and is not used).
func (u PressureUnit) factor() (Dec, bool) {
	switch u {
	case MillimetreMercury:
		return MustDec("133.322387415"), true
	case CentimetreWater:
		return MustDec("98.0665"), true
	case Kilopascal:
		return Int(1000), true
	}
	return Dec{}, false
}

// Pressure is a pressure, kept in pascals.
type Pressure struct{ pascal Dec }

// NewPressure is the pressure v in unit u.
func NewPressure(v Dec, u PressureUnit) (Pressure, error) {
	f, ok := u.factor()
	if !ok {
		return Pressure{}, fmt.Errorf("unit %q is not a pressure unit, allowed: mmHg, cmH2O, kPa", string(u))
	}
	return Pressure{v.Mul(f)}, nil
}

// In is the value in unit u; an unknown unit is a bug of the caller and panics.
func (p Pressure) In(u PressureUnit) Dec {
	k, ok := u.factor()
	if !ok {
		panic("unit: unknown pressure unit " + string(u))
	}
	return p.pascal.Quo(k)
}

// Tenths is a span of time in tenths of a second.
type Tenths int64

// Seconds is the span of n whole seconds.
func Seconds(n int) Tenths { return Tenths(n) * 10 }

// TenthsOf reads a span in seconds; ok is false when it is finer than a tenth or negative.
func TenthsOf(seconds Dec) (t Tenths, ok bool) {
	x := seconds.Mul(Int(10))
	return Tenths(x.Int64()), x.IsInt() && x.Sign() >= 0
}

// Dec is the span in seconds.
func (t Tenths) Dec() Dec { return Ratio(int64(t), 10) }

// String prints seconds: 5, 2.5.
func (t Tenths) String() string { return t.Dec().Text(1) }

// MarshalJSON writes seconds as a number.
func (t Tenths) MarshalJSON() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalJSON reads seconds.
func (t *Tenths) UnmarshalJSON(b []byte) error {
	d, err := ParseDec(string(b))
	if err != nil {
		return err
	}
	x, ok := TenthsOf(d)
	if !ok {
		return fmt.Errorf("%s s is finer than a tenth of a second", b)
	}
	*t = x
	return nil
}
