package clinic

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"isocue.example/cmd/isocue/start"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// SchemaCopy is the rule id of the finding that a clinic's folder holds another schema than the program.
const SchemaCopy = "schema-copy"

// isRecords says whether a file is the one of ours that shows an editor the client records of a folder, unchanged. Anything
// else of that name is judged like every file, and refused: it computes.
func isRecords(name string) bool {
	if filepath.Base(name) != start.RecordsName {
		return false
	}
	b, err := files.Fetch(name, load.MaxBytes)
	if err != nil {
		return false
	}
	_, ok := start.Listed(unixLines(b))
	return ok
}

// isRosterList says whether a file is the list that a roster keeps beside its packs: that name and its three fields, no other. A
// clinic's folder holds packs, and a list that was refused there would stop every commit.
func isRosterList(name string) bool {
	if filepath.Base(name) != "roster.json" {
		return false
	}
	b, err := files.Fetch(name, 64<<20) // a hundred thousand clients and more; a larger one is judged, and refused by its size
	if err != nil {
		return false
	}
	var list struct {
		Version          int
		Summary, Clients json.RawMessage
	}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	return d.Decode(&list) == nil && !d.More() && list.Version == 1 && list.Summary != nil && list.Clients != nil
}

// isOwn says whether a file is one of ours that nobody judges.
func isOwn(name string) bool { return isRecords(name) || isRosterList(name) || isVersion(name) }

// schemaCopies finds, in the folders among args, a schema copy that is not the program's. It is a finding, not a note: an
// editor that completes by another schema than the one that judges is something that every format must carry, and
// --fail-on caution must catch. It is a caution, because the copy never judges anything.
func schemaCopies(args []string) (out []finding.Finding, err error) {
	for _, dir := range args {
		if fi, err := os.Stat(filepath.Join(dir, filepath.FromSlash(start.Copy))); err != nil || !fi.IsDir() {
			continue
		}
		old, err := staleFiles(dir)
		if err != nil {
			return nil, fmt.Errorf("compare the schema copy of %s: %w", dir, err)
		}
		if len(old) == 0 {
			continue
		}
		var names []string
		for _, s := range old {
			names = append(names, filepath.Base(s.name)+" is "+s.what)
		}
		if n := len(names) - 3; n > 0 {
			names = append(names[:3], fmt.Sprintf("%d more", n))
		}
		out = append(out, finding.Finding{Rule: SchemaCopy, Verdict: finding.Caution,
			Pos:       finding.Pos{File: filepath.Join(dir, filepath.FromSlash(old[0].name)), Line: old[0].line, Column: 1},
			Message:   "the schema copy is not that of this isocue, allowed: the same text: " + strings.Join(names, ", "),
			Remedy:    "isocue new clinic " + Shown(filepath.Clean(dir)) + " --refresh",
			Rationale: "The editor and the cue command follow the copy, isocue judges by its own: where they differ, a green mark in one means nothing in the other."})
	}
	return out, nil
}

// judge judges one file that lint reads. What makes it more than the engine's judgement is where it was found: a policy that
// is not the one in force is held to account all the same, and a client record of a folder is not refused for its age alone.
func (j *Judging) judge(f *load.File, walked bool, protocols []*load.Protocol) []finding.Finding {
	switch {
	case f.Diary != nil && walked: // its entries are judged with its record, once it is known whose it is
		return f.Findings
	case f.Diary != nil && load.IsDiaryName(f.Name):
		return j.diaryBeside(f)
	}
	fs := j.Under.Lint(f, j.Now, protocols...)
	switch {
	case f.Kind == load.IsPolicy: // what is told twice, of the one in force, is dropped where the list is sorted
		_, more := j.Engine().Under(f)
		fs = append(fs, more...)
	case f.Client != nil && walked && len(protocols) == 0 && onlyUnsafe(fs):
		then := j.Under.Lint(f, newest(f.Client, j.Now))
		if !finding.Rejected(then) {
			j.aged = append(j.aged, f.Name)
			return then
		}
		j.firm = append(j.firm, f.Name)
	case f.Plan != nil:
		j.plans = append(j.plans, f)
		fs = append(fs, j.Under.Edited(f.Name, f.Source, f.Plan, j.Now)...)
	}
	return fs
}

// onlyUnsafe says whether findings reject, and none for what is written: a day that has not come is malformed on any day.
func onlyUnsafe(fs []finding.Finding) bool {
	return finding.Rejected(fs) && !slices.ContainsFunc(fs, func(f finding.Finding) bool { return f.Verdict == finding.Malformed })
}

// sameIDs finds protocols and client records of the folders judged that share an id. A waiver, a line of the ledger or an entry
// of a calendar could then be meant for either, and cue vet calls two protocols of one name a conflict.
func (j *Judging) sameIDs(names []string) (out []finding.Finding) {
	first := map[string]finding.Pos{}
	see := func(what string, n *tree.Node, private bool) {
		id := n.Get("id")
		at, seen := first[what+id.Text()]
		if seen && at == id.Pos {
			return // the same file, met twice
		}
		if seen {
			out = append(out, finding.Finding{Rule: load.Shape, Verdict: finding.Malformed, Pos: id.Pos, Path: id.Path(), Found: id.Raw, Private: private,
				Message: fmt.Sprintf("id is %s, which the %s in %s has too; allowed: an id of its own", id.Raw, what, at), Remedy: "give one of them another id, or remove it",
				Rationale: "Waivers, ledger and calendar entries go by the id: two that share one would be taken for each other."})
			return
		}
		first[what+id.Text()] = id.Pos
	}
	for _, name := range names {
		f := j.Files[filepath.Clean(name)]
		if f == nil {
			continue
		}
		for i := range f.Protocols {
			see("protocol", f.Protocols[i].Node, false)
		}
		if f.Client != nil {
			see("client record", f.Client.Node, true)
		}
	}
	return out
}

// dayFirst is a text that begins with a civil date.
var dayFirst = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}`)

// newest is noon of the newest day that stands in a record and has come, in the client's zone; now where there is none.
func newest(c *load.Client, now time.Time) time.Time {
	loc, err := zone.Load(c.Record.Zone)
	if err != nil {
		panic(finding.Bug{What: err.Error()}) // the loader has checked it
	}
	var last unit.Date
	var walk func(n *tree.Node)
	walk = func(n *tree.Node) {
		if m := dayFirst.FindString(n.Str); n.Kind == tree.Text && m != "" {
			if d, err := unit.ParseDate(m); err == nil && d <= unit.DateOf(now.In(loc)) {
				last = max(last, d)
			}
		}
		for _, k := range n.Keys {
			walk(n.Field[k])
		}
		for _, e := range n.Elem {
			walk(e)
		}
	}
	walk(c.Node)
	if last == 0 {
		return now
	}
	t := last.Time()
	return time.Date(t.Year(), t.Month(), t.Day(), 12, 0, 0, 0, loc)
}

// sayAged names the client records of a folder that were sound when they were last written and are too old to start from.
func (j *Judging) sayAged() {
	if n := len(j.aged); n > 0 {
		what := "client record was sound on its newest day and is"
		if n > 1 {
			what = "client records were sound on their newest days and are"
		}
		j.Say("%d %s too old to start from today (`isocue lint FILE` says what to ask and measure again): %s", n, what, strings.Join(j.aged, ", "))
	}
}

// Shown is a path as a shell takes it for one word.
func Shown(path string) string {
	if strings.ContainsAny(path, " '\"$&()[]*?;<>|\\`!#") {
		return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
	}
	return path
}
