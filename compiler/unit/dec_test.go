package unit

import (
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
)

// ofBig prints as Dec promised to before small numbers had a way of their own.
func ofBig(r *big.Rat, places int) string {
	s := r.FloatString(places)
	if strings.Contains(s, ".") {
		s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

func exactly(r *big.Rat) string {
	if n, exact := r.FloatPrec(); exact && n <= maxDigits {
		return ofBig(r, n)
	}
	return ofBig(r, 12)
}

// full says that the tag full is given; its counts are those of `.ci/run`.
var full bool

// Small or not, a Dec reckons, compares, rounds, prints and reads as math/big does, and equal numbers are equal values.
func TestDecIsExact(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	edges := []int64{0, 1, -1, 2, 3, 5, 7, 10, 97, 1000, 1 << 20, most - 1, most, most + 1, -most, -most - 1, 1 << 40, math.MaxInt64, math.MinInt64, math.MinInt64 + 1}
	one := func() int64 {
		switch r.IntN(3) {
		case 0:
			return edges[r.IntN(len(edges))]
		case 1:
			return r.Int64N(2000) - 1000
		}
		return int64(r.Uint64()) >> r.IntN(63)
	}
	same := func(what string, d Dec, want *big.Rat) {
		t.Helper()
		if d.Rat().Cmp(want) != 0 || d != d.Add(Dec{}) && d.r == nil {
			t.Fatalf("%s is %s, want %s", what, d.Rat(), want)
		}
		if n := d.Rat().Num(); d.r != nil && n.IsInt64() && n.Int64() <= most && n.Int64() >= -most && d.r.Denom().IsInt64() && d.r.Denom().Int64() <= most {
			t.Fatalf("%s is %s, which is small", what, d.Rat())
		}
	}
	n := 8_000
	if full {
		n = 200_000
	}
	for range n {
		a, b, c, e := one(), one(), one(), one()
		if b == 0 || e == 0 {
			continue
		}
		x, y, X, Y := Ratio(a, b), Ratio(c, e), big.NewRat(a, b), big.NewRat(c, e)
		same("ratio", x, X)
		same("whole", Int(a), new(big.Rat).SetInt64(a))
		same("sum", x.Add(y), new(big.Rat).Add(X, Y))
		same("difference", x.Sub(y), new(big.Rat).Sub(X, Y))
		same("product", x.Mul(y), new(big.Rat).Mul(X, Y))
		same("negative", x.Neg(), new(big.Rat).Neg(X))
		same("size", x.Abs(), new(big.Rat).Abs(X))
		if c != 0 {
			same("quotient", x.Quo(y), new(big.Rat).Quo(X, Y))
		}
		if x.Cmp(y) != X.Cmp(Y) || x.Less(y) != (X.Cmp(Y) < 0) || x.Sign() != X.Sign() || x.IsInt() != X.IsInt() || x.IsZero() != (X.Sign() == 0) {
			t.Fatalf("%s and %s compare otherwise", X, Y)
		}
		if got, want := x.Int64(), new(big.Int).Quo(X.Num(), X.Denom()).Int64(); got != want {
			t.Fatalf("%s is %d whole, want %d", X, got, want)
		}
		if y.Sign() > 0 {
			q := new(big.Rat).Quo(X, Y)
			n, m := new(big.Int).DivMod(q.Num(), q.Denom(), new(big.Int))
			same("floor", x.Floor(y), new(big.Rat).Mul(new(big.Rat).SetInt(n), Y))
			if m.Sign() != 0 {
				n.Add(n, big.NewInt(1))
			}
			same("ceiling", x.Ceil(y), new(big.Rat).Mul(new(big.Rat).SetInt(n), Y))
		}
		places := r.IntN(14)
		if got, want := x.Text(places), ofBig(X, places); got != want {
			t.Fatalf("%s to %d places is %s, want %s", X, places, got, want)
		}
		if got, want := x.String(), exactly(X); got != want {
			t.Fatalf("%s prints as %s, want %s", X, got, want)
		}
		for _, s := range []string{X.FloatString(places), "-" + X.FloatString(places), "+" + X.FloatString(places), X.FloatString(2) + "e-3"} {
			d, err := ParseDec(s)
			want, ok := new(big.Rat).SetString(s)
			if ok != (err == nil) && len(s) <= maxDigits {
				t.Fatalf("%s: %v", s, err)
			}
			if err == nil {
				same(s, d, want)
			}
		}
	}
	for _, s := range []string{"", "-", ".", "1.", ".5", "--1", "1.2.3", "1e", "1-", "0x1", "00.50", "-0", "1_0", " 1", "1 "} {
		d, err := ParseDec(s)
		want, ok := new(big.Rat).SetString(strings.ReplaceAll(s, "_", ""))
		if strings.ContainsAny(s, "x") {
			ok = false
		}
		if ok != (err == nil) || ok && d.Rat().Cmp(want) != 0 {
			t.Errorf("%q reads as %s, %v, want %v", s, d, err, want)
		}
	}
	func() {
		defer func() {
			if recover() == nil {
				t.Error("a division by 0 does not panic")
			}
		}()
		Int(1).Quo(Dec{})
	}()
}

func BenchmarkDec(b *testing.B) {
	x, y := MustDec("38.5"), MustDec("0.30")
	b.ReportAllocs()
	for b.Loop() {
		if x.Mul(y).Floor(MustDec("0.5")).Cmp(x) > 0 {
			b.Fatal()
		}
	}
}
