package progress

import (
	"cmp"
	"fmt"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Which window it is.
const (
	Baseline = "baseline"
	FollowUp = "follow-up"
)

// Window is a stretch of days with home readings, both ends included, and its mean.
type Window struct {
	Which               string
	From, To            unit.Date
	Days, Readings      int      // kept
	Systolic, Diastolic unit.Dec // mean of the readings kept, mmHg
	Noise               *Noise   // of the daily systolic means; nil with fewer than two days
	Enough              bool
	NeedDays, NeedReads int
	Arm                 record.Hand // the arm that most readings name, "" where none does
	Cuff                string
	Morning             unit.Dec // share of the readings taken in the morning
	LowSymptoms         bool
	Set, Class          string // of the mean, by the guideline set named; filled in by the caller
	daily               []Day
}

// Day is the mean of a day's readings.
type Day struct {
	Date                unit.Date
	Systolic, Diastolic unit.Dec
	Readings            int
}

// seated is the readings that may stand in a home mean, by time: seated, at home, usable, each once, and not within the wait
// after a session.
func seated(in Input, left *Left) (out []record.LogReading) {
	type same struct {
		at                  unit.Local
		systolic, diastolic int
	}
	seen, logged, ends := map[same]bool{}, map[same]bool{}, sessionEnds(in)
	for _, x := range in.Readings {
		if !x.FromRecord {
			logged[same{x.At, x.Systolic, x.Diastolic}] = true
		}
	}
	for _, x := range in.Readings {
		k := same{x.At, x.Systolic, x.Diastolic}
		switch {
		case x.Systolic == 0 || x.At > in.Now:
		case x.Standing:
			left.Standing++
		case x.Clinic:
			left.Clinic++
		case slices.ContainsFunc(ends, func(end unit.Local) bool { return x.At > end && x.At <= end+unit.Local(in.Sitting.ReadingWaitMinutes) }):
			left.AfterSession++
		case x.FromRecord && (logged[k] || seen[k]): // the log has it too, or the record twice
		default:
			seen[k] = x.FromRecord
			out = append(out, x)
		}
	}
	slices.SortStableFunc(out, func(a, b record.LogReading) int { return cmp.Compare(a.At, b.At) })
	return out
}

// sessionEnds is when each session that was begun ended. Pressure may stand low or high for a while after it.
func sessionEnds(in Input) (out []unit.Local) {
	for _, s := range in.Sessions {
		if s.Outcome == record.NotStarted {
			continue
		}
		end := s.At
		if p := planned(in.Plan, s.UID); p != nil {
			end += unit.Local((p.Seconds + 59) / 60)
		}
		out = append(out, end)
	}
	return out
}

func planned(p *record.Plan, uid string) *record.Session {
	if p == nil || uid == "" {
		return nil
	}
	for i := range p.Sessions {
		if p.Sessions[i].UID == uid {
			return &p.Sessions[i]
		}
	}
	return nil
}

// windows places the two windows. With a plan the baseline ends with the last reading before the course, and the follow-up
// with the newest one since; without, the first and the last days of the readings are taken, where they do not meet.
func windows(in Input, all []record.LogReading) (base, follow *Window) {
	if len(all) == 0 {
		return nil, nil
	}
	span := unit.Date(7*in.Weeks) - 1
	first, last := all[0].At.Date(), all[len(all)-1].At.Date()
	if in.Plan == nil {
		base = &Window{Which: Baseline, From: first, To: min(first+span, last)}
		if last-span > first+span {
			follow = &Window{Which: FollowUp, From: last - span, To: last}
		}
		return base, follow
	}
	start := in.Plan.Start
	for _, x := range all {
		if d := x.At.Date(); d < start {
			base = &Window{Which: Baseline, From: d - span, To: d}
		}
	}
	if last >= start {
		follow = &Window{Which: FollowUp, From: max(last-span, start), To: last}
	}
	return base, follow
}

// fill works out a window from the readings in its days.
func (w *Window) fill(in Input, all []record.LogReading, left *Left) {
	f := in.Figures
	w.NeedDays, w.NeedReads = f.LeastDays*in.Weeks, f.LeastReadings*in.Weeks
	var mine []record.LogReading
	for _, x := range all {
		if d := x.At.Date(); w.From <= d && d <= w.To {
			mine = append(mine, x)
		}
	}
	if len(mine) > 0 && !f.KeepFirstDay {
		first := mine[0].At.Date()
		mine = slices.DeleteFunc(mine, func(x record.LogReading) bool {
			out := x.At.Date() == first
			if out {
				left.FirstDay++
			}
			return out
		})
	}
	w.Arm = record.Hand(most(mine, func(x record.LogReading) string { return string(x.Arm) }))
	w.Cuff = most(mine, func(x record.LogReading) string { return x.Cuff })
	mine = slices.DeleteFunc(mine, func(x record.LogReading) bool {
		out := x.Arm != "" && x.Arm != w.Arm
		if out {
			left.OtherArm++
		}
		return out
	})
	w.Readings = len(mine)
	if w.Readings == 0 {
		return
	}
	morning := 0
	for _, x := range mine {
		w.Systolic, w.Diastolic = w.Systolic.Add(unit.Int(int64(x.Systolic))), w.Diastolic.Add(unit.Int(int64(x.Diastolic)))
		if x.At.Clock() < f.MorningEnds {
			morning++
		}
	}
	n := unit.Int(int64(w.Readings))
	w.Systolic, w.Diastolic, w.Morning = w.Systolic.Quo(n), w.Diastolic.Quo(n), unit.Int(int64(morning)).Quo(n)
	w.daily = daily(mine)
	w.Days = len(w.daily)
	w.Enough = w.Days >= w.NeedDays && w.Readings >= w.NeedReads
	w.Noise = noiseOfMean(w.daily, f.Coverage)
}

// daily is the mean of each day, by date; all are in order of time.
func daily(all []record.LogReading) (out []Day) {
	for i := 0; i < len(all); {
		d := Day{Date: all[i].At.Date()}
		for ; i < len(all) && all[i].At.Date() == d.Date; i++ {
			d.Readings++
			d.Systolic, d.Diastolic = d.Systolic.Add(unit.Int(int64(all[i].Systolic))), d.Diastolic.Add(unit.Int(int64(all[i].Diastolic)))
		}
		n := unit.Int(int64(d.Readings))
		d.Systolic, d.Diastolic = d.Systolic.Quo(n), d.Diastolic.Quo(n)
		out = append(out, d)
	}
	return out
}

// most is the text that most readings name; of two with as many the one that comes first in the alphabet; "" where none does.
func most(xs []record.LogReading, of func(record.LogReading) string) (out string) {
	count := map[string]int{}
	for _, x := range xs {
		if s := of(x); s != "" {
			count[s]++
			if c := count[s]; c > count[out] || c == count[out] && s < out || out == "" {
				out = s
			}
		}
	}
	return out
}

// missing says in words what two windows lack.
func missing(base, follow *Window) (out []string) {
	say := func(w *Window, which string) {
		switch {
		case w == nil || w.Readings == 0:
			out = append(out, "no "+which+" window has readings")
		case !w.Enough:
			out = append(out, fmt.Sprintf("the %s window has %d readings on %d days, needed: %d on %d", which, w.Readings, w.Days, w.NeedReads, w.NeedDays))
		}
	}
	say(base, Baseline)
	say(follow, FollowUp)
	return out
}
