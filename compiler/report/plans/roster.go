package plans

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/unit"
)

// What may become of a client in a roster.
const (
	RosterCompiled  = "compiled"
	RosterUnchanged = "unchanged"
	RosterRefused   = "refused"
	RosterFailed    = "failed"
	RosterHeld      = "held"             // compiled, and a protocol of the course is closed for now
	RosterStopped   = "stopped"          // the programme was stopped; nothing is compiled for the client
	RosterOver      = "over"             // its last session is past
	RosterNone      = "without a course" // nobody asked for one yet
)

// rosterOutcomes are all, in the order in which they are counted.
var rosterOutcomes = []string{RosterCompiled, RosterUnchanged, RosterHeld, RosterStopped, RosterOver, RosterNone, RosterRefused, RosterFailed}

// RosterRow is what became of one client. It holds the opaque id and no word of the record.
type RosterRow struct {
	ID       string          `json:"id"`
	File     string          `json:"file"`
	Outcome  string          `json:"outcome"`
	Folder   string          `json:"folder,omitempty"` // of one who was refused or failed: an earlier pack that stands
	Sheet    int             `json:"sheet,omitempty"`
	Rules    []string        `json:"rules,omitempty"`  // those that refused
	Reason   string          `json:"reason,omitempty"` // of one who was compiled: which file of the pack was not as it was written
	Cautions int             `json:"cautions,omitempty"`
	Measure  unit.Date       `json:"measure,omitzero"`  // the next day to measure again
	Plan     *record.Written `json:"plan,omitempty"`    // the plan as it was written, of one who was compiled or left alone
	NotRead  []string        `json:"notRead,omitempty"` // the columns of its logs that are not read
	Refusals []string        `json:"-"`                 // what refused it, in a sentence each
	Stays    bool            `json:"-"`                 // an earlier plan stands there and was not stopped
	Says     string          `json:"-"`                 // what refuses or holds, and what to do, for the screen alone: it may quote the record
}

// RosterLeft is what stands beside the clients of a roster: packs that somebody may still train by, and files. Unsure: a record of the
// roster could not be read, and one of the packs may be its.
type RosterLeft struct {
	Packs           []RosterPack
	Unsure          bool
	Looked          int             // records and logs that were looked into
	Passed, Trouble []report.Passed // what was passed over, and what should have been looked at and could not be
}

// RosterPack is a pack of no client of the roster, by the id in its plan. Renamed: its folder is not named by that id. The folder's
// name is not kept: a person may have given it a client's.
type RosterPack struct {
	ID      string `json:"id"`
	Renamed bool   `json:"renamed,omitempty"`
}

// RosterJSON is the roster for programs, with what a coach is told of it.
func RosterJSON(rows []RosterRow, left RosterLeft, today unit.Date) ([]byte, error) {
	var b bytes.Buffer
	if rows == nil {
		rows = []RosterRow{}
	}
	err := report.Indented(&b, struct {
		Version int           `json:"version"`
		Summary rosterSummary `json:"summary"`
		Clients []RosterRow   `json:"clients"`
	}{1, summary(rows, left, today), rows})
	return b.Bytes(), err
}

// RosterCSV is the roster for a spreadsheet (RFC 4180).
func RosterCSV(rows []RosterRow) ([]byte, error) {
	var b bytes.Buffer
	c := csv.NewWriter(&b)
	c.UseCRLF = true
	c.Write([]string{"id", "file", "outcome", "folder", "sheet", "rules", "reason", "cautions", "measure"})
	for _, r := range rows {
		measure, sheet := "", ""
		if r.Measure != 0 {
			measure = r.Measure.String()
		}
		if r.Sheet != 0 {
			sheet = fmt.Sprint(r.Sheet)
		}
		cells := []string{r.ID, r.File, r.Outcome, r.Folder, sheet, strings.Join(r.Rules, ";"), r.Reason, fmt.Sprint(r.Cautions), measure}
		for i := range cells {
			cells[i] = harmless(report.Clean(cells[i]))
		}
		c.Write(cells)
	}
	c.Flush()
	return b.Bytes(), c.Error()
}

// soon is how many days ahead a measurement is told.
const soon = 14

// rosterSummary is what a coach is told: how many clients of each outcome, how many each rule stopped, most first, who is to be
// measured within soon days or should have been, earliest first, and the packs of no client of the roster, in the order of folders.
type rosterSummary struct {
	Outcomes map[string]int  `json:"outcomes"`
	Rules    []stoppedBy     `json:"rules"`
	Measure  []measureSoon   `json:"measure"`
	Unlisted []RosterPack    `json:"unlisted"`
	Looked   int             `json:"looked"`
	Passed   []report.Passed `json:"passedOver"`
	Trouble  []report.Passed `json:"trouble"`
}

type stoppedBy struct {
	Rule    string `json:"rule"`
	Clients int    `json:"clients"`
}

type measureSoon struct {
	ID string    `json:"id"`
	By unit.Date `json:"by"`
}

func summary(rows []RosterRow, left RosterLeft, today unit.Date) rosterSummary {
	s := rosterSummary{Outcomes: map[string]int{}, Rules: []stoppedBy{}, Measure: []measureSoon{}, Unlisted: append([]RosterPack{}, left.Packs...),
		Looked: left.Looked, Passed: report.PassedJSON(left.Passed), Trouble: report.PassedJSON(left.Trouble)}
	rules := map[string]int{}
	for _, r := range rows {
		s.Outcomes[r.Outcome]++
		for _, x := range r.Rules {
			if r.Outcome != RosterHeld {
				rules[x]++
			}
		}
		if r.Measure != 0 && r.Measure <= today+soon {
			s.Measure = append(s.Measure, measureSoon{r.ID, r.Measure})
		}
	}
	for x, n := range rules {
		s.Rules = append(s.Rules, stoppedBy{x, n})
	}
	slices.SortFunc(s.Rules, func(x, y stoppedBy) int {
		return cmp.Or(cmp.Compare(y.Clients, x.Clients), cmp.Compare(x.Rule, y.Rule))
	})
	slices.SortFunc(s.Measure, func(x, y measureSoon) int { return cmp.Or(cmp.Compare(x.By, y.By), cmp.Compare(x.ID, y.ID)) })
	return s
}

// Roster tells a coach what became of the clients: how many of each outcome, how many clients each rule stopped, who failed and
// why, whose packs stand there beside theirs, and who is to be measured within two weeks.
func Roster(w io.Writer, rows []RosterRow, left RosterLeft, today unit.Date, stopped, why bool) error {
	var b strings.Builder
	sum := summary(rows, left, today)
	for _, r := range rows {
		switch r.Outcome {
		case RosterRefused:
			fmt.Fprintf(&b, "refused: %s: %s%s\n", report.Clean(cmp.Or(r.ID, r.File)), report.Sentence(cmp.Or(r.Reason, r.Says)), rules(r, why))
		case RosterHeld:
			fmt.Fprintf(&b, "held: %s: %s Ring the client, whose sheet is void.%s%s\n", report.Clean(r.ID), report.Sentence(r.Says), rest(r), rules(r, why))
		case RosterFailed:
			fmt.Fprintf(&b, "failed: %s: %s\n", report.Clean(r.File), report.Clean(r.Reason))
		case RosterCompiled:
			if r.Reason != "" {
				fmt.Fprintf(&b, "compiled: %s: %s\n", report.Clean(r.ID), report.Clean(r.Reason))
			}
		}
	}
	for _, t := range left.Trouble {
		fmt.Fprintf(&b, "not looked at: %s: %s\n", report.Clean(t.File), report.Clean(t.Why))
	}
	var stay []string
	for _, r := range rows {
		if r.Stays && (r.Outcome == RosterRefused || r.Outcome == RosterFailed) {
			stay = append(stay, report.Clean(r.ID))
		}
	}
	if n := slices.DeleteFunc(slices.Clone(rows), func(r RosterRow) bool { return len(r.NotRead) == 0 }); len(n) > 0 {
		fmt.Fprintf(&b, "columns of a log are not read for %d %s, such as %s\n", len(n), report.Plural(len(n), "client", "clients"), report.Clean(n[0].NotRead[0]))
	}
	if len(stay) > 0 {
		fmt.Fprintf(&b, "an earlier plan still stands, and may be trained by: %s; to end one, in the packs' folder: isocue compile --previous ID/plan.json --stop DATE --pack ID\n", strings.Join(stay, ", "))
	}
	b.WriteString(left.text())
	for _, x := range sum.Rules {
		fmt.Fprintf(&b, "%s stopped %d %s\n", x.Rule, x.Clients, report.Plural(x.Clients, "client", "clients"))
	}
	for _, r := range sum.Measure {
		if r.By < today {
			fmt.Fprintf(&b, "measure, due since %s: %s\n", r.By, report.Clean(r.ID))
		} else {
			fmt.Fprintf(&b, "measure by %s: %s\n", r.By, report.Clean(r.ID))
		}
	}
	if p := report.PassedText(left.Passed); p != "" {
		b.WriteString(p + "\n")
	}
	var parts []string
	for _, o := range rosterOutcomes {
		if n := sum.Outcomes[o]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, o))
		}
	}
	fmt.Fprintf(&b, "%d %s: %s", len(rows), report.Plural(len(rows), "client", "clients"), cmp.Or(strings.Join(parts, ", "), "none"))
	if stopped {
		b.WriteString("; stopped before the end, run again to go on")
	}
	fmt.Fprintf(&b, "; %s\n", "a compiled plan is not a medical clearance")
	_, err := io.WriteString(w, b.String())
	return err
}

// rest is what is said of one who is held beside what holds.
func rest(r RosterRow) string {
	if r.Reason == "" {
		return ""
	}
	return " " + report.Sentence(r.Reason)
}

// rules names what stopped a client, for whoever asks for more than the sentence.
func rules(r RosterRow, why bool) string {
	if !why || len(r.Rules) == 0 {
		return ""
	}
	return " [" + strings.Join(r.Rules, ", ") + "]"
}

// leftMost is how many packs of others are named; roster.json has all.
const leftMost = 20

func (l RosterLeft) text() string {
	if len(l.Packs) == 0 {
		return ""
	}
	var ids []string
	for _, p := range l.Packs[:min(len(l.Packs), leftMost)] {
		id := report.Clean(p.ID)
		if p.Renamed {
			id += " (in a folder of another name)"
		}
		ids = append(ids, id)
	}
	if n := len(l.Packs) - leftMost; n > 0 {
		ids = append(ids, fmt.Sprintf("%d more in roster.json", n))
	}
	unsure := ""
	if l.Unsure {
		unsure = ", unless of one whose record could not be read"
	}
	return fmt.Sprintf("not on this list%s, and an earlier plan may be trained by: %s; to end one, in the packs' folder: isocue compile --previous ID/plan.json --stop DATE --pack ID\n",
		unsure, strings.Join(ids, ", "))
}
