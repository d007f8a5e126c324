package record

import (
	"cmp"
	"slices"

	"isocue.example/compiler/unit"
)

// How readings that stand close together are judged. Guidelines want a high reading repeated and the mean of the readings taken, so a
// reading that calmer ones repeat counts as their mean. Nothing else takes from a reading: no row of another file, setting, posture or
// arm, none of the same minute and none before it.

// Logged is a reading of the record as a row of a log.
func (b Reading) Logged() LogReading {
	return LogReading{At: b.At, Systolic: b.Systolic, Diastolic: b.Diastolic, Pulse: b.Pulse, Arm: b.Arm, Clinic: b.Setting != "home", FromRecord: true, Noted: b.Noted}
}

// Sittings groups readings by time, each group from its first reading on for as long as a sitting lasts, in minutes. It orders them.
func Sittings(rs []LogReading, lasts int) (out [][]LogReading) {
	slices.SortStableFunc(rs, func(a, b LogReading) int { return cmp.Compare(a.At, b.At) })
	for from := 0; from < len(rs); {
		to := from + 1
		for to < len(rs) && rs[to].At-rs[from].At < unit.Local(lasts) {
			to++
		}
		out = append(out, rs[from:to:to])
		from = to
	}
	return out
}

// Way is the way in which a number gets graver.
type Way int

// High and Low are the two ways.
const (
	Low  Way = -1
	High Way = 1
)

// Graver says which of two numbers is worse.
func (w Way) Graver(a, b unit.Dec) bool { return a.Cmp(b) == int(w) }

// Counted is what a number of each reading of a sitting counts as: the mean of the reading and its repeats where all of these are
// calmer, and the reading itself where one is not or nobody repeated it. Of readings of one minute the gravest is the repeat. A reading
// without the number, 0, counts as 0.
func Counted(sitting []LogReading, number func(LogReading) int, way Way) []unit.Dec {
	out := make([]unit.Dec, len(sitting))
	for i, x := range sitting {
		own := unit.Int(int64(number(x)))
		if own.Sign() == 0 {
			continue
		}
		worst := map[unit.Local]unit.Dec{}
		for _, y := range sitting[i+1:] {
			n, before := unit.Int(int64(number(y))), worst[y.At]
			if n.Sign() > 0 && y.At > x.At && y.repeats(x) && (before.Sign() == 0 || way.Graver(n, before)) {
				worst[y.At] = n
			}
		}
		sum, calmer := own, true
		for _, n := range worst {
			sum, calmer = sum.Add(n), calmer && way.Graver(own, n)
		}
		if out[i] = own; calmer {
			out[i] = sum.Quo(unit.Int(int64(1 + len(worst))))
		}
	}
	return out
}

// repeats says whether a reading is of the same kind as another. Nothing repeats one that was entered by itself, for people were rung
// about it: what it closed is opened by a call and what comes after, not by a calmer number.
func (y LogReading) repeats(x LogReading) bool {
	return !x.Noted && y.File == x.File && y.FromRecord == x.FromRecord && y.Clinic == x.Clinic && y.Standing == x.Standing && y.Arm == x.Arm
}

// The numbers of a reading.
func SystolicOf(x LogReading) int  { return x.Systolic }
func DiastolicOf(x LogReading) int { return x.Diastolic }
func PulseOf(x LogReading) int     { return x.Pulse }
