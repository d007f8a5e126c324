package clinic

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report"
	"isocue.example/compiler/report/plans"
)

// ofFolder finds the clients of a folder, and what stands beside them.
func (r *Roster) ofFolder(dir string) (err error) {
	if r.found, err = find(dir); err != nil {
		return fmt.Errorf("--clients: %w", err)
	}
	if len(r.found.Files)+len(r.found.Logs)+len(r.found.Trouble) == 0 {
		return r.found.holdsNothing(dir, "client record")
	}
	r.found.Files = slices.DeleteFunc(r.found.Files, load.IsDiaryName) // each is its client's, as a log is
	r.holders = make([]holder, len(r.found.Files))
	var next atomic.Int64
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(r.holders); i = int(next.Add(1)) - 1 {
				r.holders[i] = holder{file: r.found.Files[i], id: r.idIn(r.found.Files[i])}
			}
		})
	}
	wg.Wait()
	for _, h := range r.holders {
		r.all = append(r.all, item{name: h.file})
	}
	r.meet()
	return nil
}

// ofSpreadsheet lists the clients of a spreadsheet, and the logs beside it. Those that belong to no row may be somebody's whose record
// is a file, so that they are named and no trouble.
func (r *Roster) ofSpreadsheet() error {
	for i := range r.sheet.Len() {
		it := item{r.sheet.Where(i), i}
		r.all = append(r.all, it)
		r.holders = append(r.holders, holder{file: it.name, id: r.sheet.ID(i), row: true})
	}
	here, err := standBeside(filepath.Dir(r.order.Clients), 1)
	if err != nil {
		return fmt.Errorf("--clients: %w", err)
	}
	here.ofOthers(r.holders)
	r.found = Found{Logs: here.Logs, Trouble: here.Trouble, Maybe: here.Maybe}
	for _, f := range r.meet() {
		r.found.Passed = append(r.found.Passed, report.Passed{File: filepath.ToSlash(f.Pos.File), Why: "a log that is named by the id of no row", Named: true})
	}
	return nil
}

// meet says which client has which id, and whose each log is.
func (r *Roster) meet() (alone []finding.Finding) {
	r.having = make(map[string][]string, len(r.holders))
	r.idOf = make(map[string]string, len(r.holders))
	for _, h := range r.holders {
		if h.id != "" {
			r.having[h.id] = append(r.having[h.id], h.file)
		}
		r.idOf[h.file] = h.id
	}
	r.of, alone = r.found.owners(r.holders)
	return alone
}

// idLine is how an id stands in a record in plain YAML: the only field of that name that is not indented.
var idLine = regexp.MustCompile(`(?m)^id[ \t]*:[ \t]*["']?([a-z0-9-]+)["']?[ \t\r]*(?:#.*)?$`)

// idIn is the id of a record, "" where it cannot be told. The usual notations are looked through, the others are read: ten thousand
// records are read once more when each is compiled.
func (r *Roster) idIn(name string) string {
	src, err := files.Fetch(name, load.MaxBytes)
	if err != nil {
		return ""
	}
	switch format, _ := load.FormatOf(name); format {
	case load.YAML:
		if m := idLine.FindAllSubmatch(src, 2); len(m) == 1 {
			return string(m[0][1])
		}
	case load.JSON:
		var fields struct {
			ID string `json:"id"`
		}
		if json.Unmarshal(src, &fields) == nil {
			return fields.ID
		}
	}
	f := r.under.Reader.Bytes(name, src)
	if f.Kind != load.IsClient {
		return ""
	}
	return f.Node.Get("id").Text()
}

// beside is what stands beside a client's record. Where the id that was found at first is not the record's, it is found anew.
func (r *Roster) beside(name, id string) *belongings {
	if b := r.of[name]; r.idOf[name] == id {
		return b
	}
	anew := append([]holder(nil), r.holders...)
	for i := range anew {
		if anew[i].file == name {
			anew[i].id = id
		}
	}
	of, _ := r.found.owners(anew)
	return of[name]
}

// mine takes an id for one client. Where two have it, nobody knows whose record is the newer one: neither is compiled. What only
// seems to have it is read.
func (r *Roster) mine(id, name string) error {
	for _, other := range r.having[id] {
		if other == name {
			continue
		}
		if r.sheet == nil {
			f, err := r.under.Reader.Path(other)
			if err != nil || f.Client == nil && f.Node.Get("id").Text() != id || f.Client != nil && f.Client.Record.ID != id {
				continue
			}
		}
		return sameID(id, other)
	}
	if other, _ := r.ids.LoadOrStore(id, name); other != name {
		return sameID(id, other.(string))
	}
	return nil
}

// sameID is the error about a second record of one id.
func sameID(id, other string) error {
	return fmt.Errorf("id %s stands in %s too, allowed: one record an id; remove the one that is not kept up, a copy perhaps", id, filepath.ToSlash(other))
}

// seen tells what was looked at and what was not. Whose each log is, is asked again: by now the records were read.
func (r *Roster) seen(rows []plans.RosterRow, left *plans.RosterLeft) {
	left.Looked, left.Passed = len(rows), r.found.Passed
	for _, b := range r.of {
		for _, log := range []string{b.log, b.sessions, b.diary} {
			if log != "" {
				left.Looked++
			}
		}
	}
	trouble := r.found.Trouble
	if r.sheet == nil {
		read := make(map[string]string, len(rows))
		for _, row := range rows {
			read[row.File] = row.ID
		}
		holders := append([]holder(nil), r.holders...)
		for i, h := range holders {
			if id := read[h.file]; id != "" {
				holders[i].id = id
			}
		}
		_, alone := r.found.owners(holders)
		trouble = append(trouble, alone...)
	}
	left.Trouble = told(trouble)
	for _, f := range r.found.Trouble {
		what, _ := called(filepath.Base(f.Pos.File))
		left.Unsure = left.Unsure || what != aLog && what != aTable && !strings.HasSuffix(f.Pos.File, string(filepath.Separator))
	}
}
