package cli

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sort"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report"
	"isocue.example/compiler/report/judged"
)

// BeforeRules are the findings that are told before any rule is judged, or about the clinic's own files: no file of the rule
// base makes them.
var BeforeRules = []judged.Early{
	{ID: load.Unreadable, Asks: fmt.Sprintf("a file is text in UTF-8, without control characters or errors of syntax, of at most %d bytes", load.MaxBytes),
		Verdict: "malformed, told by the reader before any rule is judged", Remedy: "repair the syntax at the mark",
		Why: "A file that cannot be read cannot be judged, and an unjudged file must not be used."},
	{ID: load.DataOnly, Asks: "a file is data: fields, lists and plain values, nothing that computes",
		Verdict: "malformed, told by the reader before any rule is judged", Remedy: "write plain fields and values, each field once; whoever wants arithmetic or templates pipes `cue export` into `isocue lint -`",
		Why: "A file from a stranger is read as data only, so that reading it can neither run nor hide anything."},
	{ID: load.Shape, Asks: "a file has the fields, units and physical spans that docs/fields.md lists, and no others",
		Verdict: "malformed, told by the reader before any rule is judged", Remedy: "write what docs/fields.md lists for the field at the mark",
		Why: "Names, units and physical spans are fixed so that no number can be taken for another."},
	{ID: compiler.Bounds, Asks: "what is asked for can be made by a small computer in about a second: so many protocols, sessions, entries and bytes",
		Verdict: "malformed, before any of it is made", Remedy: "ask for what a client trains: fewer sessions, or a shorter course", Why: compiler.BoundsWhy},
	{ID: compiler.PolicyRule, Asks: "a clinic's policy only narrows, and its own rules are written like those of the rule base",
		Verdict: "malformed", Remedy: "write a tighter number, or leave the limit to the rule base",
		Why: "A limit that silently did not apply, or a wider one, could harm somebody."},
	{ID: clinic.Recalled, Asks: "a plan by which a client trains is still allowed by the rules, the policy and the waivers of now",
		Verdict: "that of the gravest finding about the plan", Remedy: "call the client back, and compile a new plan into that pack",
		Why: "A client goes on training by a plan that is refused now, unless somebody tells them."},
	{ID: compiler.EditedRule, Asks: "a plan is as isocue wrote it: its seal fits, its steps follow from its loads, these from what was measured, and all from the protocols that it carries",
		Verdict: "malformed, caution where it has no seal", Remedy: "put the plan back as it was, or stop the programme and compile a new course",
		Why: "Whoever edits a plan goes round every rule that judged it, and the client sets the load that it says."},
	{ID: clinic.AcceptedBefore, Asks: "what the ledger says was accepted is not refused now",
		Verdict: "caution, beside the findings that refuse", Remedy: "see what changed: the file, the rule base or the policy",
		Why: "Somebody accepted it and may be using it; they should hear that it is refused now."},
	{ID: clinic.SameRevision, Asks: "a protocol says what it said when the ledger's newest acceptance of its revision was written",
		Verdict: "malformed", Remedy: "raise the revision",
		Why: "Plans, waivers and the people who train by them go by the number: one number for two protocols hides the change."},
	{ID: clinic.Misnamed, Asks: "a file of a clinic's folder that counts has a name by which it is read",
		Verdict: "malformed", Remedy: "give it the name of the file that it stands for, or move it out of the folder",
		Why: "What a folder holds and nobody reads looks judged."},
	{ID: clinic.LogOwner, Asks: "a log or diary stands beside the record whose id it is named by, one of each kind",
		Verdict: "malformed", Remedy: "rename it by the id of its client, such as heron-07.log.csv, or move it out of the folder",
		Why: "An alert in a log that nobody reads would be missing without a word."},
	{ID: diary.Contradiction, Asks: "no two entries of a diary say different things about one thing on one day, unless their times tell which is later",
		Verdict: "caution: what is safer holds", Remedy: "write the time of both, or void the one that is wrong",
		Why: "What happened is worked out from the diary alone."},
	{ID: diary.Reference, Asks: "an id in a diary is that of one entry, and what void, told, read and over name is there",
		Verdict: "malformed, or caution where a condition is over that never began", Remedy: "correct the id, the code or the side",
		Why: "An entry that names nothing changes nothing, whatever its author meant."},
	{ID: compiler.DiaryCloses, Asks: "nothing that was entered into the diary closes training and goes on",
		Verdict: "unsafe: a running course is held, a first plan refused", Remedy: "enter what ended it, then ask the symptom questions: isocue enter RECORD asked no",
		Why: "An end that nobody wrote is not assumed, and nobody trains on from an illness without being asked."},
	{ID: clinic.EmptyLog, Asks: "something can be read from a log",
		Verdict: "malformed where it has rows and none can be read, caution where it has none", Remedy: "see whether this is the log that is kept",
		Why: "A log from which nothing is read raises no alert, whatever was meant to stand in it."},
	{ID: clinic.SchemaCopy, Asks: "the schema copy of a clinic's folder is that of the program, so that the editor and isocue agree",
		Verdict: "caution", Remedy: "isocue new clinic DIR --refresh",
		Why: "The editor would complete and accept fields that isocue judges differently."},
	{ID: compiler.WaiverRule, Asks: "a waiver is signed by one of the policy's reviewers, for a finding that may be waived and that stands",
		Verdict: "malformed, or caution where it is void, expired or unused", Remedy: "remove it, or have a reviewer of the policy sign what stands now",
		Why: "An exception that nobody may sign, or that nobody can tell from another, protects no one."},
}

// judgement is what was found. For what leaves the clinic, files are named as the working directory sees them: an absolute path would
// tell who works where, and code review knows relative ones alone.
func (j *judging) judgement() (judged.Judgement, error) {
	out := judged.Judgement{Version: Version, Findings: j.Found, Looked: len(j.Judged) + j.Logs, Passed: j.Passed, Base: j.Under.Check.Base, Early: BeforeRules, Policy: j.Policy, Summary: j.summary(), Strict: j.strict, Color: j.color, Why: j.why, Source: j.Source}
	if !judged.Leaves(j.format) {
		return out, nil
	}
	wd, err := os.Getwd()
	if err != nil {
		return out, fmt.Errorf("name files from the working directory: %w", err)
	}
	out.Findings = nil
	source := map[string][]byte{}
	for name, f := range j.Files {
		r := relative(wd, name)
		out.Files = append(out.Files, r)
		source[r] = f.Source
	}
	sort.Strings(out.Files)
	out.Source = func(file string) []byte { return source[file] }
	for _, f := range j.Found {
		f.Pos.File = relative(wd, f.Pos.File)
		out.Findings = append(out.Findings, f)
	}
	out.Findings = finding.Sort(out.Findings)
	return out, nil
}

// relative is a file's name as seen from the folder wd, with slashes.
func relative(wd, name string) string {
	if filepath.IsAbs(name) {
		if r, err := filepath.Rel(wd, name); err == nil {
			name = r
		}
	}
	return filepath.ToSlash(name)
}

// kinds are the kinds of file in the order in which they are counted, with their names.
var kinds = []struct {
	kind      load.Kind
	one, many string
}{
	{load.IsProtocol, "protocol file", "protocol files"}, {load.IsClient, "client record", "client records"}, {load.IsPolicy, "policy", "policies"},
	{load.IsWaivers, "waivers file", "waivers files"}, {load.IsPlan, "plan", "plans"}, {load.IsLog, "log", "logs"}, {load.IsDiary, "diary", "diaries"}, {load.IsUnknown, "file of no known kind", "files of no known kind"},
}

// summary is the last lines: where lint judged several files, how many of which kind and which were refused; then the sum.
// The clinic's own files count where they were named or found in a folder that was; elsewhere they are used, not judged.
func (j *judging) summary() []string {
	looked := len(j.Judged) + j.Logs
	sum := judged.Summary(looked, j.Found, j.Policy)
	var lines []string
	if p := report.PassedText(j.Passed); p != "" {
		lines = append(lines, p)
	}
	if !j.many || looked < 2 {
		return append(lines, sum)
	}
	count := map[load.Kind]int{load.IsLog: j.Logs}
	for _, name := range j.Judged {
		count[j.Files[name].Kind]++
	}
	var all []judged.Kind
	for _, k := range kinds {
		all = append(all, judged.Kind{N: count[k.kind], One: k.one, Many: k.many})
	}
	return append([]string{judged.Overview(all, j.Found)}, append(lines, sum)...)
}

// print says what was found, in the form that was asked for.
func (j *judging) print(w io.Writer) error {
	out, err := j.judgement()
	if err != nil {
		return err
	}
	return judged.Formats.Write(w, j.format, out)
}
