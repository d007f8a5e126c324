package clinic

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path/filepath"
	"slices"

	"isocue.example/cmd/isocue/start"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// rosterClient is one client, read, and what of the run is the client's own.
type rosterClient struct {
	client    *load.Client
	digest    string // of everything that was read for this client alone
	protocols []*load.Protocol
	start     unit.Date
	row       int    // of the spreadsheet
	id        string // of a record that cannot be read
}

// read reads one client. Where ok is false, the row says what became of the client already.
func (r *Roster) read(it item, row plans.RosterRow) (c rosterClient, _ plans.RosterRow, ok bool) {
	if r.sheet != nil {
		return r.readRow(it, row)
	}
	if was, known := r.before[it.name]; known && !r.order.Again {
		if src, err := files.Fetch(was.File, load.MaxBytes); err == nil {
			sum := sha256.Sum256(src)
			if r.untouched(was, it.name, hex.EncodeToString(sum[:])) && r.mine(was.ID, it.name) == nil {
				return c, unchanged(row, was), false
			}
		}
	}
	f, err := r.Open(r.under, it.name, "")
	switch {
	case err != nil:
		return c, failed(row, err), false
	case f.Client == nil && len(f.Findings) > 0:
		c.id, _ = idOf(f) // without one nobody knows whose plan it is
		return c, turnedAway(row, f.Findings), false
	case f.Client == nil:
		return c, failed(row, fmt.Errorf("file is %s, allowed here: %s", f.Kind.Words(), load.IsClient.Words())), false
	}
	return rosterClient{client: f.Client, digest: f.Digest, protocols: r.order.Input.Protocols, start: r.order.Input.Start}, row, true
}

// readRow reads one row of the spreadsheet, with the protocols and the start that it may have of its own.
func (r *Roster) readRow(it item, row plans.RosterRow) (c rosterClient, _ plans.RosterRow, ok bool) {
	x := r.under.Reader.Row(r.sheet, it.row)
	if x.File.Client == nil {
		row = turnedAway(row, x.File.Findings)
		row.Reason = r.sheet.Reason(it.row, x.File.Findings)
		return c, r.known(it, row), false
	}
	c = rosterClient{client: x.File.Client, digest: x.File.Digest, protocols: r.order.Input.Protocols, start: r.order.Input.Start, row: it.row}
	fail := func(format string, args ...any) (rosterClient, plans.RosterRow, bool) {
		return c, r.known(it, failed(row, fmt.Errorf(format, args...))), false
	}
	if len(x.Protocols) > 0 {
		c.protocols = nil
		for _, id := range x.Protocols {
			f := r.choice[id]
			if f.protocol == nil {
				return fail("column protocols names no protocol that is known, allowed: ids of standard protocols and of those on the command line, separated by semicolons")
			}
			c.protocols = append(c.protocols, f.protocol)
			c.digest += f.digest
		}
	}
	if x.Start != "" {
		var err error
		if c.start, err = unit.ParseDate(x.Start); err != nil {
			return fail("column start is no day, allowed: a day such as 2027-01-04")
		}
	}
	switch {
	case len(c.protocols) == 0:
		return fail("column protocols is empty, allowed: ids of protocols, or a protocol on the command line for all")
	case c.start == 0:
		return fail("column start is empty, allowed: a day such as 2027-01-04, or --start for all")
	}
	id := x.File.Client.Record.ID
	if was, known := r.before[id]; known && !r.order.Again && r.untouched(was, it.name, c.digest) && r.mine(id, it.name) == nil {
		return c, unchanged(row, was), false
	}
	return c, row, true
}

// words gives the place of words that no rule knows: no lint of a spreadsheet would.
func (r *Roster) words(c rosterClient, row plans.RosterRow, fs []finding.Finding) plans.RosterRow {
	if fs = slices.DeleteFunc(slices.Clone(fs), func(f finding.Finding) bool { return f.Rule != load.Shape }); r.sheet != nil && len(fs) > 0 {
		row.Reason = r.sheet.Reason(c.row, fs)
	}
	return row
}

// known says whose row it is that could not be read, where its id can be, and whether an earlier pack still stands.
func (r *Roster) known(it item, row plans.RosterRow) plans.RosterRow {
	id := r.sheet.ID(it.row)
	if !start.IsID(id) {
		return row
	}
	row.ID = id
	if r.having[id][0] != it.name {
		return row
	}
	row.Folder = id
	if src, err := files.Fetch(filepath.Join(r.order.Pack, id, "plan.json"), load.MaxPlan); err == nil {
		p, err := load.ReadPlan(src)
		row.Stays = err == nil && p.Stopped == 0
	}
	return row
}

// unchanged is the row of a client of whom nothing changed since an earlier run.
func unchanged(row, was plans.RosterRow) plans.RosterRow {
	row.ID, row.Folder, row.Measure, row.Outcome = was.ID, was.Folder, was.Measure, plans.RosterUnchanged
	row.Sheet, row.Cautions, row.Plan = was.Sheet, was.Cautions, was.Plan
	return row
}

func failed(row plans.RosterRow, err error) plans.RosterRow {
	row.Outcome, row.Reason = plans.RosterFailed, err.Error()
	return row
}

// chosen is a protocol that a row may name, and the digest of its file.
type chosen struct {
	protocol *load.Protocol
	digest   string
}

// choices are the protocols that rows may name by id: the standard ones, and before these those on the command line.
func (r *Roster) choices(j *Judging) {
	r.choice = map[string]chosen{}
	for _, id := range r.under.StandardIDs() {
		f := r.under.Standard(id)
		r.choice[id] = chosen{&f.Protocols[0], f.Digest}
	}
	for _, name := range j.Judged {
		f := j.Files[name]
		for i := range f.Protocols {
			r.choice[f.Protocols[i].Record.ID] = chosen{&f.Protocols[i], f.Digest}
		}
	}
}
