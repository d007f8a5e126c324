package clinic

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// same is a digest of what a plan depends on beside its client: the protocols, the policy, the waivers, the rule base and
// the options. The clock is left out: a day that passes is no reason to compile anew.
func (j *Judging) same(o RosterOrder) string {
	h := sha256.New()
	for _, n := range slices.Sorted(maps.Keys(j.Files)) {
		fmt.Fprintln(h, j.Files[n].Digest)
	}
	fmt.Fprintln(h, Version, j.Under.Check.Base.Version, o.Input.Start, o.Input.Closed, o.Input.NoReviews, o.Reading)
	return hex.EncodeToString(h.Sum(nil))
}

// inputs is the digest of what a client's plan depends on.
func (r *Roster) inputs(digest string) string {
	sum := sha256.Sum256([]byte(r.same + digest))
	return hex.EncodeToString(sum[:])
}

// untouched says whether a client's pack was compiled from just these inputs and stands as it was written, by the list of an
// earlier run alone; record is the digest of what was read for this client.
func (r *Roster) untouched(was plans.RosterRow, record string) bool {
	if was.Folder == "" || was.Folder != filepath.Base(was.Folder) || was.Plan == nil || was.Measure != 0 && was.Measure < unit.DateOf(r.order.Input.Now) {
		return false
	}
	_, digest, err := logsBeside(was.File, was.ID)
	if err != nil {
		return false
	}
	dir := filepath.Join(r.order.Pack, was.Folder)
	if !stands(dir, *was.Plan, r.listed) {
		return false
	}
	src, err := files.Fetch(filepath.Join(dir, was.Plan.Name), headBytes)
	if err != nil {
		return false
	}
	head, err := load.ReadPlanHead(src)
	if err != nil || head.Inputs != r.inputs(record+digest) {
		return false
	}
	whole, _ := asWritten(dir, r.names(dir, nil), head.Files)
	return whole
}

// headBytes is how much of a plan its head takes at most.
const headBytes = 4096

// maxRoster is the largest list of an earlier run that is read, in bytes.
const maxRoster = 1 << 29

// earlier reads what an earlier run wrote down, by file, or by id for a spreadsheet, whose lines move; nothing where there is
// none or it cannot be read.
func (r *Roster) earlier() {
	name := filepath.Join(r.order.Pack, rosterList)
	fi, err := os.Stat(name)
	if err != nil {
		return
	}
	src, err := files.Fetch(name, maxRoster)
	if err != nil {
		return
	}
	var list struct {
		Clients []plans.RosterRow `json:"clients"`
	}
	if json.Unmarshal(src, &list) != nil {
		return
	}
	r.listed, r.before = fi, make(map[string]plans.RosterRow, len(list.Clients))
	for _, row := range list.Clients {
		if row.Outcome == plans.RosterCompiled || row.Outcome == plans.RosterUnchanged {
			key := row.File
			if r.sheet != nil {
				key = row.ID
			}
			r.before[key] = row
		}
	}
}

// ofSpreadsheet lists the clients of a spreadsheet, and the first row of each id.
func (r *Roster) ofSpreadsheet() {
	r.first = make(map[string]string, r.sheet.Len())
	for i := range r.sheet.Len() {
		it := item{r.sheet.Where(i), i}
		r.all = append(r.all, it)
		if id := r.sheet.ID(i); id != "" && r.first[id] == "" {
			r.first[id] = it.name
		}
	}
}

// idLine is how an id stands in a record, in any notation. It may find that of a device above the client's own; mine knows.
var idLine = regexp.MustCompile(`(?m)^\s*\{?\s*"?id"?\s*:\s*"?([a-z0-9-]+)"?`)

// firstOf guesses the id of each file from its text and keeps the first file of each. What it misses is found when the record
// is read.
func (r *Roster) firstOf(names []string) map[string]string {
	ids := make([]string, len(names))
	var next atomic.Int64
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(names); i = int(next.Add(1)) - 1 {
				src, err := files.Fetch(names[i], load.MaxBytes)
				if err != nil {
					continue
				}
				if m := idLine.FindSubmatch(src); m != nil {
					ids[i] = string(m[1])
				}
			}
		})
	}
	wg.Wait()
	out := make(map[string]string, len(names))
	for i, id := range ids {
		if _, ok := out[id]; id != "" && !ok {
			out[id] = names[i]
		}
	}
	return out
}

// mine takes an id for one client; an error says who has it already. What only seems to have it is read: whose the id really is
// does not hang on a guess.
func (r *Roster) mine(id, name string) error {
	other, known := r.first[id]
	if known && other != name && r.sheet == nil {
		f, err := r.under.Reader.Path(other)
		known = err == nil && f.Client != nil && f.Client.Record.ID == id
	}
	if !known {
		taken, _ := r.ids.LoadOrStore(id, name)
		other = taken.(string)
	}
	if other == name {
		return nil
	}
	return fmt.Errorf("id %s stands in %s too, allowed: one record an id", id, other)
}
