package cli

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/unit"
)

// rosterRun is one run over many clients. Each client is read, compiled and written by one worker and then forgotten, so that
// memory does not grow with their number.
type rosterRun struct {
	a      *app
	eng    *compiler.Compiler
	shared compiler.Input
	fl     rosterFlags
	same   string                      // digest of everything that all clients share
	before map[string]report.RosterRow // by file: what an earlier run wrote down, so that nothing needs to be read twice
	ids    sync.Map                    // id -> file: two records of one id would overwrite each other
	first  map[string]string           // id -> the first file that seems to hold it, so that which of two is left out is no matter of luck
	done   atomic.Int64
	lost   atomic.Int64
}

// sameInputs is a digest of what a plan depends on beside its client: the protocols, the policy, the waivers, the rule base and
// the flags. The clock is left out: a day that passes is no reason to compile anew.
func sameInputs(j *judging, in compiler.Input, fl rosterFlags) string {
	h := sha256.New()
	names := make([]string, 0, len(j.files))
	for n := range j.files {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		fmt.Fprintln(h, j.files[n].Digest)
	}
	fmt.Fprintln(h, Version, j.eng.Check.Base.Version, in.Start, in.Closed, in.NoReviews)
	return hex.EncodeToString(h.Sum(nil))
}

// all compiles every client. A first interrupt lets the clients at hand be finished and stops; a second one is the system's.
func (r *rosterRun) all(files []string) (out []report.RosterRow, stopped bool) {
	rows := make([]report.RosterRow, len(files))
	r.first = firstOf(files)
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
	progress := r.progress(len(files), over)
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			enc := calendar.NewEncoder(calendar.Options{Version: Version})
			for {
				select {
				case <-halt:
					return
				default:
				}
				i := int(next.Add(1)) - 1
				if i >= len(files) {
					return
				}
				rows[i] = r.one(files[i], enc)
				if o := rows[i].Outcome; o == report.RosterRefused || o == report.RosterFailed {
					r.lost.Add(1)
				}
				r.done.Add(1)
			}
		})
	}
	wg.Wait()
	close(over)
	<-progress
	for _, row := range rows {
		if row.Outcome != "" {
			out = append(out, row)
		} else {
			stopped = true
		}
	}
	return out, stopped
}

// idLine is how an id stands in a record, in any notation.
var idLine = regexp.MustCompile(`(?m)^\s*\{?\s*"?id"?\s*:\s*"?([a-z0-9-]+)"?`)

// firstOf guesses the id of each file from its text and keeps the first file of each. What it misses is found when the record
// is read.
func firstOf(files []string) map[string]string {
	out := make(map[string]string, len(files))
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			continue
		}
		if m := idLine.FindSubmatch(src); m != nil {
			if _, ok := out[string(m[1])]; !ok {
				out[string(m[1])] = name
			}
		}
	}
	return out
}

// one compiles one client into a pack of its own. Whatever goes wrong is this client's alone.
func (r *rosterRun) one(name string, enc *calendar.Encoder) (row report.RosterRow) {
	row = report.RosterRow{File: name}
	defer func() {
		if x := recover(); x != nil {
			row.Outcome, row.Reason = report.RosterFailed, fmt.Sprintf("this is a defect in isocue, not in the file: %v", x)
		}
	}()
	fail := func(err error) report.RosterRow {
		row.Outcome, row.Reason = report.RosterFailed, err.Error()
		return row
	}
	if was, ok := r.before[name]; ok && !r.fl.again && r.first[was.ID] == name && r.untouched(was) {
		if _, twice := r.ids.LoadOrStore(was.ID, name); !twice {
			was.Outcome, was.Sheet, was.Cautions = report.RosterUnchanged, 0, 0
			return was
		}
	}
	f, err := r.a.open(r.eng, name, "")
	if err != nil {
		return fail(err)
	}
	switch {
	case f.Client == nil && len(f.Findings) > 0:
		return refused(row, f.Findings)
	case f.Client == nil:
		return fail(fmt.Errorf("file is %s, allowed here: %s", f.Kind.Words(), load.IsClient.Words()))
	}
	row.ID = f.Client.Record.ID
	if other, ok := r.first[row.ID]; ok && other != name {
		return fail(fmt.Errorf("id %s stands in %s too, allowed: one record an id", row.ID, other))
	}
	if other, twice := r.ids.LoadOrStore(row.ID, name); twice {
		return fail(fmt.Errorf("id %s stands in %s too, allowed: one record an id", row.ID, other))
	}
	row.Folder = row.ID
	dir := filepath.Join(r.fl.pack, row.ID)
	in := r.shared
	in.Client = f.Client
	inputs := r.inputs(f.Digest)
	planFile, calendarFile := filepath.Join(dir, "plan.json"), filepath.Join(dir, "calendar.ics")
	old, err := os.ReadFile(planFile)
	switch {
	case err == nil:
		if in.Previous, err = load.ReadPlan(old); err != nil {
			return fail(fmt.Errorf("%s: %w", planFile, err))
		}
		if in.Previous.Stopped != 0 {
			return fail(fmt.Errorf("%s was stopped on %s; move the pack away to begin anew", planFile, in.Previous.Stopped))
		}
		if _, err := os.Stat(calendarFile); err == nil && in.Previous.Inputs == inputs && !r.fl.again {
			row.Outcome = report.RosterUnchanged
			row.Measure = measureBy(in.Previous, unit.DateOf(in.Now))
			return row
		}
		in.Pauses = in.Previous.Pauses
	case !errors.Is(err, fs.ErrNotExist):
		return fail(fmt.Errorf("cannot look at %s: %w", planFile, cause(err)))
	}
	res, err := r.eng.Compile(in)
	if err != nil {
		return fail(err)
	}
	for _, x := range res.Findings {
		if x.Verdict == finding.Caution {
			row.Cautions++
		}
	}
	if res.Plan == nil {
		return refused(row, res.Findings)
	}
	res.Plan.Inputs = inputs
	plan, err := render(res.Plan, "plan", calendar.Options{})
	if err != nil {
		return fail(err)
	}
	ics, err := enc.Append(nil, res.Plan)
	if err != nil {
		return fail(err)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fail(fmt.Errorf("cannot make the pack's folder: %w", unwrapPath(err)))
	}
	// the plan last: as long as it is the old one, a run that was killed between the two compiles this client again
	if err := writeAll([]pending{{name: calendarFile, data: ics}, {name: planFile, data: plan}}, r.fl.force); err != nil {
		return fail(err)
	}
	row.Outcome, row.Sheet = report.RosterCompiled, res.Plan.Sheet
	row.Measure = measureBy(res.Plan, unit.DateOf(in.Now))
	return row
}

// inputs is the digest of what a client's plan depends on.
func (r *rosterRun) inputs(digest string) string {
	sum := sha256.Sum256([]byte(r.same + digest))
	return hex.EncodeToString(sum[:])
}

// untouched says whether a client's pack was compiled from just these inputs, by the beginning of its plan alone.
func (r *rosterRun) untouched(was report.RosterRow) bool {
	if was.Folder == "" || was.Folder != filepath.Base(was.Folder) || was.Measure != 0 && was.Measure < unit.DateOf(r.shared.Now) {
		return false
	}
	src, err := os.ReadFile(was.File)
	if err != nil {
		return false
	}
	sum := sha256.Sum256(src)
	dir := filepath.Join(r.fl.pack, was.Folder)
	if _, err := os.Stat(filepath.Join(dir, "calendar.ics")); err != nil {
		return false
	}
	f, err := os.Open(filepath.Join(dir, "plan.json"))
	if err != nil {
		return false
	}
	defer f.Close()
	head := make([]byte, 1024)
	n, _ := f.Read(head)
	return bytes.Contains(head[:n], []byte(`"inputs": "`+r.inputs(hex.EncodeToString(sum[:]))+`"`))
}

// earlier is what the roster of an earlier run says, by file; nothing where there is none or it cannot be read.
func earlier(pack string) map[string]report.RosterRow {
	src, err := os.ReadFile(filepath.Join(pack, "roster.json"))
	if err != nil {
		return nil
	}
	var list struct {
		Clients []report.RosterRow `json:"clients"`
	}
	if json.Unmarshal(src, &list) != nil {
		return nil
	}
	out := make(map[string]report.RosterRow, len(list.Clients))
	for _, r := range list.Clients {
		if r.Outcome == report.RosterCompiled || r.Outcome == report.RosterUnchanged {
			out[r.File] = r
		}
	}
	return out
}

// refused names the rules that stopped a client, each once.
func refused(row report.RosterRow, fs []finding.Finding) report.RosterRow {
	row.Outcome = report.RosterRefused
	for _, x := range fs {
		if x.Rejects() && !slices.Contains(row.Rules, x.Rule) {
			row.Rules = append(row.Rules, x.Rule)
		}
	}
	return row
}

// measureBy is the next day on which a client is to be measured again; 0 where none stands in the plan.
func measureBy(p *record.Plan, today unit.Date) unit.Date {
	for _, o := range p.Others {
		if o.What == record.Measure && o.Status != record.Cancelled && o.Date >= today {
			return o.Date
		}
	}
	return 0
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
