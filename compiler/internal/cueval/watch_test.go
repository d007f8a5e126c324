package cueval

import (
	"testing"
	"testing/fstest"
	"time"
)

// astray is a schema on which an evaluation runs for seconds and fills the heap, once n is 7.
const astray = `package schema
#P: {
	n!: int
	if n == 7 {
		_l: [for i in [1, 2, 3, 4, 5] for j in [1, 2, 3, 4, 5] {i * j}]
		x: [for a in _l for b in _l for c in _l {a: a, b: b, c: c}]
	}
}
`

// bites runs an evaluation under w until it bites, and says what for. The evaluation goes on behind: only the end of the process
// stops it, which is the end of this test binary.
func bites(t *testing.T, w *Watchdog, work func()) Overrun {
	t.Helper()
	bitten := make(chan Overrun, 9)
	w.Bite = func(o Overrun) { bitten <- o }
	go func() { work(); close(bitten) }()
	select {
	case o, ok := <-bitten:
		if !ok {
			t.Fatal("the evaluation ended first")
		}
		return o
	case <-time.After(time.Minute):
		t.Fatal("an evaluation of minutes is not bitten")
	}
	return Overrun{}
}

// A deadline and a heap bound each end an evaluation that would go on, and say of what and which.
func TestWatchdogBites(t *testing.T) {
	load := func(w *Watchdog, more string) *Schema {
		s, err := Load(w, fstest.MapFS{"a.cue": {Data: []byte(astray + more)}}, home)
		if err != nil {
			t.Error(err)
		}
		return s
	}
	patient := Watchdog{Time: time.Hour, Heap: 1 << 40, Every: time.Millisecond}
	for _, c := range []struct {
		w    Watchdog
		says string
	}{
		{Watchdog{Time: 50 * time.Millisecond, Heap: 1 << 40, Every: 5 * time.Millisecond}, " took longer than 0.05 s"},
		{Watchdog{Time: time.Hour, Heap: 1 << 20, Every: time.Millisecond}, " took more than 1 MB"},
	} {
		w := patient
		s := load(&w, "")
		if ps := s.Check("#P", read(t, "n: 6")); len(ps) > 0 {
			t.Fatal(ps)
		}
		w.Time, w.Heap, w.Every = c.w.Time, c.w.Heap, c.w.Every
		if o := bites(t, &w, func() { s.Check("#P", read(t, "n: 7")) }); o.Error() != "holding f.cue against the schema"+c.says {
			t.Errorf("%q, want%s", o.Error(), c.says)
		}
		if o := bites(t, &c.w, func() { load(&c.w, "x: #P & {n: 7}\n") }); o.Error() != "building the schema"+c.says {
			t.Errorf("%q, want%s", o.Error(), c.says)
		}
	}
}

// What ends in time is never bitten, and nothing goes on looking.
func TestWatchdogSleeps(t *testing.T) {
	w := Watchdog{Time: time.Second, Heap: 1 << 30, Every: time.Millisecond, Bite: func(o Overrun) { t.Error(o) }}
	for range 50 {
		end := w.Watch("something short")
		time.Sleep(200 * time.Microsecond)
		end()
	}
	end := w.Watch("something that is looked at")
	time.Sleep(30 * time.Millisecond)
	end()
	end() // twice is once
	time.Sleep(5 * time.Millisecond)
	(*Watchdog)(nil).Watch("nothing")()
}
