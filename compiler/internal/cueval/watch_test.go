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
	o, ok := <-bitten
	if !ok {
		t.Fatal("the evaluation ended first")
	}
	return o
}

// A bound of the processor and one of the heap each end an evaluation that would go on, and say of what and which.
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
		{Watchdog{Time: 50 * time.Millisecond, Heap: 1 << 40, Every: 5 * time.Millisecond}, " took over 0.05 s of the processor"},
		{Watchdog{Time: time.Hour, Heap: 1 << 20, Every: time.Millisecond}, " took over 1 MB of memory"},
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

// What has ended is never bitten, by a look that was under way either, and is watched no longer.
func TestWatchdogSleeps(t *testing.T) {
	before := watched.Load()
	w := Watchdog{Heap: 1 << 40, Every: time.Hour, Bite: func(o Overrun) { t.Error(o) }}
	x := &watch{Watchdog: &w, doing: "something short"}
	x.start()
	if watched.Load() != before+1 {
		t.Error("it is not watched")
	}
	x.end()
	x.end() // twice is once
	x.look()
	if watched.Load() != before {
		t.Errorf("%d are watched, want %d", watched.Load(), before)
	}
	(*Watchdog)(nil).Watch("nothing")()
}

// Time is the processor's: a process that is held back is not bitten however often it is looked at, and two evaluations at once
// share what the process used.
func TestWatchdogCountsTheProcessor(t *testing.T) {
	var used time.Duration
	processor = func() time.Duration { return used }
	defer func() { processor = processorTime }()
	for alone, at := range map[bool]time.Duration{true: 6 * time.Second, false: 12 * time.Second} {
		watched.Store(0) // what an earlier test left astray goes on, and is not looked at
		bitten := 0
		w := Watchdog{Time: 6 * time.Second, Heap: 1 << 40, Every: time.Hour, Bite: func(Overrun) { bitten++ }}
		x := &watch{Watchdog: &w, doing: "something long"}
		x.start()
		if !alone {
			defer w.Watch("something beside it")()
		}
		x.look()
		for range 1000 {
			x.look()
		}
		used += at - time.Second
		if x.look(); bitten > 0 {
			t.Errorf("alone %v: bitten before its time", alone)
		}
		used += time.Second
		if x.look(); bitten != 1 {
			t.Errorf("alone %v: bitten %d times, want once", alone, bitten)
		}
		x.end()
	}
}

// The system says what the process uses, and never less than before.
func TestProcessorTimeGrows(t *testing.T) {
	for first := processorTime(); ; {
		now := processorTime()
		if now < first {
			t.Fatalf("%v after %v", now, first)
		}
		if now > first {
			return
		}
	}
}
