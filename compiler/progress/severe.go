package progress

import (
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// severe is what readings of a sitting count as where that reaches a line which the mean of the sitting does not: one sitting with the
// high numbers that do, and one with the low ones. Beside them stand the numbers of the mean. A sitting on standing up has none, nil.
func severe(in Input, rs []record.LogReading, mean *Sitting, es []Event) (out []Sitting) {
	for _, way := range []record.Way{record.High, record.Low} {
		s := Sitting{At: rs[0].At, to: rs[len(rs)-1].At, Readings: 1, File: rs[0].File, Line: rs[0].Line}
		graver := false
		for _, p := range parts {
			var told unit.Dec
			if mean != nil {
				told = *p.of(mean)
			}
			n, k := gravest(rs, p.number, way)
			reaches := n.Sign() > 0 && in.closing(p.name, way, n, mean == nil) > in.closing(p.name, way, told, mean == nil)
			if reaches {
				graver, s.File, s.Line = true, rs[k].File, rs[k].Line
			}
			if *p.of(&s) = told; reaches || mean == nil {
				*p.of(&s) = n
			}
		}
		s.Symptoms, s.LowSymptoms = around(es, s.At, s.to+unit.Local(in.Sitting.SameSitting))
		if graver {
			out = append(out, s)
		}
	}
	return out
}

// parts are the numbers of a sitting; the place told is that of the last that is graver.
var parts = []struct {
	name   string
	number func(record.LogReading) int
	of     func(*Sitting) *unit.Dec
}{
	{"pulse", record.PulseOf, func(s *Sitting) *unit.Dec { return &s.Pulse }},
	{"diastolic", record.DiastolicOf, func(s *Sitting) *unit.Dec { return &s.Diastolic }},
	{"systolic", record.SystolicOf, func(s *Sitting) *unit.Dec { return &s.Systolic }},
}

// gravest is the gravest number that counts in a sitting, 0 where there is none, and the place of its reading.
func gravest(rs []record.LogReading, number func(record.LogReading) int, way record.Way) (worst unit.Dec, at int) {
	for i, n := range record.Counted(rs, number, way) {
		if n.Sign() > 0 && (worst.Sign() == 0 || way.Graver(n, worst)) {
			worst, at = n, i
		}
	}
	return worst, at
}

// closing is how many of the lines that close training a number reaches. Low pressure on standing up has rules of its own.
func (in Input) closing(part string, way record.Way, n unit.Dec, standing bool) (lines int) {
	g := in.Gate
	reach := func(reaches bool, line unit.Dec) {
		if reaches && line.Sign() > 0 && n.Sign() > 0 {
			lines++
		}
	}
	switch {
	case part == "systolic" && way == record.High:
		reach(!n.Less(g.Systolic), g.Systolic)
		reach(!n.Less(g.EmergencySystolic), g.EmergencySystolic)
	case part == "diastolic" && way == record.High:
		reach(!n.Less(g.Diastolic), g.Diastolic)
		reach(!n.Less(g.EmergencyDiastolic), g.EmergencyDiastolic)
	case part == "pulse" && way == record.High:
		reach(g.PulseClinic.Less(n), g.PulseClinic)
	case part == "pulse":
		reach(n.Less(in.PulseFloor), in.PulseFloor)
	case part == "systolic" && !standing:
		reach(n.Less(g.LowClinic), g.LowClinic)
	}
	return lines
}
