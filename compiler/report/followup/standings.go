package followup

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/report"
)

// Standing is one client of many: what a follow-up came to, or why there is none.
type Standing struct {
	File     string
	Followed progress.Followed
	NoLog    bool
	EmptyLog bool     // a log has no row
	Refused  string   // the record cannot be used
	Trouble  []string // what is the client's and could not be looked at, beside what was followed
}

// Clinic is every client of a folder, and what else was found there: what was passed over, and what should have been looked at and
// could not be.
type Clinic struct {
	Clients         []Standing
	Looked          int // records and logs
	Passed, Trouble []report.Passed
}

// Name is the client's id, or the file where the id is not known.
func (s Standing) Name() string {
	if s.Followed.Client != "" {
		return s.Followed.Client
	}
	return s.File
}

// Rank orders standings, the worst first: an open alert, then a record that nobody can judge, then by what is to be told.
func (s Standing) Rank() int {
	blind := len(progress.Whos) * 2 // behind now and today, before this week
	switch {
	case s.Refused != "":
		return blind
	case len(s.Trouble) > 0:
		s.Trouble = nil
		return min(blind, s.Rank())
	case len(s.Followed.Tells) > 0 && len(progress.Whos)*2 <= progress.Urgency(s.Followed.Tells[0]):
		return progress.Urgency(s.Followed.Tells[0]) + 1
	case len(s.Followed.Tells) > 0:
		return progress.Urgency(s.Followed.Tells[0])
	case s.NoLog:
		return 100
	}
	return 101
}

// Standings are the forms of a list of standings.
var Standings = report.Forms[Clinic]{{Name: "text", Write: standingsText}, {Name: "json", Write: standingsJSON}}

// standingsText prints one line a client: who needs a look, the worst first.
func standingsText(w io.Writer, c Clinic) error {
	all := c.Clients
	if len(all) > 0 && all[0].Refused == "" {
		if err := report.CheckCautions(all[0].Followed.Cautions); err != nil {
			return err
		}
	}
	var b strings.Builder
	tw := tabwriter.NewWriter(&b, 0, 4, 2, ' ', 0)
	fmt.Fprintf(tw, "client\thow soon\twho\tverdict\tmean\tchange\tdone\trows left out\twhy\n")
	today := 0
	for _, s := range all {
		f := s.Followed
		if s.Refused != "" {
			fmt.Fprintf(tw, "%s\t?\tcoach\t-\t-\t-\t-\t-\t%s\n", s.Name(), s.Refused)
			today++
			continue
		}
		soon, who, why := "-", "-", "-"
		if len(f.Tells) > 0 {
			t := f.Tells[0]
			soon, who, why = t.HowSoon, t.Who, fmt.Sprintf("%s [%s]", t.Why, t.Rule)
			if len(f.Tells) > 1 {
				why += fmt.Sprintf(" and %d more", len(f.Tells)-1)
			}
		}
		if soon == "now" || soon == "today" || len(s.Trouble) > 0 {
			today++
		}
		if len(s.Trouble) > 0 {
			told := "not looked at: " + strings.Join(s.Trouble, "; ")
			if why == "-" {
				soon, who, why = "?", "coach", told
			} else {
				why += "; " + told
			}
		}
		mean, change, done, out := "-", "-", "-", 0
		if n := len(f.Windows); n > 0 && f.Windows[n-1].Readings > 0 {
			mean = pair(f.Windows[n-1].Systolic, f.Windows[n-1].Diastolic)
		}
		if f.Change != nil {
			change = plusMinus(f.Change.Systolic)
		}
		if f.Training != nil && f.Training.Known {
			done = f.Training.CourseShare.Percent()
		}
		for _, r := range f.Rows {
			if !r.Kept && !r.Repeat {
				out++
			}
		}
		verdict := string(f.Verdict)
		if s.NoLog {
			verdict += ", no log"
		} else if s.EmptyLog {
			verdict += ", a log without rows"
		}
		fmt.Fprintf(tw, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%d\t%s\n", s.Name(), soon, who, verdict, mean, change, done, out, why)
	}
	tw.Flush() // into a string: it cannot fail
	for _, t := range c.Trouble {
		fmt.Fprintf(&b, "not looked at: %s: %s\n", report.Clean(t.File), report.Clean(t.Why))
	}
	if p := report.PassedText(c.Passed); p != "" {
		fmt.Fprintf(&b, "%s\n", p)
	}
	fmt.Fprintf(&b, "%d %s, %d need a look today\n", len(all), report.Plural(len(all), "client", "clients"), today)
	for _, s := range all {
		if s.Refused == "" {
			for _, c := range s.Followed.Cautions {
				fmt.Fprintf(&b, "%s\n", c.Text)
			}
			break
		}
	}
	_, err := io.WriteString(w, cleanLines(b.String()))
	return err
}

func standingsJSON(w io.Writer, c Clinic) error {
	type one struct {
		File     string        `json:"file"`
		NoLog    bool          `json:"noLog,omitempty"`
		EmptyLog bool          `json:"emptyLog,omitempty"`
		Refused  string        `json:"refused,omitempty"`
		Trouble  []string      `json:"trouble,omitempty"`
		Follow   *jsonProgress `json:"progress,omitempty"`
	}
	out := struct {
		Version int             `json:"version"`
		Clients []one           `json:"clients"`
		Looked  int             `json:"looked"`
		Passed  []report.Passed `json:"passedOver"`
		Trouble []report.Passed `json:"trouble"`
	}{1, []one{}, c.Looked, report.PassedJSON(c.Passed), report.PassedJSON(c.Trouble)}
	for _, s := range c.Clients {
		x := one{File: s.File, NoLog: s.NoLog, EmptyLog: s.EmptyLog, Refused: s.Refused, Trouble: s.Trouble}
		if s.Refused == "" {
			p, err := newJSON(Report{Followed: s.Followed})
			if err != nil {
				return err
			}
			x.Follow = &p
		}
		out.Clients = append(out.Clients, x)
	}
	return report.Indented(w, out)
}
