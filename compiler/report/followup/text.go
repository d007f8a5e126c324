// Package followup prints the follow-up of one client, as report and as letter, and the list of all clients of a clinic. A form takes
// what compiler/progress found as it is: no rule is within reach. Every form refuses to print without cautions.
package followup

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/report"
	"isocue.example/compiler/unit"
)

// Command is how to go on, for a shell, and what to know before it is run.
type Command struct {
	Run  string `json:"run,omitempty"`
	Note string `json:"note,omitempty"`
}

// Report is a follow-up for the coach. It holds readings and no name.
type Report struct {
	progress.Followed
	Ways    []Command // how to go on
	Version string    // of the program
}

// Reports are the forms of a report.
var Reports = report.Forms[Report]{{Name: "text", Write: reportText}, {Name: "json", Write: reportJSON}, {Name: "html", Write: reportPage}}

func reportText(w io.Writer, f Report) error {
	if err := report.CheckCautions(f.Cautions); err != nil {
		return err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s, followed on %s %s (%s)\n", f.Client, f.At.Date(), f.At.Clock(), f.Zone)
	fmt.Fprintf(&b, "verdict: %s\n", f.Verdict)
	for _, s := range f.Because {
		fmt.Fprintf(&b, "  %s\n", s)
	}
	windowTable(&b, f.Followed)
	for _, s := range changeWords(f.Followed) {
		fmt.Fprintf(&b, "  %s\n", s)
	}
	tellList(&b, f.Followed)
	for _, s := range diaryWords(f.Followed) {
		fmt.Fprintf(&b, "%s\n", s)
	}
	trainingTable(&b, f.Followed)
	rowList(&b, f.Followed)
	fmt.Fprintf(&b, "\nnext: %s; %s\n", f.Next.Step, f.Next.Why)
	for _, s := range nextWords(f.Followed) {
		fmt.Fprintf(&b, "  %s\n", s)
	}
	for _, c := range f.Ways {
		if c.Note != "" {
			fmt.Fprintf(&b, "  %s\n", c.Note)
		}
		if c.Run != "" {
			fmt.Fprintf(&b, "    %s\n", c.Run)
		}
	}
	b.WriteString("the coach decides; this gives no medical advice\n\n")
	for _, c := range f.Cautions {
		fmt.Fprintln(&b, c.Text)
	}
	_, err := io.WriteString(w, cleanLines(b.String()))
	return err
}

// cleanLines is report.Clean that keeps line ends.
func cleanLines(s string) string {
	ls := strings.Split(s, "\n")
	for i := range ls {
		ls[i] = report.Clean(ls[i])
	}
	return strings.Join(ls, "\n")
}

// mmHg prints a pressure to a whole number: a home mean is no finer.
func mmHg(d unit.Dec) string { return d.Text(0) }

// pair prints systolic and diastolic.
func pair(systolic, diastolic unit.Dec) string { return mmHg(systolic) + "/" + mmHg(diastolic) }

// plusMinus prints a change with its sign.
func plusMinus(d unit.Dec) string {
	if s := d.Text(1); d.Sign() > 0 {
		return "+" + s
	} else {
		return s
	}
}

func windowTable(b *strings.Builder, f progress.Followed) {
	if len(f.Windows) == 0 {
		return
	}
	b.WriteString("\n")
	tw := tabwriter.NewWriter(b, 0, 4, 2, ' ', 0)
	fmt.Fprintf(tw, "window\tfrom\tto\tdays\treadings\tmean mmHg\tclass\tnoise of the mean\n")
	for _, w := range f.Windows {
		mean, class, noise := "-", "-", "-"
		if w.Readings > 0 {
			mean, class = pair(w.Systolic, w.Diastolic), fmt.Sprintf("%s (%s)", w.Class, w.Set)
		}
		if w.Noise != nil {
			noise = fmt.Sprintf("%s to %s", w.Noise.Low.Text(1), w.Noise.High.Text(1))
		}
		fmt.Fprintf(tw, "%s\t%s\t%s\t%d\t%d\t%s\t%s\t%s\n", w.Which, w.From, w.To, w.Days, w.Readings, mean, class, noise)
	}
	tw.Flush() // into a string: it cannot fail
	if s := leftWords(f); s != "" {
		fmt.Fprintf(b, "  %s\n", s)
	}
}

func tellList(b *strings.Builder, f progress.Followed) {
	b.WriteString("\n")
	if len(f.Tells) == 0 {
		b.WriteString("tell: nobody; no rule about a log found anything\n")
		return
	}
	b.WriteString("tell\n")
	for _, t := range f.Tells {
		fmt.Fprintf(b, "  %s, %s: %s [%s]\n    do: %s\n", t.HowSoon, t.Who, tellWords(t), t.Rule, t.Do)
	}
	if c := f.Closing(); c != nil {
		fmt.Fprintf(b, "training is closed; this entry closes it without the log too, and a clearance of a later day opens it:\n  %s\n", conditionEntry(c.On))
	}
}

func trainingTable(b *strings.Builder, f progress.Followed) {
	t := f.Training
	if t == nil {
		b.WriteString("\nsessions: no session log was given, so nothing is known of what was done\n")
		return
	}
	b.WriteString("\n")
	if t.Partial {
		b.WriteString(partialWords(t))
	} else if len(t.Weeks) == 0 {
		b.WriteString("sessions: without a plan nothing is known of what was due\n")
	} else {
		tw := tabwriter.NewWriter(b, 0, 4, 2, ' ', 0)
		fmt.Fprintf(tw, "week\tdue\tdone\tstopped\tgate shut\tnot done\n")
		for _, w := range t.Weeks {
			fmt.Fprintf(tw, "%d\t%d\t%d\t%d\t%d\t%d\n", w.Week, w.Due, w.Done, w.Stopped, w.GateShut, w.Not)
		}
		tw.Flush() // into a string: it cannot fail
	}
	if t.Known {
		fmt.Fprintf(b, "done: %s of the last two weeks, %s of the course so far\n", t.TwoWeekShare.Percent(), t.CourseShare.Percent())
	}
	for _, d := range t.DropOuts {
		fmt.Fprintf(b, "the %s hand let go early in %d sessions of the last two weeks, the shortest after %s s\n", d.Hand, d.Sessions, d.Shortest)
	}
	if t.Strange > 0 {
		fmt.Fprintf(b, "%d rows name a session that the plan does not have\n", t.Strange)
	}
	for _, x := range f.Incidents {
		fmt.Fprintf(b, "incident: %s\n", incidentWords(x))
	}
}

func rowList(b *strings.Builder, f progress.Followed) {
	for _, l := range f.Logs {
		if l.File == "" { // readings of the diary alone
			continue
		}
		var parts []string
		for _, c := range l.Columns {
			if c.Means != "" {
				parts = append(parts, fmt.Sprintf("%s from column %d", c.Means, c.Number))
			}
		}
		fmt.Fprintf(b, "\n%s: %d rows; %s\n", l.File, l.Rows, strings.Join(parts, ", "))
		if unread := l.NotRead(); unread != "" {
			fmt.Fprintf(b, "  not read: column %s\n", unread)
		}
		for _, s := range l.Said {
			fmt.Fprintf(b, "  %s\n", s)
		}
	}
	for _, r := range f.Rows {
		fmt.Fprintf(b, "%s:%d: %s\n", r.File, r.Line, r.Problem)
	}
}
