package check

import (
	"slices"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// peaks are the gravest numbers of the readings from a moment on and of those before it, by the names under which rules know them, each
// as it counts in its sitting: the mean of a week hides them, and one of an earlier week stands in none.
func (c *Checker) peaks(rs []record.Reading, from unit.Local) (latest, earlier map[string]unit.Dec) {
	var logged []record.LogReading
	for _, b := range rs {
		logged = append(logged, b.Logged())
	}
	latest, earlier = map[string]unit.Dec{}, map[string]unit.Dec{}
	for _, s := range record.Sittings(logged, c.Base.Sitting.SameSitting) {
		for _, part := range []struct {
			high, low string
			number    func(record.LogReading) int
		}{{"peakSystolic", "lowestSystolic", record.SystolicOf}, {"peakDiastolic", "", record.DiastolicOf}, {"peakPulse", "lowestPulse", record.PulseOf}} {
			for way, name := range map[record.Way]string{record.High: part.high, record.Low: part.low} {
				for i, n := range record.Counted(s, part.number, way) {
					out := earlier
					if s[i].At >= from {
						out = latest
					}
					if old := out[name]; name != "" && n.Sign() > 0 && (old.Sign() == 0 || way.Graver(n, old)) {
						out[name] = n
					}
				}
			}
		}
	}
	return latest, earlier
}

// heardOf says whether a clinician who knew of what was read on a day has opened training since, for everything that is trained.
func (c *Checker) heardOf(r *record.Client, day unit.Date, o Occasion) bool {
	return !slices.ContainsFunc(modalities(o.Protocols), func(m record.Modality) bool { return !c.OpenedSince(r, m, day, o.from()) })
}

// Resting is the mean of a group of readings.
type Resting struct {
	Systolic, Diastolic, Pulse unit.Dec // mmHg, mmHg, beats a minute; Pulse is 0 where none was taken
	Readings, Days             int
	Setting                    string // home or clinic; "" where a sitting mixes them
	Last                       *record.Reading
	ArmDifference              unit.Dec // systolic, mmHg, between arms read in one sitting
	BothArms                   bool
}

// Pressure is the mean of the latest sitting, and of the window: the readings of the days that end with the latest one.
// schema/base/sitting.cue says how close readings of a sitting stand and how long a window is. Readings after the last day
// do not count; ok is false where there is none. A window with readings from home is a home window: one clinic reading among
// them must not take the mean from under the line for home.
func (c *Checker) Pressure(r *record.Client, last unit.Date) (latest, window Resting, ok bool) {
	var newest *record.Reading
	for i := range r.BloodPressure {
		if b := &r.BloodPressure[i]; b.At.Date() <= last && (newest == nil || b.At > newest.At) {
			newest = b
		}
	}
	if newest == nil {
		return latest, window, false
	}
	s := c.Base.Sitting
	latest, window = mean(r.BloodPressure, newest, unit.Local(s.SameSitting)), mean(r.BloodPressure, newest, unit.Local(s.WindowDays)*24*60)
	if window.Setting == "" {
		home := slices.DeleteFunc(slices.Clone(r.BloodPressure), func(b record.Reading) bool { return b.Setting != "home" })
		days := newest.At - unit.Local(s.WindowDays)*24*60
		newest = nil
		for i := range home {
			if b := &home[i]; b.At > days && b.At <= latest.Last.At && (newest == nil || b.At > newest.At) {
				newest = b
			}
		}
		window = mean(home, newest, newest.At-days)
	}
	return latest, window, true
}

func mean(rs []record.Reading, newest *record.Reading, span unit.Local) (out Resting) {
	var n, pulses, systolic, diastolic, pulse int64
	days := map[unit.Date]bool{}
	out.Setting, out.Last = newest.Setting, newest
	arm := map[record.Hand][]unit.Dec{}
	for i := range rs {
		b := &rs[i]
		if b.At > newest.At || newest.At-b.At >= span {
			continue
		}
		n++
		days[b.At.Date()] = true
		systolic, diastolic = systolic+int64(b.Systolic), diastolic+int64(b.Diastolic)
		if b.Pulse > 0 {
			pulses++
			pulse += int64(b.Pulse)
		}
		if b.Setting != out.Setting {
			out.Setting = ""
		}
		if b.Arm != "" {
			arm[b.Arm] = append(arm[b.Arm], unit.Int(int64(b.Systolic)))
		}
	}
	out.Systolic, out.Diastolic = unit.Ratio(systolic, n), unit.Ratio(diastolic, n)
	if pulses > 0 {
		out.Pulse = unit.Ratio(pulse, pulses)
	}
	out.Readings, out.Days = int(n), len(days)
	if out.BothArms = len(arm) == 2; out.BothArms {
		out.ArmDifference = average(arm[record.Left]).Sub(average(arm[record.Right])).Abs()
	}
	return out
}

func average(xs []unit.Dec) (sum unit.Dec) {
	for _, x := range xs {
		sum = sum.Add(x)
	}
	return sum.Quo(unit.Int(int64(len(xs))))
}

func (c *Checker) pressureGivens(cl *load.Client, o Occasion) (out []rule.Given) {
	r := cl.Record
	latest, window, ok := c.Pressure(r, max(o.day(), o.Today))
	if !ok {
		return nil
	}
	list := cl.Node.Get("measured", "bloodPressure")
	unheard := slices.DeleteFunc(slices.Clone(r.BloodPressure), func(b record.Reading) bool { return b.At > latest.Last.At || b.Settled || c.heardOf(r, b.At.Date(), o) })
	newest, earlier := c.peaks(unheard, latest.Last.At-unit.Local(c.Base.Sitting.SameSitting)+1)
	for _, of := range []string{"latest", "window"} {
		p, peaks := latest, newest
		if of == "window" {
			p, peaks = window, earlier
		}
		g := tree.NewRecord()
		for name, n := range peaks {
			num(g, name, n)
		}
		for name, n := range map[string]int{"ownSystolic": r.LimitSystolic, "ownDiastolic": r.LimitDiastolic} {
			if n > 0 {
				g.Set(name, tree.Int(n))
			}
		}
		str(g, "kind", "pressure")
		str(g, "of", of)
		num(g, "systolic", p.Systolic)
		num(g, "diastolic", p.Diastolic)
		if p.Pulse.Sign() > 0 {
			num(g, "pulse", p.Pulse)
		}
		str(g, "setting", p.Setting)
		g.Set("ageDays", tree.Int(int(o.doseDay(r)-p.Last.At.Date())))
		g.Set("days", tree.Int(p.Days))
		g.Set("readings", tree.Int(p.Readings))
		if p.BothArms {
			num(g, "armDifference", p.ArmDifference)
		}
		g.Set("effort", tree.Truth(c.effort(r, o)))
		g.Set("walks", tree.Truth(slices.Contains(modalities(o.Protocols), record.Walking)))
		g.Set("cleared", tree.Truth(c.openedForEffort(r, gatePressure, o)))
		g.Set("pulseCleared", tree.Truth(c.openedFor(r, gatePulse, o, everything)))
		g.Set("walkCleared", tree.Truth(c.openedFor(r, gatePressure, o, func(m record.Modality) bool { return m == record.Walking })))
		g.Set("lowMatters", tree.Truth(c.lowMatters(r, window, o)))
		beside := 0
		if latest.Setting == "clinic" && window.Setting == "home" {
			beside = window.Days
		}
		g.Set("besideDays", tree.Int(beside))
		g.Set("strains", tree.Truth(slices.ContainsFunc(modalities(o.Protocols), strains)))
		g.Set("strainCleared", tree.Truth(c.StrainCleared(r, o)))
		g.Set("slowing", tree.Int(c.Slowing(r)))
		g.Set("slowSigns", tree.Truth(anyYes(r, c.Base.SlowSigns)))
		g.Set("pregnant", tree.Truth(c.pregnant(r)))
		at := list.Elem[p.Last.Index]
		places := map[string]*tree.Node{"systolic": at.Get("systolic"), "diastolic": at.Get("diastolic"), "ageDays": at.Get("at")}
		if x := at.Get("pulse"); x != nil {
			places["pulse"] = x
		}
		out = append(out, rule.Given{Node: g, Anchor: at, Places: places})
	}
	return out
}

// lowMatters says whether a low pressure is a finding: it is for who takes what lowers it, and from an age on. Otherwise it may be how
// that person is, where a whole week says so.
func (c *Checker) lowMatters(r *record.Client, week Resting, o Occasion) bool {
	years, known := age(r, o.from())
	usual := !unit.Int(int64(week.Days)).Less(c.Base.Limit("window-days", "floor").Num) && week.Systolic.Less(c.Base.Limit("pressure-mean-lowish", "floor").Num)
	return c.TellsPrescriber(r) || !known || years >= c.Base.LowFromAge || !usual
}
