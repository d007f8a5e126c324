package clinic

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/ledger"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report"
)

// Rule ids of the findings about what stands in a folder, beside unreadable.
const (
	Misnamed = "misnamed" // a file that counts, under a name by which it is not read
	LogOwner = "log-owner"
	EmptyLog = "empty-log"
)

// whyFound is why a file may not be left out in silence.
const whyFound = "What a folder holds and nobody reads looks judged: a newer record, or an alert in a log, would be missing without a word."

// Found is everything that stands in the folders named: each file is to be read, a log, passed over for a reason, or trouble.
// lint, roster and progress look at a folder through find and in no other way.
type Found struct {
	Files   []string          // to be read, whatever stands under the name: the reader says what cannot be
	Logs    []string          // by their names logs or diaries; whose they are is told by the records beside them
	Maybe   []maybe           // what is passed over or trouble, and may be a client's log; whose, is told likewise
	Passed  []report.Passed   // not looked into
	Trouble []finding.Finding // what should be looked at and cannot be
}

// find finds everything below a folder, in the order of names.
func find(dir string) (out Found, err error) {
	err = filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		switch {
		case err != nil && p == dir:
			return fmt.Errorf("cannot read %s: %w", dir, files.Cause(err))
		case err != nil: // the others are looked at all the same
			out.unreadable(p, err)
			if d != nil && d.IsDir() {
				return filepath.SkipDir
			}
		case d.IsDir():
			return out.folder(p, d, p == dir)
		default:
			out.file(dir, p, d)
		}
		return nil
	})
	slices.Sort(out.Files)
	return out, err
}

// folder passes a folder over, or lets the walk go in.
func (o *Found) folder(p string, d fs.DirEntry, top bool) error {
	why := ""
	switch {
	case top:
		return nil
	case d.Name() == "cue.mod":
		why = "the schema copy for the editor"
	case d.Name() == "node_modules":
		why = "modules of a program"
	case strings.HasPrefix(d.Name(), "."):
		why = "a hidden folder"
	default:
		if what, _ := called(d.Name()); what == aLog { // what stands in it is looked at as well
			o.unreadable(p, errFolder)
			o.maybe(p, aLog)
		}
		return nil
	}
	o.pass(p, why, false)
	if d.Name() != ".git" { // a sync program keeps older copies of logs in such folders
		o.hidden(p)
	}
	return filepath.SkipDir
}

var errFolder = errors.New("it is a folder, allowed: a regular file")

// hidden looks through a folder that is passed over for names of logs alone: each may be a copy of one, or one that was put away.
func (o *Found) hidden(dir string) {
	_ = filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return nil // the folder is named as passed over
		}
		if what, _ := called(d.Name()); what == aLog && !d.IsDir() {
			o.pass(p, "a log in a folder that is passed over", true)
			o.maybe(p, leftover)
		}
		return nil
	})
}

func (o *Found) maybe(p string, what calling) { o.Maybe = append(o.Maybe, maybe{p, what}) }

// file says what is to be done with what is no folder.
func (o *Found) file(dir, p string, d fs.DirEntry) {
	what, why := called(d.Name())
	switch {
	case (what == toRead || what == aCopy || what == unknown) && d.Type().IsRegular() && isDiaryCopy(p):
		o.Logs = append(o.Logs, p)
		return
	case isLedger(p):
		o.pass(p, "the ledger", false)
		return
	case what == toRead && isTemplate(dir, p):
		o.pass(p, "a template, of which the cue command makes data", true)
		return
	}
	switch what {
	case ordinary, leftover, lock, document:
		o.pass(p, why, what == leftover || what == lock)
		o.maybe(p, what)
		return
	}
	if !d.Type().IsRegular() && !o.leads(dir, p, what == unknown) {
		o.maybe(p, what)
		return
	}
	switch what {
	case toRead:
		if isOwn(p) {
			o.pass(p, "isocue's own", false)
			return
		}
		o.Files = append(o.Files, p)
	case aLog:
		o.Logs = append(o.Logs, p)
		if diaryEnd.MatchString(strings.ToLower(p)) {
			o.Files = append(o.Files, p) // lint judges it as a file too
		}
	case aCopy:
		o.maybe(p, leftover)
		o.misnamed(p, "ends as no file that isocue reads, and seems to be a copy of one that counts, or one that is not on this machine")
	default:
		o.look(p, what, why)
	}
}

// isLedger says whether a file is the clinic's ledger, or one of those in it.
func isLedger(p string) bool {
	return filepath.Ext(p) == ledger.Ending && (filepath.Base(p) == LedgerName+ledger.Ending || filepath.Base(filepath.Dir(p)) == LedgerName)
}

// templates is the folder for CUE that computes.
const templates = "templates"

// isTemplate says whether a file is CUE in the folder of templates at the top of the folder that is looked through.
func isTemplate(top, p string) bool {
	rel, err := filepath.Rel(top, p)
	return err == nil && filepath.Ext(p) == ".cue" && strings.HasPrefix(filepath.ToSlash(rel), templates+"/")
}

// leads says whether what is no file itself leads to one inside the folder. Anything else is trouble where its name says that it
// counts, and named where not.
func (o *Found) leads(dir, p string, odd bool) bool {
	fi, err := os.Stat(p)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		err = errors.New("the link leads nowhere")
	case err == nil && fi.IsDir():
		o.pass(p, "a link to a folder, which is not followed", true)
		return false
	case err == nil && !fi.Mode().IsRegular():
		err = files.Regular(p, fi)
	case err == nil:
		err = files.StaysIn(dir, p)
	}
	switch {
	case err != nil && odd:
		o.pass(p, "cannot be looked into: "+cause(p, err), true)
	case err != nil:
		o.unreadable(p, err)
	}
	return err == nil
}

// look tells by its first bytes whether a file that is not called so holds what counts.
func (o *Found) look(p string, what calling, why string) {
	src, err := files.Fetch(p, load.MaxBytes)
	if err != nil || !holdsLog(src) {
		o.maybe(p, what)
	}
	switch {
	case err != nil && what == aTable:
		o.unreadable(p, err)
	case err != nil:
		o.pass(p, "cannot be looked into: "+cause(p, err), true)
	case holdsLog(src):
		o.Logs = append(o.Logs, p)
	case what == aTable:
		o.pass(p, "a table, and none of readings or sessions", !strings.HasSuffix(strings.ToLower(p), ".csv"))
	case holdsWords.Match(src):
		o.misnamed(p, "holds what a record, a protocol or a policy holds, and ends in none of "+endings)
	default:
		o.pass(p, why, why != ignored)
	}
}

// cause is why a file cannot be read, without its name.
func cause(p string, err error) string {
	s := files.Cause(err).Error()
	for _, said := range []string{"cannot read: ", "cannot read ", p + ": "} {
		s = strings.TrimPrefix(s, said)
	}
	if what, ok := strings.CutPrefix(s, p+" is "); ok {
		return "it is " + what
	}
	return s
}

// holdsLog says whether a text is a table of readings or sessions. A table of clients has readings among much else.
func holdsLog(src []byte) bool {
	first, _, _ := strings.Cut(string(src), "\n")
	return logHeading.MatchString(first) && !clientHeading.MatchString(first)
}

func (o *Found) pass(p, why string, named bool) {
	o.Passed = append(o.Passed, report.Passed{File: filepath.ToSlash(p), Why: why, Named: named})
}

func (o *Found) misnamed(p, what string) {
	o.Trouble = append(o.Trouble, finding.Finding{Rule: Misnamed, Verdict: finding.Malformed, Pos: finding.Pos{File: p, Line: 1, Column: 1}, Private: true,
		Message:   fmt.Sprintf("%s %s", filepath.Base(p), what),
		Remedy:    "if it is the one that counts, give it the name of the other, ending in " + endings + "; if not, remove it or move it out of this folder",
		Rationale: whyFound})
}

// unreadable is trouble with a file or folder that counts by its name.
func (o *Found) unreadable(p string, err error) { o.Trouble = append(o.Trouble, unreadable(p, err)) }

// unreadable is the finding that something found cannot be read at all.
func unreadable(p string, err error) finding.Finding {
	return finding.Finding{Rule: load.Unreadable, Verdict: finding.Malformed, Pos: finding.Pos{File: p, Line: 1, Column: 1}, Private: true,
		Message:   "cannot be read: " + cause(p, err),
		Remedy:    "let isocue read it; move it out of this folder only where it tells of no client",
		Rationale: whyFound}
}

// add adds what stands in another folder; what stands in both counts once.
func (o *Found) add(more Found) {
	o.Files, o.Logs = append(o.Files, more.Files...), append(o.Logs, more.Logs...)
	o.Passed, o.Trouble, o.Maybe = append(o.Passed, more.Passed...), append(o.Trouble, more.Trouble...), append(o.Maybe, more.Maybe...)
	slices.Sort(o.Logs)
	o.Logs = slices.Compact(o.Logs)
	slices.SortFunc(o.Passed, func(x, y report.Passed) int { return cmp.Compare(x.File, y.File) })
	o.Passed = slices.Compact(o.Passed)
}

// holdsNothing is the error about a folder in which there is nothing to look at.
func (o *Found) holdsNothing(dir, what string) error {
	passed := ""
	if p := report.PassedText(o.Passed); p != "" {
		passed = " (" + p + ")"
	}
	return fmt.Errorf("%s holds no %s%s, allowed: at least one, ending in %s", dir, what, passed, endings)
}
