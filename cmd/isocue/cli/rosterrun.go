package cli

import (
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report/plans"
)

// rosterRun is one run over many clients. Each client is read, compiled and written by one worker and then forgotten, so that
// memory does not grow with their number.
type rosterRun struct {
	a      *app
	eng    *compiler.Compiler
	shared compiler.Input
	fl     rosterFlags
	same   string                     // digest of everything that all clients share
	sheet  *load.Spreadsheet          // the clients, where they stand in a spreadsheet; nil for a folder
	choice map[string]chosen          // protocols that a row may name
	before map[string]plans.RosterRow // by file, or by id for a spreadsheet: what an earlier run wrote down, so that nothing needs to be read twice
	ids    sync.Map                   // id -> file, of those that first missed: two records of one id would overwrite each other
	first  map[string]string          // id -> the first file that seems to hold it, so that which of two is left out is no matter of luck
	rows   []plans.RosterRow          // what became of each
	done   atomic.Int64
	lost   atomic.Int64
}

// workersEach is how many clients a processor has at hand: while one waits for the disk, another is compiled. heapGrowth is how
// much the heap may grow between two looks at it, in percent of what lives; near heapMost bytes it is looked at more often.
const workersEach, heapGrowth, heapMost = 2, 400, 128 << 20

// all compiles every client. A first interrupt lets the clients at hand be finished and stops; a second one is the system's.
func (r *rosterRun) all(clients []rosterItem) (out []plans.RosterRow, stopped bool) {
	r.rows = make([]plans.RosterRow, len(clients))
	var next atomic.Int64
	interrupt := make(chan os.Signal, 1)
	signal.Notify(interrupt, os.Interrupt)
	defer signal.Stop(interrupt)
	halt := make(chan struct{})
	over := make(chan struct{})
	go func() {
		select {
		case <-interrupt:
			signal.Stop(interrupt)
			close(halt)
		case <-over:
		}
	}()
	progress := r.progress(len(clients), over)
	var wg sync.WaitGroup
	for _, p := range r.shared.Protocols {
		r.eng.Check.Remember(p)
	}
	for _, c := range r.choice {
		r.eng.Check.Remember(c.protocol)
	}
	if os.Getenv("GOGC") == "" { // a client is forgotten at once, so that little lives: fewer looks at it, and still little memory
		defer debug.SetGCPercent(debug.SetGCPercent(heapGrowth))
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		defer debug.SetMemoryLimit(debug.SetMemoryLimit(heapMost))
	}
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
				if i >= len(clients) {
					return
				}
				row, w := r.one(clients[i], d)
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
	close(over)
	<-progress
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
func (r *rosterRun) tell(client int, row plans.RosterRow) {
	r.rows[client] = row
	if row.Outcome == plans.RosterRefused || row.Outcome == plans.RosterFailed {
		r.lost.Add(1)
		if row.Folder != "" && !stands(filepath.Join(r.fl.pack, row.Folder), "plan.json") {
			r.rows[client].Folder = "" // there is none
		}
	}
	r.done.Add(1)
}

// progress prints one line over and over on a terminal, once a run takes longer than a second: clients done, rate, left, lost.
func (r *rosterRun) progress(all int, over chan struct{}) (ended chan struct{}) {
	ended = make(chan struct{})
	if !terminal(r.a.err) {
		close(ended)
		return ended
	}
	go func() {
		defer close(ended)
		begin := time.Now()
		tick := time.NewTicker(500 * time.Millisecond)
		defer tick.Stop()
		shown := false
		for {
			select {
			case <-over:
				if shown {
					fmt.Fprint(r.a.err, "\r\x1b[K")
				}
				return
			case <-tick.C:
				took := time.Since(begin)
				if took < time.Second {
					continue
				}
				shown = true
				n := r.done.Load()
				fmt.Fprintf(r.a.err, "\r\x1b[K%d of %d clients, %.0f a second, %d left, %d refused or failed", n, all, float64(n)/took.Seconds(), int64(all)-n, r.lost.Load())
			}
		}
	}()
	return ended
}
