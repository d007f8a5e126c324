package clinic

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"

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
	fmt.Fprintln(h, Version, j.Under.Check.Base.Version, o.Input.Start, o.Options.Closed, o.Options.Reviews != nil && !*o.Options.Reviews, o.Reading)
	return hex.EncodeToString(h.Sum(nil))
}

// inputs is the digest of what a client's plan depends on.
func (r *Roster) inputs(digest string) string {
	sum := sha256.Sum256([]byte(r.same + digest))
	return hex.EncodeToString(sum[:])
}

// untouched says whether a client's pack was compiled from just these inputs and stands as it was written, by the list of an
// earlier run alone; record is the digest of what was read for this client.
func (r *Roster) untouched(was plans.RosterRow, name, record string) bool {
	if was.Folder == "" || was.Folder != filepath.Base(was.Folder) || was.Plan == nil || was.Measure != 0 && was.Measure < unit.DateOf(r.order.Input.Now) {
		return false
	}
	beside := r.beside(name, was.ID)
	digest, err := r.besideDigest(beside)
	if err != nil || len(beside.trouble) > 0 {
		return false
	}
	dir := filepath.Join(r.order.Pack, was.Folder)
	if !stands(dir, *was.Plan) {
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
		if row.Outcome == plans.RosterCompiled || row.Outcome == plans.RosterUnchanged { // who is held is looked at each time
			key := row.File
			if r.sheet != nil {
				key = row.ID
			}
			r.before[key] = row
		}
	}
}
