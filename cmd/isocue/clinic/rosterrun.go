package clinic

import (
	"math"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"

	"isocue.example/compiler/files"
	"isocue.example/compiler/report/plans"
)

// workersEach is how many clients a processor has at hand: while one waits for the disk, another is compiled. heapGrowth is how
// much the heap may grow between two looks at it, in percent of what lives; near heapMost bytes it is looked at more often.
const workersEach, heapGrowth, heapMost = 2, 400, 128 << 20

// usualGrowth is the growth that Go allows where nobody says otherwise.
const usualGrowth = 100

// HeapUsual is where the collector begins to look more often, in bytes, so that the whole program stays under 256 MB.
const HeapUsual = 200 << 20

// compileAll compiles every client until halt.
func (r *Roster) compileAll(halt <-chan struct{}) (out []plans.RosterRow, stopped bool) {
	r.rows = make([]plans.RosterRow, len(r.all))
	var next atomic.Int64
	var wg sync.WaitGroup
	for _, p := range r.order.Input.Protocols {
		r.under.Check.Remember(p)
	}
	for _, c := range r.choice {
		r.under.Check.Remember(c.protocol)
	}
	defer quiet()()
	for range workersEach * runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			d := newDesk()
			defer d.clear(r.tell)
			for {
				select {
				case <-halt:
					return
				default:
				}
				i := int(next.Add(1)) - 1
				if i >= len(r.all) {
					return
				}
				row, w := r.one(r.all[i], d)
				if w == nil {
					r.tell(i, row)
					continue
				}
				if d.shelf = append(d.shelf, shelved{i, row, w}); len(d.shelf) >= d.room {
					d.clear(r.tell)
				}
			}
		})
	}
	wg.Wait()
	for _, row := range r.rows {
		if row.Outcome != "" {
			out = append(out, row)
		} else {
			stopped = true
		}
	}
	return out, stopped
}

// tell keeps what became of a client; each has one worker.
func (r *Roster) tell(client int, row plans.RosterRow) {
	r.rows[client] = row
	if row.Outcome == plans.RosterRefused || row.Outcome == plans.RosterFailed {
		r.lost.Add(1)
		if row.Folder != "" && !files.Exists(filepath.Join(r.order.Pack, row.Folder), "plan.json") {
			r.rows[client].Folder = "" // there is none
		}
	}
	r.done.Add(1)
}

// quiet has the collector look at the heap less often, since a client is forgotten at once and little lives; it gives back how
// it was. Where somebody has chosen either bound, it stays.
func quiet() (back func()) {
	growth, most := debug.SetGCPercent(heapGrowth), debug.SetMemoryLimit(-1)
	if growth != usualGrowth {
		debug.SetGCPercent(growth)
	}
	if most == math.MaxInt64 || most == HeapUsual {
		debug.SetMemoryLimit(heapMost)
	}
	return func() { debug.SetGCPercent(growth); debug.SetMemoryLimit(most) }
}
