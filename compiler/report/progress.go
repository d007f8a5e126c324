package report

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/unit"
)

// Command is how to go on, for a shell, and what to know before it is run.
type Command struct {
	Run  string `json:"run,omitempty"`
	Note string `json:"note,omitempty"`
}

// Progress prints a follow-up for the coach. It holds readings and no name.
func Progress(w io.Writer, f progress.Followed, ways []Command) error {
	if err := checkCautions(f.Cautions); err != nil {
		return err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s, followed on %s %s (%s)\n", f.Client, f.At.Date(), f.At.Clock(), f.Zone)
	fmt.Fprintf(&b, "verdict: %s\n", f.Verdict)
	for _, s := range f.Because {
		fmt.Fprintf(&b, "  %s\n", s)
	}
	windowTable(&b, f)
	for _, s := range ChangeWords(f) {
		fmt.Fprintf(&b, "  %s\n", s)
	}
	tellList(&b, f)
	trainingTable(&b, f)
	rowList(&b, f)
	fmt.Fprintf(&b, "\nnext: %s; %s\n", f.Next.Step, f.Next.Why)
	for _, s := range NextWords(f) {
		fmt.Fprintf(&b, "  %s\n", s)
	}
	for _, c := range ways {
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

// cleanLines is Clean that keeps line ends.
func cleanLines(s string) string {
	ls := strings.Split(s, "\n")
	for i := range ls {
		ls[i] = Clean(ls[i])
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

// leftWords says which readings stand in no window, and why.
func leftWords(f progress.Followed) string {
	var parts []string
	for _, x := range []struct {
		n   int
		why string
	}{{f.Left.FirstDay, "of a window's first day, which runs high"}, {f.Left.OtherArm, "of the other arm"}, {f.Left.AfterSession, "soon after a session"},
		{f.Left.Clinic, "taken in the clinic"}, {f.Left.Standing, "taken standing"}} {
		if x.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", x.n, x.why))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "left out of the means: " + strings.Join(parts, ", ")
}

// ChangeWords says what the change is and what it is not, a sentence each.
func ChangeWords(f progress.Followed) (out []string) {
	c := f.Change
	if c == nil {
		return nil
	}
	var other []string
	for _, o := range c.Other {
		other = append(other, fmt.Sprintf("%s with %s each", o.MmHg.Text(1), weeks(o.Weeks)))
	}
	out = append(out,
		fmt.Sprintf("change: %s systolic (%s to %s), %s diastolic", plusMinus(c.Systolic), plusMinus(c.Low), plusMinus(c.High), plusMinus(c.Diastolic)),
		fmt.Sprintf("two means of one person, of %s each, lie up to %s mmHg apart by themselves in 95 of 100 comparisons (%s)", weeks(f.Weeks), c.Limit.Text(1), strings.Join(other, ", ")))
	if c.Noise != nil {
		out = append(out, fmt.Sprintf("noise inside these weeks: %s to %s; it tells nothing about other weeks", plusMinus(c.Noise.Low), plusMinus(c.Noise.High)))
	}
	if s := SelectionWords(f); s != "" {
		out = append(out, s)
	}
	return append(out, "what caused a change cannot be told from readings")
}

// SelectionWords says how far a baseline that was chosen for being high falls by itself, with both assumptions.
func SelectionWords(f progress.Followed) string {
	if f.Change == nil || f.Change.Selected == nil {
		return ""
	}
	return fmt.Sprintf("if the baseline was chosen because it was high, about %s could come from that choice alone (assumed: a usual mean of %s; in one cohort %s of the distance to it remained over %d months)",
		mmHg(*f.Change.Selected), f.Figures.AssumedMean, f.Figures.Remains, f.Figures.RemainsMonths)
}

func weeks(n int) string {
	if n == 1 {
		return "1 week"
	}
	return fmt.Sprintf("%d weeks", n)
}

func tellList(b *strings.Builder, f progress.Followed) {
	b.WriteString("\n")
	if len(f.Tells) == 0 {
		b.WriteString("tell: nobody; no rule about a log found anything\n")
		return
	}
	b.WriteString("tell\n")
	for _, t := range f.Tells {
		fmt.Fprintf(b, "  %s, %s: %s [%s]\n    do: %s\n", t.HowSoon, t.Who, TellWords(t), t.Rule, t.Do)
	}
	if c := f.Closing(); c != nil {
		fmt.Fprintf(b, "training is closed; this entry closes it without the log too, and a clearance of a later day opens it:\n  %s\n", ConditionEntry(c.On))
	}
}

// TellWords is why somebody is told, with how often it was found.
func TellWords(t progress.Tell) string {
	if t.Times > 1 {
		return fmt.Sprintf("%s (%d times, this is the newest)", t.Why, t.Times)
	}
	return t.Why
}

// ConditionEntry is the entry of a client record that closes training since a day.
func ConditionEntry(since unit.Date) string {
	return fmt.Sprintf("conditions: [{code: alert-in-log, since: %s}]", since)
}

func trainingTable(b *strings.Builder, f progress.Followed) {
	t := f.Training
	if t == nil {
		b.WriteString("\nsessions: no session log was given, so nothing is known of what was done\n")
		return
	}
	b.WriteString("\n")
	if len(t.Weeks) == 0 {
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
		fmt.Fprintf(b, "incident: %s\n", IncidentWords(x))
	}
}

// IncidentWords is an incident on one line: day, what, session, load, who was told.
func IncidentWords(x progress.Incident) string {
	load, told := "", "nobody is named as told"
	if x.Load != "" {
		load = ", " + x.Load
	}
	if x.Told != "" {
		told = "told: " + x.Told
	}
	return fmt.Sprintf("%s %s, %s%s; %s", x.At.Date(), x.What, x.Session, load, told)
}

func rowList(b *strings.Builder, f progress.Followed) {
	for _, l := range f.Logs {
		var parts, unread []string
		for _, c := range l.Columns {
			switch {
			case c.Means == "":
				unread = append(unread, fmt.Sprint(c.Number))
			default:
				parts = append(parts, fmt.Sprintf("%s from column %d", c.Means, c.Number))
			}
		}
		fmt.Fprintf(b, "\n%s: %d rows; %s\n", l.File, l.Rows, strings.Join(parts, ", "))
		if len(unread) > 0 {
			fmt.Fprintf(b, "  not read: column %s\n", strings.Join(unread, ", "))
		}
		for _, s := range l.Said {
			fmt.Fprintf(b, "  %s\n", s)
		}
	}
	for _, r := range f.Rows {
		fmt.Fprintf(b, "%s:%d: %s\n", r.File, r.Line, r.Problem)
	}
}

// NextWords says what to know about the next step.
func NextWords(f progress.Followed) (out []string) {
	if f.Next.Newer {
		out = append(out, "the record has a newer measurement than the loads of the plan: compile again")
	}
	if l := f.Next.Back; l != nil {
		switch {
		case l.Set.IsZero():
			out = append(out, fmt.Sprintf("the %s hand lets go early, after %s s at the shortest", l.Hand, l.Held))
		case l.Load.IsZero():
			out = append(out, fmt.Sprintf("the %s hand lets go early, after %s s at the shortest; at %s %s its gauge has no lower step: the gauge is too coarse", l.Hand, l.Held, l.Set, l.Unit))
		default:
			out = append(out, fmt.Sprintf("the %s hand lets go early, after %s s at the shortest: set it from %s to %s %s (%s) for two weeks, and leave the other hand as it is", l.Hand, l.Held, l.Set, l.Load, l.Unit, l.Share.Percent()))
		}
	}
	return out
}
