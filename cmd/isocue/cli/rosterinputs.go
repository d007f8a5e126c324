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
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"isocue.example/compiler"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

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
	fmt.Fprintln(h, Version, j.eng.Check.Base.Version, in.Start, in.Closed, in.NoReviews, fl.sheet)
	return hex.EncodeToString(h.Sum(nil))
}

// inputs is the digest of what a client's plan depends on.
func (r *rosterRun) inputs(digest string) string {
	sum := sha256.Sum256([]byte(r.same + digest))
	return hex.EncodeToString(sum[:])
}

// untouched says whether a client's pack was compiled from just these inputs, by the beginning of its plan alone; record is the
// digest of what was read for this client.
func (r *rosterRun) untouched(was plans.RosterRow, record string) bool {
	if was.Folder == "" || was.Folder != filepath.Base(was.Folder) || was.Measure != 0 && was.Measure < unit.DateOf(r.shared.Now) {
		return false
	}
	_, digest, err := logsBeside(was.File, was.ID)
	if err != nil {
		return false
	}
	dir := filepath.Join(r.fl.pack, was.Folder)
	head, err := load.Fetch(filepath.Join(dir, "plan.json"), planHead)
	if err != nil || !bytes.Contains(head, []byte(`"inputs": "`+r.inputs(record+digest)+`"`)) {
		return false
	}
	if !ended(filepath.Join(dir, "plan.json")) {
		return false
	}
	whole, _ := asWritten(dir, r.names(dir, nil), filesIn(head))
	return whole
}

// logsBeside finds the pressure log and the session log of a client beside the record, and their digest; "" where there is none.
func logsBeside(record, id string) (logs [2]string, digest string, err error) {
	h := sha256.New()
	for i, end := range []string{".log.csv", ".sessions.csv"} {
		name := filepath.Join(filepath.Dir(record), id+end)
		if _, err := os.Stat(name); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		src, err := load.FetchLog(name)
		if err != nil {
			return logs, "", fmt.Errorf("cannot read %s: %w", name, cause(err))
		}
		logs[i] = name
		fmt.Fprintf(h, "%s %d\n", end, len(src))
		h.Write(src)
	}
	if logs[0]+logs[1] != "" {
		digest = hex.EncodeToString(h.Sum(nil))
	}
	return logs, digest, nil
}

// planHead is how much of a plan its inputs stand in, in bytes; maxRoster is the largest roster that is read.
const planHead, maxRoster = 2048, 1 << 29

// earlier is what the roster of an earlier run says, by file, or by id for a spreadsheet, whose lines move; nothing where there is
// none or it cannot be read.
func earlier(pack string, byID bool) map[string]plans.RosterRow {
	src, err := load.Fetch(filepath.Join(pack, "roster.json"), maxRoster)
	if err != nil {
		return nil
	}
	var list struct {
		Clients []plans.RosterRow `json:"clients"`
	}
	if json.Unmarshal(src, &list) != nil {
		return nil
	}
	out := make(map[string]plans.RosterRow, len(list.Clients))
	for _, r := range list.Clients {
		if r.Outcome == plans.RosterCompiled || r.Outcome == plans.RosterUnchanged {
			key := r.File
			if byID {
				key = r.ID
			}
			out[key] = r
		}
	}
	return out
}

// idLine is how an id stands in a record, in any notation.
var idLine = regexp.MustCompile(`(?m)^\s*\{?\s*"?id"?\s*:\s*"?([a-z0-9-]+)"?`)

// items are the clients of a spreadsheet, and the first row of each id.
func items(s *load.Spreadsheet) (all []rosterItem, first map[string]string) {
	first = make(map[string]string, s.Len())
	for i := range s.Len() {
		it := rosterItem{s.Where(i), i}
		all = append(all, it)
		if id := s.ID(i); id != "" && first[id] == "" {
			first[id] = it.name
		}
	}
	return all, first
}

// firstOf guesses the id of each file from its text and keeps the first file of each. What it misses is found when the record
// is read.
func firstOf(files []string) map[string]string {
	ids := make([]string, len(files))
	var next atomic.Int64
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(files); i = int(next.Add(1)) - 1 {
				src, err := load.Fetch(files[i], load.MaxBytes)
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
	out := make(map[string]string, len(files))
	for i, id := range ids {
		if _, ok := out[id]; id != "" && !ok {
			out[id] = files[i]
		}
	}
	return out
}
