package progress

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Tomas to the number. Source: the worked story, by hand: 1.96 x sqrt(2) x 0.042 x 151 = 17.577; the root of two and of four
// smaller for two and four weeks; 135 + 0.52 x 16 = 143.32.
func TestTomas(t *testing.T) {
	in := input(t, "2027-03-29T08:00")
	in.Plan = plan(testkit.Date(t, "2027-02-01"), 8)
	in.Readings = append(week(testkit.Date(t, "2027-01-25"), 151, 88), week(testkit.Date(t, "2027-03-22"), 129, 76)...)
	r := Compute(in)
	if len(r.Windows) != 2 || r.Change == nil {
		t.Fatalf("%+v", r)
	}
	base, follow := r.Windows[0], r.Windows[1]
	if base.Readings != 24 || base.Days != 6 || base.Systolic.Text(3) != "151" || base.Diastolic.Text(3) != "88" || follow.Systolic.Text(3) != "129" || follow.Diastolic.Text(3) != "76" {
		t.Errorf("%+v %+v", base, follow)
	}
	c := r.Change
	got := []string{c.Systolic.String(), c.Diastolic.String(), c.Limit.String(), c.Low.String(), c.High.String(), c.Other[0].MmHg.String(), c.Other[1].MmHg.String(), c.Selected.Text(0), c.Beyond, string(r.Verdict)}
	want := []string{"-22", "-12", "17.6", "-39.6", "-4.4", "12.4", "8.8", "143", "fall", "clear change"}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%s, want %s", got[i], want[i])
		}
	}
	in.Client.Medicines = []record.Medicine{{Class: "thiazide", Changed: testkit.Date(t, "2027-02-20")}}
	if r := Compute(in); r.Verdict != NotComparable || r.Change.Beyond != "fall" {
		t.Errorf("with a change of medicine between: %s, %s", r.Verdict, r.Change.Beyond)
	}
}

// The verdict words at their edges. Source: the reliable change of 120 is 1.96 x sqrt(2) x 0.042 x 120 = 13.97.
func TestVerdictWords(t *testing.T) {
	for _, c := range []struct {
		fall int
		want Verdict
	}{{14, ClearChange}, {13, Possible}, {5, Possible}, {4, NoClearChange}, {0, NoClearChange}, {-13, NoClearChange}, {-14, ClearRise}} {
		in := input(t, "2027-03-29T08:00")
		in.Readings = append(week(testkit.Date(t, "2027-01-25"), 120, 80), week(testkit.Date(t, "2027-03-22"), 120-c.fall, 80)...)
		if r := Compute(in); r.Verdict != c.want {
			t.Errorf("a fall of %d is %s, want %s", c.fall, r.Verdict, c.want)
		}
	}
}

// A limit is met exactly, not nearly: with a quantile of 2, a variation of 0.05 and 100 mmHg, two weeks each give a limit of
// exactly 10, and a fall of 10 is inside it.
func TestLimitIsExact(t *testing.T) {
	in := input(t, "2027-03-29T08:00")
	in.Figures.Quantile, in.Figures.SystolicVariation, in.Figures.KeepFirstDay, in.Weeks = unit.Int(2), unit.MustDec("0.05"), true, 2
	at := func(d unit.Date, sys int) []record.LogReading { return append(week(d, sys, 60), week(d+7, sys, 60)...) }
	flat := func(rs []record.LogReading, sys int) []record.LogReading {
		for i := range rs {
			rs[i].Systolic = sys
		}
		return rs
	}
	in.Readings = append(flat(at(testkit.Date(t, "2027-01-04"), 100), 100), flat(at(testkit.Date(t, "2027-03-01"), 90), 90)...)
	if r := Compute(in); r.Change.Limit.String() != "10" || r.Verdict != Possible {
		t.Errorf("limit %s, %s", r.Change.Limit, r.Verdict)
	}
	in.Readings = append(flat(at(testkit.Date(t, "2027-01-04"), 100), 100), flat(at(testkit.Date(t, "2027-03-01"), 90), 89)...)
	if r := Compute(in); r.Verdict != ClearChange {
		t.Errorf("one past the limit: %s", r.Verdict)
	}
}

// Welch's interval, held against R's own example: t.test(extra ~ group, data = sleep) prints -3.3654832 to 0.2054832 on
// 17.776 degrees of freedom for group 1 less group 2 (R's help page of t.test, data of Student, Biometrika 6:1, 1908).
func TestWelchAgainstR(t *testing.T) {
	one := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0}
	two := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	low, high, ok := welch(two, one, unit.MustDec("0.95"))
	if !ok || math.Abs(low+3.3654832) > 5e-7 || math.Abs(high-0.2054832) > 5e-7 {
		t.Errorf("%v to %v", low, high)
	}
	if _, _, ok := welch(one[:1], two, unit.MustDec("0.95")); ok {
		t.Error("one day has an interval")
	}
}

// Quantiles of Student's t, from the published table (Fisher and Yates; two-sided 5 %): 1: 12.706, 5: 2.571, 10: 2.228, 30: 2.042;
// and from gonum, whose own tests hold it to other programs.
func TestQuantiles(t *testing.T) {
	for df, want := range map[float64]float64{1: 12.706, 5: 2.571, 10: 2.228, 30: 2.042} {
		if got := quantile(unit.MustDec("0.95"), df); math.Abs(got-want) > 5e-4 {
			t.Errorf("%v degrees of freedom: %v, want %v", df, got, want)
		}
	}
	for df := 0.5; df < 400; df *= 1.1 {
		for _, coverage := range []string{"0.5", "0.9", "0.95", "0.99"} {
			c := unit.MustDec(coverage)
			want := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile((1 + mustFloat(c)) / 2)
			if got := quantile(c, df); math.Abs(got-want) > 1e-9*want {
				t.Errorf("%v degrees of freedom, %s: %v, the library says %v", df, coverage, got, want)
			}
		}
	}
}

// root rounds to a tenth without a float: it agrees with the library's root wherever that is not at an edge.
func TestRoot(t *testing.T) {
	for n := range int64(3000) {
		d := unit.Ratio(n, 7)
		if got, want := root(d), math.Round(math.Sqrt(float64(n)/7)*10)/10; math.Abs(mustFloat(got)-want) > 1e-9 {
			t.Errorf("root of %d/7 is %s, want %v", n, got, want)
		}
	}
	if root(unit.MustDec("0.0025")).String() != "0.1" || root(unit.MustDec("0.00249")).String() != "0" {
		t.Error("a root of exactly 0.05 rounds up to 0.1")
	}
}

func mustFloat(d unit.Dec) float64 { x, _ := d.Rat().Float64(); return x }

// person makes home readings of two weeks as the generator of the trade's variability figures does: a mean of its own, a drift
// between weeks, days, readings; the first of a pair 2 higher, mornings and evenings 2 apart, the first day 3 higher; whole mmHg.
type person struct {
	rnd  *rand.Rand
	mean float64
}

func (p person) week(from unit.Date, drift float64) (out []record.LogReading) {
	for d := range unit.Date(7) {
		day := p.mean + drift + p.rnd.NormFloat64()*5
		if d == 0 {
			day += 3
		}
		for i, c := range []unit.Clock{7 * 60, 7*60 + 1, 20 * 60, 20*60 + 1} {
			x := day + p.rnd.NormFloat64()*5
			if i%2 == 0 {
				x += 2
			}
			if i < 2 {
				x += 2
			}
			out = append(out, record.LogReading{At: unit.At(from+d, c), Systolic: int(math.Round(x)), Diastolic: int(math.Round(x * 0.6))})
		}
	}
	return out
}

// While nothing has changed, one verdict in twenty says that it has; and the interval on daily means covers the difference
// between these weeks, drift and all, nineteen times of twenty. The generator: person means N(137, 12), drift between weeks of
// 5.3, days 5, readings 5; its weekly means vary by 4.2 percent, as Warren 2010 found.
func TestSimulation(t *testing.T) {
	const people = 4000
	rnd := rand.New(rand.NewPCG(2010, 60))
	first, later := testkit.Date(t, "2027-01-04"), testkit.Date(t, "2027-03-01")
	in := input(t, "2027-03-29T08:00")
	falls, rises, covered, squares := 0, 0, 0, 0.0
	for range people {
		p := person{rnd, 137 + rnd.NormFloat64()*12}
		a, b := rnd.NormFloat64()*5.3, rnd.NormFloat64()*5.3
		in.Readings = append(p.week(first, a), p.week(later, b)...)
		r := Compute(in)
		switch r.Verdict {
		case ClearChange:
			falls++
		case ClearRise:
			rises++
		}
		if d := b - a; mustFloat(r.Change.Noise.Low) <= d && d <= mustFloat(r.Change.Noise.High) {
			covered++
		}
		c := mustFloat(r.Change.Systolic)
		squares += c * c
	}
	sdd := math.Sqrt(squares / people)
	if variation := sdd / math.Sqrt2 / 137; variation < 0.040 || variation > 0.044 {
		t.Errorf("the generator's weekly means vary by %.4f, want 0.042", variation)
	}
	if share := float64(falls+rises) / people; share < 0.04 || share > 0.06 {
		t.Errorf("clear change or clear rise in %.4f of people to whom nothing happened, want 0.04 to 0.06", share)
	}
	if falls < people/100 || rises < people/100 {
		t.Errorf("%d falls and %d rises", falls, rises)
	}
	if share := float64(covered) / people; share < 0.94 || share > 0.96 {
		t.Errorf("the interval on daily means covers %.4f, want 0.95", share)
	}
	t.Logf("%d people: %d clear changes, %d clear rises, %.2f %% covered, standard deviation of differences %.2f", people, falls, rises, 100*float64(covered)/people, sdd)
}
