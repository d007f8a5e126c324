package cueval

import (
	"fmt"
	"runtime/metrics"
	"sync"
	"sync/atomic"
	"time"
)

// Watchdog bounds what one evaluation may take. Nothing can stop an evaluation from outside, so the only help against one that
// has gone astray is to end the process: that is what Bite is for. A nil Watchdog watches nothing.
type Watchdog struct {
	// Time is how much of the processor an evaluation may use. The clock would count what other programs do on a busy machine,
	// and an honest file would be given up for it. The system counts for the process, the garbage collector's threads included,
	// so what is watched at once shares what was used between looks.
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

// watched is how many evaluations are watched now. One inside another counts as well: the bounds are so wide that a factor of two
// does not matter.
var watched atomic.Int64

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
	first uint64        // bytes of the heap at the first look
	last  time.Duration // of the processor, at the look before
	used  time.Duration // of the processor, since the first look
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
	watched.Add(1)
	x.timer = time.AfterFunc(x.Every, x.look)
}

func (x *watch) end() {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.ended {
		return
	}
	x.ended = true
	x.timer.Stop()
	watched.Add(-1)
}

// look bites, or comes back later.
func (x *watch) look() {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.ended {
		return
	}
	heap, used := heapBytes(), processor()
	if x.looks++; x.looks == 1 {
		x.first, x.last = heap, used
	}
	x.used += (used - x.last) / time.Duration(watched.Load())
	x.last = used
	switch {
	case x.used >= x.Time:
		x.Bite(Overrun{x.doing, fmt.Sprintf("over %g s of the processor", x.Time.Seconds())})
	case heap > x.first && heap-x.first > x.Heap:
		x.Bite(Overrun{x.doing, fmt.Sprintf("over %d MB of memory", x.Heap>>20)})
	default:
		x.timer.Reset(x.Every)
	}
}

// processor is processorTime, but in a test.
var processor = processorTime

// heapBytes is how much the heap holds, dead things that are not yet swept included. Reading it stops nothing.
func heapBytes() uint64 {
	s := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}
