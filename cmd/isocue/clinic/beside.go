package clinic

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"isocue.example/cmd/isocue/start"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
)

// standBeside finds what may be somebody's log in a folder, and in folders down to a depth below it, by names alone: the folder was
// not named, so that of what else stands there nothing is asked.
func standBeside(dir string, depth int) (out Found, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return out, fmt.Errorf("cannot read %s: %w", dir, files.Cause(err))
	}
	for _, e := range entries {
		p := filepath.Join(dir, e.Name())
		what, _ := called(e.Name())
		switch {
		case e.IsDir():
			if what == aLog {
				out.maybe(p, aLog)
			}
			if depth > 0 && e.Name() != ".git" && e.Name() != "node_modules" && e.Name() != "cue.mod" {
				if below, err := standBeside(p, depth-1); err == nil { // one that may not be read is no folder of ours
					out.add(below)
				}
			}
		case what == aLog || what == aTable:
			out.file(dir, p, e)
		case (what == toRead || what == aCopy || what == unknown) && e.Type().IsRegular() && isDiaryCopy(p):
			out.Logs = append(out.Logs, p)
		case what == toRead:
			out.Files = append(out.Files, p)
			if !e.Type().IsRegular() {
				out.maybe(p, what)
			}
		case what == aCopy:
			out.maybe(p, leftover)
		default:
			out.maybe(p, what)
		}
	}
	return out, nil
}

// clinicDepth is how far below a clinic's own folder logs are looked for.
const clinicDepth = 4

// above is the clinic's folder in which a folder stands, by the file that gives its version; "" for none.
func above(dir string) string {
	abs, err := filepath.Abs(dir)
	for up := dir; err == nil; up, abs = filepath.Join(up, ".."), filepath.Dir(abs) {
		if isVersion(filepath.Join(abs, start.Version)) {
			return up
		}
		if abs == filepath.Dir(abs) {
			break
		}
	}
	return ""
}

// around is what belongs to the client of a record, by its name, and as trouble what may be a log or a diary of the client and is not
// read: in the record's folder and those in it, or in the whole clinic's folder where that is known. A log that was named stands for the
// one beside the record.
func (j *Judging) around(name, id, log, sessions string) *belongings {
	none := &belongings{log: log, sessions: sessions}
	if fi, err := os.Stat(name); err != nil || !fi.Mode().IsRegular() {
		return none // standard input has no neighbours
	}
	name = filepath.Clean(name)
	dir, depth := filepath.Dir(name), 1
	if top := above(dir); top != "" {
		dir, depth = top, clinicDepth
	}
	found, err := standBeside(dir, depth)
	if err != nil {
		none.trouble = []finding.Finding{unreadable(dir, err)}
		return none
	}
	found.from(filepath.Dir(name))
	isNamed := func(file string) bool {
		for _, n := range []string{log, sessions} {
			a, errA := os.Stat(n)
			b, errB := os.Stat(file)
			if n != "" && errA == nil && errB == nil && os.SameFile(a, b) {
				return true
			}
		}
		return false
	}
	found.Logs = slices.DeleteFunc(found.Logs, isNamed)
	found.Maybe = slices.DeleteFunc(found.Maybe, func(m maybe) bool { return isNamed(m.file) })
	me := holder{file: name, id: id, log: log, sessions: sessions}
	of, _ := found.owners([]holder{me})
	if len(of[name].trouble) == 0 {
		return of[name]
	}
	all := []holder{me} // it may be somebody else's, so that everybody else is asked
	for _, f := range found.Files {
		if filepath.Clean(f) != name && !load.IsDiaryName(f) {
			if other := idLike(f); other != "" { // of the same id too: a log beside it is its own
				all = append(all, holder{file: f, id: other})
			}
		}
	}
	of, _ = found.owners(all)
	return of[name]
}

// from calls what stands in a folder by its way from where the folder was named, so that it is known as beside a record there.
func (o *Found) from(dir string) {
	here, err := filepath.Abs(dir)
	if err != nil {
		return
	}
	call := func(p string) string {
		if abs, err := filepath.Abs(p); err == nil && filepath.Dir(abs) == here {
			return filepath.Join(dir, filepath.Base(p))
		}
		return p
	}
	for _, list := range [][]string{o.Files, o.Logs} {
		for i, p := range list {
			list[i] = call(p)
		}
	}
	for i, m := range o.Maybe {
		o.Maybe[i].file = call(m.file)
	}
}

// anyID is how an id stands in a file of any notation.
var anyID = regexp.MustCompile(`(?m)^[ \t{]*"?id"?[ \t]*:[ \t]*["']?([a-z0-9-]+)["']?`)

// idLike is the id of what looks like a client record, "" for anything else.
func idLike(name string) string {
	src, err := files.Fetch(name, load.MaxBytes)
	if err != nil || !strings.Contains(string(src), "screening") && !strings.Contains(string(src), "measured") {
		return ""
	}
	if m := anyID.FindSubmatch(src); m != nil {
		return string(m[1])
	}
	return ""
}

// ofOthers leaves out the logs that stand beside the file of a record called as they are, and whose name is no id of these: they are
// that record's.
func (o *Found) ofOthers(these []holder) {
	has := map[string]bool{}
	for _, f := range o.Files {
		has[strings.ToLower(strings.TrimSuffix(f, filepath.Ext(f)))] = true
	}
	o.Logs = slices.DeleteFunc(o.Logs, func(log string) bool {
		id := exactly(strings.ToLower(filepath.Base(log)))
		return id != "" && has[strings.ToLower(filepath.Join(filepath.Dir(log), id))] && !slices.ContainsFunc(these, func(h holder) bool { return h.id == id })
	})
}
