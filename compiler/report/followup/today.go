package followup

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/report"
	"isocue.example/compiler/unit"
)

// Attended is one client of many, and what that client needs: at least one matter, the most urgent first.
type Attended struct {
	File, Client string // the id is "" where it cannot be told
	Phone        string // the client's own, "" where nobody wrote one
	Matters      []progress.Matter
	Blind        bool // something of the client's cannot be read, so that an alert may be missing
}

// Day is every client of a folder, the one who needs somebody first in front, and what else was found there: what was passed over, and
// what should have been looked at and could not be.
type Day struct {
	Clients         []Attended
	Looked          int // records and logs
	Passed, Trouble []report.Passed
	Why             bool // print rule, place, reason and sources too
}

// Name is the client's id, or the file where the id is not known.
func (s Attended) Name() string { return report.Clean(cmp.Or(s.Client, s.File)) }

// Rings counts the clients of whom somebody must be rung today.
func (d Day) Rings() (n int) {
	for _, s := range d.Clients {
		if s.Matters[0].Need.Rings() {
			n++
		}
	}
	return n
}

// Calls says that somebody must be rung today, or that nobody can tell.
func (d Day) Calls() bool {
	for _, s := range d.Clients {
		if s.Blind {
			return true
		}
	}
	return d.Rings() > 0 || len(d.Trouble) > 0
}

// Days are the forms of a day.
var Days = report.Forms[Day]{{Name: "text", Write: dayText}, {Name: "json", Write: dayJSON}}

// Act is what to do about a matter, with the number to ring and the record to write to.
func (s Attended) Act(m progress.Matter) string {
	phone := "no number of the client is known"
	if s.Phone != "" {
		phone = report.Clean(s.Phone)
	}
	act := strings.ReplaceAll(m.Act, "RECORD", s.File)
	switch {
	case strings.Contains(act, "ring the client"):
		act = strings.Replace(act, "ring the client", "ring the client ("+phone+")", 1)
	case m.Need == progress.Emergency:
		act = "ring the client (" + phone + ") at once; " + act
	}
	return act
}

// Line is the most urgent matter of a client in one line, without the name: every other that needs a call today is named in it, of what
// else there is what kind it is.
func (s Attended) Line() string {
	m := s.Matters[0]
	line := strings.TrimSpace(report.Sentence(m.Says) + " " + report.Sentence(s.Act(m)))
	more, said := 0, map[string]bool{report.Sentence(m.Says): true}
	var kinds []string
	for _, o := range s.Matters[1:] {
		switch says := report.Sentence(o.Says); {
		case said[says]:
		case o.Need.Rings():
			line += " Also: " + says
			said[says] = true
		case o.Need != progress.OnHold && o.Need != progress.Nothing:
			if more++; !slices.Contains(kinds, string(o.Need)) {
				kinds = append(kinds, string(o.Need))
			}
		}
	}
	if more > 0 {
		line += fmt.Sprintf(" And %d more: %s.", more, strings.Join(kinds, ", "))
	}
	return line
}

// dayText prints one line a client, and with Why every matter below it.
func dayText(w io.Writer, d Day) error {
	var b, lines strings.Builder
	tw := tabwriter.NewWriter(&lines, 0, 4, 2, ' ', 0)
	for _, s := range d.Clients {
		fmt.Fprintf(tw, "%s\t%s\t%s\n", s.Name(), s.Matters[0].Need, s.Line())
	}
	tw.Flush() // into a string: it cannot fail
	for i, line := range strings.Split(strings.TrimSuffix(lines.String(), "\n"), "\n") {
		if len(d.Clients) == 0 {
			break
		}
		fmt.Fprintln(&b, line)
		if d.Why {
			whyText(&b, d.Clients[i])
		}
	}
	for _, t := range d.Trouble {
		fmt.Fprintf(&b, "not looked at: %s: %s\n", report.Clean(t.File), report.Clean(t.Why))
	}
	if p := report.PassedText(d.Passed); p != "" {
		fmt.Fprintf(&b, "%s\n", p)
	}
	fmt.Fprintf(&b, "%d %s; to ring today: %d; the coach decides, and this gives no medical advice\n", len(d.Clients), report.Plural(len(d.Clients), "client", "clients"), d.Rings())
	_, err := io.WriteString(w, b.String())
	return err
}

// whyText prints every matter of a client with what it rests on.
func whyText(b *strings.Builder, s Attended) {
	for _, m := range s.Matters {
		fmt.Fprintf(b, "    %s: %s\n", m.Need, report.Sentence(m.Says))
		for _, x := range []struct{ label, text string }{{"do", s.Act(m)}, {"rule", m.Rule}, {"place", place(m)}, {"why", m.Why}, {"sources", strings.Join(m.Sources, ", ")}} {
			if x.text != "" {
				fmt.Fprintf(b, "        %s: %s\n", x.label, report.Clean(x.text))
			}
		}
	}
}

func place(m progress.Matter) string {
	if m.File == "" {
		return ""
	}
	return fmt.Sprintf("%s:%d", strings.ReplaceAll(m.File, `\`, "/"), max(m.Line, 1))
}

type jsonMatter struct {
	Need    progress.Need `json:"need"`
	Says    string        `json:"says"`
	Act     string        `json:"act,omitempty"`
	On      unit.Date     `json:"on,omitzero"`
	Next    string        `json:"nextSession,omitempty"`
	Rule    string        `json:"rule,omitempty"`
	Place   string        `json:"place,omitempty"`
	Why     string        `json:"why,omitempty"`
	Sources []string      `json:"sources,omitempty"`
}

type jsonAttended struct {
	Client  string       `json:"client,omitempty"`
	File    string       `json:"file"`
	Phone   string       `json:"phone,omitempty"`
	Ring    bool         `json:"ring"`
	Blind   bool         `json:"blind,omitempty"`
	Matters []jsonMatter `json:"matters"`
}

func dayJSON(w io.Writer, d Day) error {
	out := struct {
		Version int             `json:"version"`
		Ring    int             `json:"ring"`
		Clients []jsonAttended  `json:"clients"`
		Looked  int             `json:"looked"`
		Passed  []report.Passed `json:"passedOver"`
		Trouble []report.Passed `json:"trouble"`
	}{1, d.Rings(), []jsonAttended{}, d.Looked, report.PassedJSON(d.Passed), report.PassedJSON(d.Trouble)}
	for _, s := range d.Clients {
		x := jsonAttended{Client: s.Client, File: s.File, Phone: s.Phone, Ring: s.Matters[0].Need.Rings(), Blind: s.Blind}
		for _, m := range s.Matters {
			y := jsonMatter{Need: m.Need, Says: report.Clean(m.Says), Act: s.Act(m), On: m.On, Rule: m.Rule, Place: place(m), Why: m.Why, Sources: m.Sources}
			if m.Next != 0 {
				y.Next = m.Next.String()
			}
			x.Matters = append(x.Matters, y)
		}
		out.Clients = append(out.Clients, x)
	}
	return report.Indented(w, out)
}
