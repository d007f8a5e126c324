package progress

import (
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// severe is what single readings say that the means of their sittings do not: a mean of two readings must not make one of them milder,
// and neither must the posture in which it was taken. Each is a sitting of its own, with the highest numbers of the readings that stand
// together, and one more with the lowest. A low reading on standing up has rules of its own.
func severe(in Input, rs []record.LogReading, means []Sitting, es []Event) (out []Sitting) {
	span := unit.Local(in.Sitting.SameSitting)
	for _, standing := range []bool{false, true} {
		var high, low []Sitting
		for _, x := range rs {
			if x.Standing != standing {
				continue
			}
			if n := len(high); n == 0 || x.At-high[n-1].At >= span {
				s := Sitting{At: x.At, File: x.File, Line: x.Line, Readings: 1}
				high, low = append(high, s), append(low, s)
			}
			high[len(high)-1].highest(x)
			low[len(low)-1].lowest(x)
		}
		for i := range high {
			var mean Sitting // nothing hides a standing reading, and no mean tells of it
			if !standing {
				mean = means[i]
			}
			for _, s := range []Sitting{high[i], low[i]} {
				s.Symptoms, s.LowSymptoms = around(es, s.At, s.to+span)
				if in.graver(s, mean, standing) {
					out = append(out, s)
				}
			}
		}
	}
	return out
}

// highest takes over the highest numbers of a reading.
func (s *Sitting) highest(x record.LogReading) {
	s.to = x.At
	if unit.Int(int64(x.Systolic)).Sub(s.Systolic).Sign() > 0 || unit.Int(int64(x.Diastolic)).Sub(s.Diastolic).Sign() > 0 {
		s.Line, s.File = x.Line, x.File
	}
	s.Systolic, s.Diastolic = larger(s.Systolic, x.Systolic), larger(s.Diastolic, x.Diastolic)
	if x.Pulse > 0 {
		s.Pulse = larger(s.Pulse, x.Pulse)
	}
}

// lowest takes over the lowest numbers of a reading.
func (s *Sitting) lowest(x record.LogReading) {
	s.to = x.At
	if n := unit.Int(int64(x.Systolic)); s.Systolic.Sign() == 0 || n.Less(s.Systolic) {
		s.Systolic, s.Diastolic, s.Line, s.File = n, unit.Int(int64(x.Diastolic)), x.Line, x.File
	}
	if n := unit.Int(int64(x.Pulse)); n.Sign() > 0 && (s.Pulse.Sign() == 0 || n.Less(s.Pulse)) {
		s.Pulse = n
	}
}

func larger(a unit.Dec, n int) unit.Dec {
	if b := unit.Int(int64(n)); a.Less(b) {
		return b
	}
	return a
}

// graver says whether numbers reach a line that closes training, and their mean does not.
func (in Input) graver(s, mean Sitting, standing bool) bool {
	g := in.Gate
	over := func(x, mean unit.Dec, lines ...unit.Dec) bool {
		for _, line := range lines {
			if line.Sign() > 0 && !x.Less(line) && mean.Less(line) {
				return true
			}
		}
		return false
	}
	under := func(x, mean, line unit.Dec) bool {
		return x.Sign() > 0 && x.Less(line) && (mean.Sign() == 0 || !mean.Less(line))
	}
	return over(s.Systolic, mean.Systolic, g.Systolic, g.EmergencySystolic) || over(s.Diastolic, mean.Diastolic, g.Diastolic, g.EmergencyDiastolic) ||
		g.PulseClinic.Sign() > 0 && g.PulseClinic.Less(s.Pulse) && !g.PulseClinic.Less(mean.Pulse) ||
		under(s.Pulse, mean.Pulse, in.PulseFloor) || !standing && under(s.Systolic, mean.Systolic, g.LowClinic)
}
