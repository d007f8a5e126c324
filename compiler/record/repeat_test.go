package record_test

import (
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// A severe reading that calmer ones repeat is their mean, and nothing else takes from it. Source: guidelines on measuring at home repeat
// a high reading and take the mean of the readings.
func TestWhatAReadingCountsAs(t *testing.T) {
	at := func(minute, systolic int) record.LogReading {
		return record.LogReading{At: unit.Local(minute), Systolic: systolic, File: "a.csv", Arm: record.Left}
	}
	with := func(x record.LogReading, change func(*record.LogReading)) record.LogReading { change(&x); return x }
	for _, x := range []struct {
		why  string
		in   []record.LogReading
		want string // of the first reading
	}{
		{"a reading alone", []record.LogReading{at(0, 184)}, "184"},
		{"a calmer repeat", []record.LogReading{at(0, 184), at(5, 174)}, "179"},
		{"calmer ones, each lower than the first", []record.LogReading{at(0, 188), at(5, 178), at(6, 176), at(7, 174)}, "179"},
		{"a repeat as high", []record.LogReading{at(0, 184), at(5, 184), at(6, 120)}, "184"},
		{"a repeat that is higher", []record.LogReading{at(0, 184), at(5, 186), at(6, 120)}, "184"},
		{"one of the same minute", []record.LogReading{at(0, 184), at(0, 120)}, "184"},
		{"twenty of a later minute", append([]record.LogReading{at(0, 190)}, many(20, at(1, 130), at(1, 174))...), "182"},
		{"one of another file", []record.LogReading{at(0, 184), with(at(5, 120), func(x *record.LogReading) { x.File = "b.csv" })}, "184"},
		{"one of the clinic", []record.LogReading{at(0, 184), with(at(5, 120), func(x *record.LogReading) { x.Clinic = true })}, "184"},
		{"one on standing up", []record.LogReading{at(0, 184), with(at(5, 120), func(x *record.LogReading) { x.Standing = true })}, "184"},
		{"one of the other arm", []record.LogReading{at(0, 184), with(at(5, 120), func(x *record.LogReading) { x.Arm = record.Right })}, "184"},
		{"one of no arm", []record.LogReading{at(0, 184), with(at(5, 120), func(x *record.LogReading) { x.Arm = "" })}, "184"},
		{"one after a reading of the diary", []record.LogReading{with(at(0, 184), func(x *record.LogReading) { x.Noted = true }), with(at(5, 120), func(x *record.LogReading) { x.Noted = true })}, "184"},
		{"one of the record", []record.LogReading{at(0, 184), with(at(5, 120), func(x *record.LogReading) { x.FromRecord = true })}, "184"},
	} {
		if got := record.Counted(x.in, record.SystolicOf, record.High)[0].String(); got != x.want {
			t.Errorf("%s: %s, want %s", x.why, got, x.want)
		}
	}
	rising := []record.LogReading{at(0, 120), at(1, 122), at(2, 185)}
	if got := record.Counted(rising, record.SystolicOf, record.High)[2].String(); got != "185" {
		t.Errorf("the last reading of a sitting counts as %s, want 185", got)
	}
	low := []record.LogReading{at(0, 80), at(1, 102)}
	if got := record.Counted(low, record.SystolicOf, record.Low)[0].String(); got != "91" {
		t.Errorf("a low reading that a higher one repeats counts as %s, want 91", got)
	}
	if got := record.Counted(low, record.PulseOf, record.High)[0]; got.Sign() != 0 {
		t.Errorf("a pulse that nobody took counts as %s", got)
	}
}

func many(n int, of ...record.LogReading) (out []record.LogReading) {
	for range n {
		out = append(out, of...)
	}
	return out
}

// A sitting lasts from its first reading on, in whatever order the readings come.
func TestSittings(t *testing.T) {
	in := []record.LogReading{{At: 60}, {At: 0}, {At: 29}, {At: 30}}
	var sizes []int
	for _, s := range record.Sittings(in, 30) {
		sizes = append(sizes, len(s))
	}
	if len(sizes) != 3 || sizes[0] != 2 || sizes[1] != 1 || sizes[2] != 1 {
		t.Errorf("sittings of %v readings, want 2, 1 and 1", sizes)
	}
}
