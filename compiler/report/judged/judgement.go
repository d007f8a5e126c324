package judged

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/report"
	"isocue.example/compiler/rule"
)

// Judgement is what a run found, for every format of it.
type Judgement struct {
	Version  string            // of the program
	Files    []string          // files read, in any order; relative, with slashes
	Findings []finding.Finding // sorted; their files are among Files
	Looked   int               // how many files were looked into
	Passed   []report.Passed   // what stands in the folders judged and was not
	Base     *rule.Base
	Early    []Early  // the findings that no rule of the base makes
	Policy   string   // which policy was used, in words
	Summary  []string // the last lines of the judgement as text
	Strict   bool     // a caution refuses too
	Color    bool     // of text
	Why      bool     // text says rule, place, reason and sources of what is about a client too
	// Source gives the bytes of a file, nil where there are none, or none that text may quote. What leaves the clinic counts them and
	// never writes them.
	Source func(file string) []byte
}

// Early is a finding that is told before or beside the rules: that a file cannot be read, or that a policy widens. ID is its
// rule, Asks the claim, Verdict how it is meant, in words; Remedy and Why hold for every finding of it.
type Early struct{ ID, Asks, Verdict, Remedy, Why string }

// Formats are the formats of findings.
var Formats = report.Forms[Judgement]{{Name: "text", Write: asText}, {Name: "json", Write: asJSON},
	{Name: "sarif", Write: asSARIF}, {Name: "github", Write: asGitHub}, {Name: "junit", Write: asJUnit}}

// Leaves says whether a format leaves the clinic, as text and JSON on the reader's own terminal do not: what a client's file says
// must not stand in it, nor who works where.
func Leaves(format string) bool { return format != "text" && format != "json" }

func (j Judgement) refused() bool { return finding.Refused(j.Findings, j.Strict) }

// worth is what the judgement is worth, in words.
func (j Judgement) worth() string {
	return worth(j.Findings, j.refused())
}

// texts is what is said about a rule, whatever it was judged on.
type texts struct {
	title, about, fix, why string
	verdict                finding.Verdict
	sources                []string
}

func (j Judgement) texts(id string) texts {
	if r := j.Base.Rule(id); r != nil {
		return texts{r.Title, r.About, r.Remedy, r.Rationale, r.Verdict, r.Sources}
	}
	for _, e := range j.Early {
		if e.ID == id {
			return texts{e.Asks, "file", e.Remedy, e.Why, finding.Malformed, nil}
		}
	}
	panic(finding.Bug{What: fmt.Sprintf("a finding names %q, which is no rule", id)})
}

// card is what may be said of a finding outside the clinic.
type card struct {
	rule, file, path, says, fix, why, waived string
	line, column                             int // 1 is the first; a column counts characters, 0 is unknown
	verdict                                  finding.Verdict
	refuses                                  bool
}

// shareable are the things whose findings quote a protocol alone. All others are about one client: their messages may hold a
// reading, an age or a load.
var shareable = []string{"file", "protocol", "stage"}

// card strips a finding of all that a client's file says. In place of its message stands the rule's own text; a name that
// somebody made up as a field, and the questions that were answered, are cut off its path.
func (j Judgement) card(f finding.Finding) card {
	t := j.texts(f.Rule)
	c := card{rule: f.Rule, file: f.Pos.File, path: f.Path, says: f.Message, fix: f.Remedy, why: f.Rationale, verdict: f.Verdict,
		line: max(f.Pos.Line, 1), refuses: f.Refuses(j.Strict)}
	if f.Private || !slices.Contains(shareable, t.about) {
		c.says, c.fix, c.why = "not met: "+t.title, t.fix, t.why
		if t.about == "file" {
			c.path = ""
		}
		if before, _, ok := strings.Cut(c.path, ".answers."); ok {
			c.path = before + ".answers"
		}
	}
	if f.Pos.IsValid() && f.Pos.Column > 0 {
		c.column = column(lineOf(j.Source(f.Pos.File), f.Pos.Line), f.Pos.Column)
	}
	if len(f.Sources) > 0 {
		c.why += " (" + strings.Join(f.Sources, ", ") + ")"
	}
	if f.Waiver.Signed() {
		c.waived = "waived by " + report.Clean(f.Waiver.Brief())
	}
	c.says, c.fix, c.why, c.path = report.Clean(c.says), report.Clean(c.fix), report.Clean(c.why), report.Clean(c.path)
	return c
}

// column turns a place counted in bytes into one counted in characters.
func column(line []byte, bytes int) int {
	return 1 + utf8.RuneCount(line[:min(bytes-1, len(line))])
}

// cards is every finding as it may be told, and by file.
func (j Judgement) cards() (all []card, byFile map[string][]card) {
	byFile = map[string][]card{}
	for _, f := range j.Findings {
		c := j.card(f)
		all = append(all, c)
		byFile[c.file] = append(byFile[c.file], c)
	}
	return all, byFile
}

// files is every file read, sorted, each once.
func (j Judgement) files() []string {
	out := slices.Clone(j.Files)
	for _, f := range j.Findings {
		out = append(out, f.Pos.File)
	}
	return sorted(out)
}

// sorted sorts words in place and drops repeats.
func sorted(words []string) []string {
	slices.Sort(words)
	return slices.Compact(words)
}
