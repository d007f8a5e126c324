package progress

import (
	"fmt"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Change is the follow-up's mean less the baseline's, mmHg, with the reliable change of one person.
type Change struct {
	Systolic, Diastolic unit.Dec // negative for a fall
	Limit               unit.Dec // reliable change, systolic, to a tenth
	LimitDiastolic      unit.Dec
	Low, High           unit.Dec // the change less and plus the limit, to a tenth
	Beyond              string   // fall | rise | none: which way past the limit
	Noise               *Noise   // of the difference of the daily means; nil with fewer than two days on a side
	Other               []Limit  // what the limit would be with other numbers of weeks
	Selected            *unit.Dec
}

// Limit is the reliable change with some weeks in each window.
type Limit struct {
	Weeks int
	MmHg  unit.Dec // to a tenth
}

// shownWeeks are the numbers of weeks for which the limit is told beside the one in use.
var shownWeeks = []int{1, 2, 4}

// square is the square of the reliable change: (quantile x variation x baseline) squared, times 2 over the weeks in each
// window. The square is exact, so that no rounding decides a verdict.
func square(quantile, variation, baseline unit.Dec, weeks int) unit.Dec {
	x := quantile.Mul(variation).Mul(baseline)
	return x.Mul(x).Mul(unit.Ratio(2, int64(weeks)))
}

func change(in Input, base, follow *Window) Change {
	f := in.Figures
	c := Change{Systolic: follow.Systolic.Sub(base.Systolic), Diastolic: follow.Diastolic.Sub(base.Diastolic), Beyond: "none"}
	limit := square(f.Quantile, f.SystolicVariation, base.Systolic, in.Weeks)
	c.Limit = root(limit)
	c.LimitDiastolic = root(square(f.Quantile, f.DiastolicVariation, base.Diastolic, in.Weeks))
	c.Low, c.High = tenth(c.Systolic.Sub(c.Limit)), tenth(c.Systolic.Add(c.Limit))
	if limit.Less(c.Systolic.Mul(c.Systolic)) {
		c.Beyond = "rise"
		if c.Systolic.Sign() < 0 {
			c.Beyond = "fall"
		}
	}
	for _, w := range shownWeeks {
		if w != in.Weeks {
			c.Other = append(c.Other, Limit{w, root(square(f.Quantile, f.SystolicVariation, base.Systolic, w))})
		}
	}
	c.Noise = noiseOfDifference(base.daily, follow.daily, f.Coverage)
	if f.AssumedMean.Less(base.Systolic) { // chosen for being high, it falls toward the mean that it came from by itself
		s := f.AssumedMean.Add(f.Remains.Mul(base.Systolic.Sub(f.AssumedMean)))
		c.Selected = &s
	}
	return c
}

// word is the verdict on two windows that can be compared.
func (c Change) word(f record.Comparison) Verdict {
	switch {
	case c.Beyond == "fall":
		return ClearChange
	case c.Beyond == "rise":
		return ClearRise
	case !c.Systolic.Neg().Less(f.LeastFall):
		return Possible
	}
	return NoClearChange
}

// conditions says why two windows cannot be compared; nothing where they can.
func conditions(in Input, base, follow *Window, t *Training) (out []string) {
	if base.Arm != "" && follow.Arm != "" && base.Arm != follow.Arm {
		out = append(out, fmt.Sprintf("the arm changed from %s to %s", base.Arm, follow.Arm))
	}
	if base.Cuff != "" && follow.Cuff != "" && base.Cuff != follow.Cuff {
		out = append(out, "the cuff changed")
	}
	f := in.Figures
	if f.MorningShare.Less(base.Morning.Sub(follow.Morning).Abs()) {
		out = append(out, fmt.Sprintf("the hours differ: %s of the baseline was read in the morning, %s of the follow-up", base.Morning.Mul(unit.Int(100)).Text(0)+" %", follow.Morning.Mul(unit.Int(100)).Text(0)+" %"))
	}
	changed := slices.Clone(in.Changed)
	for _, m := range in.Client.Medicines {
		changed = append(changed, m.Changed)
	}
	for _, d := range changed {
		if d <= follow.To && int(base.From-d) < f.SettleDays {
			out = append(out, fmt.Sprintf("a medicine changed on %s, allowed: %d days or more before the baseline, or after the follow-up", d, f.SettleDays))
			break
		}
	}
	if t != nil && t.Known && t.CourseShare.Less(f.LeastSessions) {
		out = append(out, fmt.Sprintf("%s of the sessions that were due were done, needed: %s for any word on an effect", t.CourseShare.Percent(), f.LeastSessions.Percent()))
	}
	return out
}
