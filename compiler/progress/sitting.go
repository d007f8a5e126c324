package progress

import (
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Sitting is the mean of readings that stand close together, in mmHg and beats a minute.
type Sitting struct {
	At                         unit.Local // the first reading
	Systolic, Diastolic, Pulse unit.Dec   // Pulse is 0 where none was taken
	Readings                   int
	Symptoms, LowSymptoms      bool // the log tells of one with it
	File                       string
	Line                       int // of the first reading
	to                         unit.Local
	pulses                     int
}

// Standing is a reading on standing up, with the sitting before it.
type Standing struct {
	At                              unit.Local
	Systolic, Diastolic             unit.Dec
	Seated                          bool
	SeatedSystolic, SeatedDiastolic unit.Dec
	LowSymptoms                     bool
	File                            string
	Line                            int
}

// sittings groups the readings of the logs, and those taken at the gate of a session, by time. What the client record holds was
// judged when it was compiled. A severe reading counts on its own too, unless calmer ones repeat it.
func sittings(in Input, es []Event) (out []Sitting, standing []Standing, alone []Sitting) {
	var rs []record.LogReading
	for _, x := range in.Readings {
		if !x.FromRecord && x.Systolic > 0 && x.At <= in.Now {
			rs = append(rs, x)
		}
	}
	for _, s := range in.Sessions {
		if s.Systolic > 0 && s.At <= in.Now {
			rs = append(rs, record.LogReading{At: s.At, Systolic: s.Systolic, Diastolic: s.Diastolic, File: s.File, Line: s.Line})
		}
	}
	span := unit.Local(in.Sitting.SameSitting)
	seated, stoodUp := apart(rs)
	groups := record.Sittings(seated, in.Sitting.SameSitting)
	for _, g := range groups {
		s := Sitting{At: g[0].At, File: g[0].File, Line: g[0].Line}
		for _, x := range g {
			s.add(x)
		}
		out = append(out, s)
	}
	for i := range out {
		s := &out[i]
		n := unit.Int(int64(s.Readings))
		s.Systolic, s.Diastolic = s.Systolic.Quo(n), s.Diastolic.Quo(n)
		if s.pulses > 0 {
			s.Pulse = s.Pulse.Quo(unit.Int(int64(s.pulses)))
		}
		s.Symptoms, s.LowSymptoms = around(es, s.At, s.to+span)
	}
	for i, g := range groups {
		alone = append(alone, severe(in, g, &out[i], es)...)
	}
	for _, g := range record.Sittings(stoodUp, in.Sitting.SameSitting) {
		for _, x := range g {
			standing = append(standing, stood(x, out, es, span))
		}
		alone = append(alone, severe(in, g, nil, es)...)
	}
	return out, standing, alone
}

// apart is the readings of a posture at rest, and those on standing up.
func apart(rs []record.LogReading) (seated, standing []record.LogReading) {
	for _, x := range rs {
		if x.Standing {
			standing = append(standing, x)
		} else {
			seated = append(seated, x)
		}
	}
	return seated, standing
}

func (s *Sitting) add(x record.LogReading) {
	s.Readings++
	s.to = x.At
	s.Systolic, s.Diastolic = s.Systolic.Add(unit.Int(int64(x.Systolic))), s.Diastolic.Add(unit.Int(int64(x.Diastolic)))
	if x.Pulse > 0 {
		s.pulses++
		s.Pulse = s.Pulse.Add(unit.Int(int64(x.Pulse)))
	}
}

// stood pairs a standing reading with the sitting that it follows within the span.
func stood(x record.LogReading, all []Sitting, es []Event, span unit.Local) Standing {
	out := Standing{At: x.At, Systolic: unit.Int(int64(x.Systolic)), Diastolic: unit.Int(int64(x.Diastolic)), File: x.File, Line: x.Line}
	_, out.LowSymptoms = around(es, x.At, x.At+span)
	for _, s := range all {
		if s.At <= x.At && x.At-s.to < span {
			out.Seated, out.SeatedSystolic, out.SeatedDiastolic = true, s.Systolic, s.Diastolic
		}
	}
	return out
}

// around says whether a symptom, and one of low pressure, stands between two moments.
func around(es []Event, from, to unit.Local) (any, low bool) {
	for _, e := range es {
		if from <= e.At && e.At < to && !e.Matter {
			any, low = true, low || e.Low
		}
	}
	return any, low
}

func lowSymptoms(es []Event, from, to unit.Date) bool {
	_, low := around(es, unit.At(from, 0), unit.At(to+1, 0))
	return low
}

// highDays counts the days of the last weeks with a sitting at or over a line for effort, or the gate's where there is none.
func highDays(in Input, all []Sitting) int {
	days := map[unit.Date]bool{}
	for _, s := range all {
		if s.At.Date() > in.Now.Date()-unit.Date(in.Figures.RecentDays) && in.over(s.Systolic, s.Diastolic) {
			days[s.At.Date()] = true
		}
	}
	return len(days)
}

// over says whether a pressure reaches the lines over which there is no effort.
func (in Input) over(systolic, diastolic unit.Dec) bool {
	reaches := func(x, effort, gate unit.Dec) bool {
		if effort.Sign() > 0 {
			gate = effort
		}
		return gate.Sign() > 0 && !x.Less(gate)
	}
	return reaches(systolic, in.Gate.EffortSystolic, in.Gate.Systolic) || reaches(diastolic, in.Gate.EffortDiastolic, in.Gate.Diastolic)
}
