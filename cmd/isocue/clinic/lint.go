package clinic

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Lint is what a lint is asked.
type Lint struct {
	Named     []string // files, folders, ids of standard protocols, or -
	For       []string // protocols for which client records are judged
	StdinName string   // what to call standard input
	Policy    string   // the policy that was named, "" for none
	Waivers   string   // the waivers that were named
	Ledger    string   // the ledger that was named, "" for none
}

// Lint judges what was named, and what stands in the folders among it.
func (j *Judging) Lint(q Lint) error {
	words, found, err := expand(q.Named)
	if err != nil {
		return err
	}
	j.Passed = found.Passed
	j.Found = append(j.Found, found.Trouble...)
	copies, err := schemaCopies(q.Named)
	if err != nil {
		return err
	}
	j.Found = append(j.Found, copies...)
	protocols, err := j.OpenProtocols(q.For, q.StdinName, "name the client record first and the protocol behind --for")
	if err != nil {
		return err
	}
	var walked []string
	for _, w := range words {
		named := slices.Contains(q.Named, w)
		if named && isClients(w) {
			if err := j.sheet(w, protocols); err != nil {
				return err
			}
			continue
		}
		f, err := j.Open(w, q.StdinName)
		if !named {
			walked = append(walked, w)
		}
		switch {
		case err != nil && named:
			return err
		case err != nil:
			j.Found = append(j.Found, unreadable(w, err))
		default:
			j.Found = append(j.Found, j.judge(f, !named, protocols)...)
			if f.Kind == load.IsDiary && !named && !slices.Contains(found.Logs, w) {
				found.Logs = append(found.Logs, w) // it is no diary by its name, so that it belongs to nobody
			}
		}
	}
	j.Found = append(j.Found, j.sameIDs(walked)...)
	j.Found = append(j.Found, j.logs(found, walked)...)
	j.Found = append(j.Found, j.recall()...)
	accepted, err := j.remembered(q.Ledger, q.Named)
	if err != nil {
		return err
	}
	j.Found = append(j.Found, j.changed(accepted)...)
	j.Found = append(j.Found, j.acceptedBefore(accepted)...)
	j.sayAged()
	j.whole = q.Named
	idle, err := j.idle(q, walked)
	j.Found = append(j.Found, idle...)
	return err
}

// logs says whose the logs found in folders are, and of each that has an owner whether it can be read; what stands in them is for
// progress to tell.
func (j *Judging) logs(found Found, walked []string) (out []finding.Finding) {
	var all []holder
	for _, w := range walked {
		switch f := j.Files[filepath.Clean(w)]; {
		case f == nil: // it could not be read
			all = append(all, holder{file: w})
		case f.Client != nil:
			all = append(all, holder{file: w, id: f.Client.Record.ID})
		case f.Kind == load.IsDiary:
		case f.Kind == load.IsClient || f.Node == nil && f.Kind == load.IsUnknown:
			all = append(all, holder{file: w, id: f.Node.Get("id").Text()})
		}
	}
	of, alone := found.owners(all)
	owned := map[string]bool{}
	for _, h := range all {
		out = append(out, of[h.file].trouble...)
		f := j.Files[filepath.Clean(h.file)]
		if d := j.Files[filepath.Clean(of[h.file].diary)]; d != nil && d.Diary != nil {
			cl := (*load.Client)(nil)
			if f != nil {
				cl = f.Client
			}
			owned[d.Name] = true
			out = append(out, j.Under.LintDiary(d, cl, j.Now)...)
			j.replaced(d, cl)
		}
		if f != nil && f.Client != nil {
			_, _, fs := readBoth(j.Under, compiler.Following{Client: f.Client, Now: j.Now}, of[h.file], func(*load.File) { j.Logs++ })
			out = append(out, fs...)
		}
	}
	for _, w := range walked { // a diary of nobody is judged all the same
		if d := j.Files[filepath.Clean(w)]; d != nil && d.Diary != nil && !owned[d.Name] {
			out = append(out, j.Under.LintDiary(d, nil, j.Now)...)
		}
	}
	return append(out, alone...)
}

// diaryBeside judges a diary that was named, by the record beside it where there is one: it is called as the diary is.
func (j *Judging) diaryBeside(f *load.File) []finding.Finding {
	j.unnamed(f)
	stem := f.Name[:len(f.Name)-len(load.DiaryEnd)]
	for _, end := range []string{".yaml", ".yml", ".json", ".cue"} {
		if src, err := files.Fetch(stem+end, load.MaxBytes); err == nil {
			if r := j.Under.Reader.Bytes(stem+end, src); r.Client != nil {
				j.replaced(f, r.Client)
				return append(f.Findings, j.Under.LintDiary(f, r.Client, j.Now)...)
			}
		}
	}
	return j.Under.Lint(f, j.Now)
}

// unnamed says by which names the entries are called that have no id: whoever wants to void one needs it.
func (j *Judging) unnamed(f *load.File) {
	var names []string
	more := 0
	for _, e := range f.Diary.Entries {
		switch {
		case e.Named:
		case len(names) < 20:
			names = append(names, fmt.Sprintf("%s on line %d", e.ID, e.Line))
		default:
			more++
		}
	}
	if more > 0 {
		names = append(names, fmt.Sprintf("%d more", more))
	}
	if len(names) > 0 {
		j.Say("entries without an id are called by a digest of what they say: %s", strings.Join(names, ", "))
	}
}

// replaced says of which undated fields of a record the diary has an entry: it counts, and whoever reads the record alone reads what was.
func (j *Judging) replaced(d *load.File, cl *load.Client) {
	if cl == nil {
		return
	}
	var names []string
	for _, e := range d.Diary.Entries {
		var of []string
		switch e.What {
		case record.Moved:
			of = []string{"zone", "contacts.emergency"}
		case record.HoursAre:
			of = []string{"hours"}
		case record.ContactsAre:
			for _, k := range slices.Sorted(maps.Keys(e.Contacts)) {
				of = append(of, "contacts."+k)
			}
		case record.HasDevice:
			if e.Device.Cuff != nil {
				of = []string{"devices.cuff"}
			}
		}
		for _, n := range of {
			if cl.Node.Get(strings.Split(n, ".")...) != nil && !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
	}
	if len(names) > 0 {
		j.Say("%s says something newer than these fields of the record, and plans follow it: %s", filepath.ToSlash(d.Name), strings.Join(names, ", "))
	}
}

// Record is the ledger that a judgement is written into, and who judged; no ledger where it has no name.
type Record struct{ File, By string }

// End puts what was found in order, with the waivers that nothing needed, and writes it into the ledger.
func (j *Judging) End(r Record) error {
	j.Found = finding.Sort(append(j.Found, j.Under.Waivers.Report(unit.DateOf(j.Now), j.everyProtocol())...))
	if r.File == "" {
		return nil
	}
	judged := maps.Clone(j.Files)
	for _, n := range j.aged {
		delete(judged, n) // nobody accepts a record as of a day that is past
	}
	maps.DeleteFunc(judged, func(_ string, f *load.File) bool { return f.Kind == load.IsPolicy || f.Kind == load.IsWaivers }) // used, not judged
	return j.record(r, judged)
}

// everyProtocol are the ids of all protocols that there are, nil unless the folder of the waivers was looked at whole.
func (j *Judging) everyProtocol() []string {
	w := j.Under.Waivers
	if w == nil || !slices.ContainsFunc(j.whole, func(n string) bool { return filepath.Clean(n) == filepath.Dir(w.File()) }) {
		return nil
	}
	ids := j.Under.StandardIDs()
	for _, f := range j.Files {
		for _, p := range f.Protocols {
			ids = append(ids, p.Record.ID)
		}
	}
	return ids
}

// Source gives the bytes of a file read, for quoting lines; never of a client record or log.
func (j *Judging) Source(name string) []byte {
	if f := j.Files[name]; f != nil && !f.Kind.Private() {
		return f.Source
	}
	return nil
}
