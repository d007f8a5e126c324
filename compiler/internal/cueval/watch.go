package cueval

import (
	"fmt"
	"runtime/metrics"
	"sync"
	"time"
)

// Watchdog bounds what one evaluation may take. Nothing can stop an evaluation from outside, so the only help against one that
// has gone astray is to end the process: that is what Bite is for. A nil Watchdog watches nothing.
type Watchdog struct {
	// Time is how long an evaluation may run, counted in looks: a process that the system holds back is given more.
	Time time.Duration
	// Heap is by how many bytes the heap of the process may grow from the first look on.
	Heap uint64
	// Every is the time from look to look. What ends before the first costs a timer and nothing else.
	Every time.Duration
	// Bite is called once, from a goroutine of its own, with what was being done and how much it took.
	Bite func(Overrun)
	// Slow, if there is one, is run at the start of everything that is watched: for tests, as no file that the guard lets through
	// is slow.
	Slow func()
}

// Overrun is an evaluation that took too much.
type Overrun struct{ Doing, Took string }

func (o Overrun) Error() string { return o.Doing + " took " + o.Took }

// watch is one evaluation under a watchdog.
type watch struct {
	*Watchdog
	doing string
	mu    sync.Mutex
	ended bool
	looks int
	first uint64 // bytes of the heap at the first look
	timer *time.Timer
}

// Watch begins to look at what is being done, in words such as "reading a.cue"; the function it returns ends that.
func (w *Watchdog) Watch(doing string) (end func()) {
	if w == nil {
		return func() {}
	}
	x := &watch{Watchdog: w, doing: doing}
	x.start()
	if w.Slow != nil {
		w.Slow()
	}
	return x.end
}

func (x *watch) start() {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.timer = time.AfterFunc(x.Every, x.look)
}

func (x *watch) end() {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.ended = true
	x.timer.Stop()
}

// look bites, or comes back later.
func (x *watch) look() {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.ended {
		return
	}
	heap := heapBytes()
	if x.looks++; x.looks == 1 {
		x.first = heap
	}
	switch {
	case time.Duration(x.looks)*x.Every >= x.Time:
		x.ended = true
		x.Bite(Overrun{x.doing, fmt.Sprintf("longer than %g s", x.Time.Seconds())})
	case heap > x.first && heap-x.first > x.Heap:
		x.ended = true
		x.Bite(Overrun{x.doing, fmt.Sprintf("more than %d MB", x.Heap>>20)})
	default:
		x.timer.Reset(x.Every)
	}
}

// heapBytes is how much the heap holds, dead things that are not yet swept included. Reading it stops nothing.
func heapBytes() uint64 {
	s := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}
