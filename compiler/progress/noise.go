package progress

import (
	"math"
	"math/big"

	"gonum.org/v1/gonum/mathext"

	"isocue.example/compiler/unit"
)

// Noise is an interval on daily means, mmHg, to a tenth. It tells the noise inside these weeks, and nothing about other
// weeks: it is printed, and decides nothing, so floats may make it.
type Noise struct{ Low, High unit.Dec }

// noiseOfMean is Student's interval for the mean of the daily systolic means; nil with fewer than two days.
func noiseOfMean(days []Day, coverage unit.Dec) *Noise {
	mean, v, n := moments(days)
	if n < 2 {
		return nil
	}
	half := quantile(coverage, n-1) * math.Sqrt(v/n)
	return &Noise{fromFloat(mean - half), fromFloat(mean + half)}
}

// noiseOfDifference is Welch's interval for the difference b - a of daily systolic means (Biometrika 34:28, 1947); nil where a
// side has fewer than two days.
func noiseOfDifference(a, b []Day, coverage unit.Dec) *Noise {
	low, high, ok := welch(values(a), values(b), coverage)
	if !ok {
		return nil
	}
	return &Noise{fromFloat(low), fromFloat(high)}
}

// welch is the interval for mean(b) - mean(a), where the two spread differently.
func welch(a, b []float64, coverage unit.Dec) (low, high float64, ok bool) {
	ma, va, na := meanAndVariance(a)
	mb, vb, nb := meanAndVariance(b)
	if na < 2 || nb < 2 {
		return 0, 0, false
	}
	sa, sb := va/na, vb/nb
	d := mb - ma
	if sa+sb == 0 {
		return d, d, true
	}
	df := (sa + sb) * (sa + sb) / (sa*sa/(na-1) + sb*sb/(nb-1))
	half := quantile(coverage, df) * math.Sqrt(sa+sb)
	return d - half, d + half, true
}

// quantile is the two-sided quantile of Student's t: the tail beyond it is the regularised incomplete beta function of
// df/(df + t^2). A test holds it against the library's own quantile, which would bring matrices along.
func quantile(coverage unit.Dec, df float64) float64 {
	c, _ := coverage.Rat().Float64()
	x := mathext.InvRegIncBeta(df/2, 0.5, 1-c)
	return math.Sqrt(df * (1 - x) / x)
}

func moments(days []Day) (mean, variance, n float64) { return meanAndVariance(values(days)) }

func values(days []Day) (out []float64) {
	for _, d := range days {
		x, _ := d.Systolic.Rat().Float64()
		out = append(out, x)
	}
	return out
}

func meanAndVariance(xs []float64) (mean, variance, n float64) {
	n = float64(len(xs))
	for _, x := range xs {
		mean += x / n
	}
	for _, x := range xs {
		variance += (x - mean) * (x - mean) / (n - 1)
	}
	return mean, variance, n
}

func fromFloat(x float64) unit.Dec { return unit.Ratio(int64(math.Round(x*10)), 10) }

// tenth rounds to a tenth, half away from zero.
func tenth(d unit.Dec) unit.Dec { return unit.MustDec(d.Text(1)) }

// root is the square root of a ratio that is not negative, rounded to a tenth, without a float.
func root(d unit.Dec) unit.Dec {
	x := d.Mul(unit.Int(400)).Rat() // (2 x 10)^2, so that the last bit rounds
	n := new(big.Int).Sqrt(new(big.Int).Quo(x.Num(), x.Denom()))
	return unit.Ratio((n.Int64()+1)/2, 10)
}
