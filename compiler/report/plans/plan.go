// Package plans prints plans and what became of a roster: as data, as tables, as what changed. A plan is taken as it is: no rule is
// within reach. Every view refuses to print without the plan's cautions.
package plans

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/unit"
)

// Forms are the forms of a plan that are made here; calendar and fhir make the others.
var Forms = report.Forms[*record.Plan]{{Name: "plan", Write: JSON}, {Name: "csv", Write: CSV}, {Name: "table", Write: Table}}

// JSON prints the plan as data.
func JSON(w io.Writer, p *record.Plan) error {
	if err := report.CheckCautions(p.Cautions); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := report.Indented(&b, p); err != nil {
		return err
	}
	_, err := w.Write(record.Seal(b.Bytes()))
	return err
}

// Table prints the week table for a terminal: a line a session, then what found no place, then the cautions.
func Table(w io.Writer, p *record.Plan) error {
	if err := report.CheckCautions(p.Cautions); err != nil {
		return err
	}
	tw := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	fmt.Fprintf(tw, "week\tday\ttime\tminutes\tsession\tload\tstatus\n")
	week := 0
	for _, s := range p.Sessions {
		k := p.Kinds[s.Kind]
		label := ""
		if s.Week != week {
			week, label = s.Week, fmt.Sprint(s.Week)
		}
		d := s.Start.Date()
		fmt.Fprintf(tw, "%s\t%s %s\t%s\t%s\t%s\t%s\t%s\n", label, d.Weekday().String()[:3], d, s.Start.Clock(), minutes(s.Seconds),
			report.Clean(k.Title), loads(k, s.Status), s.Status)
	}
	if err := tw.Flush(); err != nil {
		return err
	}
	others(w, p)
	for _, u := range p.Unplaced {
		fmt.Fprintln(w, report.Clean(fmt.Sprintf("no place in week %d for %s: %s; fix: %s", u.Week, u.Protocol, u.Reason, u.Fix)))
	}
	fmt.Fprintln(w)
	for _, c := range p.Cautions {
		if _, err := fmt.Fprintln(w, report.Clean(c.Text)); err != nil {
			return err
		}
	}
	return nil
}

// others lists the all-day entries, those of one kind on days in a row in one line.
func others(w io.Writer, p *record.Plan) {
	day := func(d unit.Date) string { return d.Weekday().String()[:3] + " " + d.String() }
	for i := 0; i < len(p.Others); {
		o, n := p.Others[i], 1
		for i+n < len(p.Others) && p.Others[i+n].What == o.What && p.Others[i+n].Status == o.Status && p.Others[i+n].Date == o.Date+unit.Date(n) {
			n++
		}
		span := day(o.Date)
		if n > 1 {
			span += " to " + day(o.Date+unit.Date(n-1))
		}
		status := ""
		if o.Status == record.Cancelled {
			status = " (cancelled)"
		}
		fmt.Fprintf(w, "%s: %s%s\n", span, otherWords[o.What], status)
		i += n
	}
}

// Changes tells a person what a re-compile did, a line a change.
func Changes(w io.Writer, p *record.Plan, before int, cs []record.Change) error {
	if len(cs) == 0 {
		_, err := fmt.Fprintf(w, "nothing changed; sheet %d stands\n", p.Sheet)
		return err
	}
	if n := len(cs) - 1; cs[n].What == "reworded" { // a new program's words are no new sheet
		if _, err := fmt.Fprintf(w, "%d entries say the same in other words, and count up for that\n", cs[n].Count); err != nil || n == 0 {
			return err
		}
		cs = cs[:n]
	}
	from := firstChange(cs)
	if _, err := fmt.Fprintf(w, "sheet %d, from %s; destroy sheet %d\n", p.Sheet, from, before); err != nil {
		return err
	}
	for _, c := range cs {
		what, at := report.Clean(c.Protocol), func(l unit.Local) string {
			return l.Date().Weekday().String()[:3] + " " + l.Date().String() + " " + l.Clock().String()
		}
		if c.Entry != "" {
			what, at = otherWords[c.Entry], func(l unit.Local) string { return l.Date().Weekday().String()[:3] + " " + l.Date().String() }
		} else {
			what += fmt.Sprintf(", week %d", c.Week)
		}
		when := at(c.From)
		switch {
		case c.What == "added":
			when = at(c.To)
		case c.What == "moved":
			when += " to " + at(c.To)
		}
		if _, err := fmt.Fprintf(w, "  %s: %s: %s\n", c.What, what, when); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintln(w, "an import adds and updates, it removes nothing: delete what is cancelled by hand, or import into a calendar of its own and delete that first")
	return err
}

// firstChange is the first day on which something differs.
func firstChange(cs []record.Change) (first unit.Date) {
	for _, c := range cs {
		for _, l := range []unit.Local{c.From, c.To} {
			if d := l.Date(); l != 0 && (first == 0 || d < first) {
				first = d
			}
		}
	}
	return first
}

var otherWords = map[record.OtherKind]string{
	record.Baseline: "pressure readings, morning and evening", record.Final: "pressure readings, morning and evening",
	record.Measure: "measure again", record.Check: "readings to the prescriber", record.Review: "review meeting",
}

func minutes(seconds int) string {
	if seconds%60 == 0 {
		return fmt.Sprint(seconds / 60)
	}
	return fmt.Sprintf("%d:%02d", seconds/60, seconds%60)
}

// loads prints the loads of a kind, right hand first: right 12 kgf, left 10.5 kgf. A load that may carry no number any
// more prints none.
func loads(k record.Kind, status record.Status) string {
	ds := k.Loads
	switch {
	case k.Modality.Companion():
		return companion(k)
	case len(ds) == 0:
		return "-"
	case k.NoNumber && status == record.Provisional:
		return "measure first"
	case ds[0].Modality == record.Inspiratory:
		return report.Clean(fmt.Sprintf("setting %s, %s %s", ds[0].Label, ds[0].Set, ds[0].Unit))
	case ds[0].Hand == "":
		return report.Clean(fmt.Sprintf("%s %s", ds[0].Set, ds[0].Unit))
	}
	var parts []string
	for _, h := range []record.Hand{record.Right, record.Left} {
		for _, d := range ds {
			if d.Hand == h {
				parts = append(parts, fmt.Sprintf("%s %s %s", h, d.Set, d.Unit))
			}
		}
	}
	return report.Clean(strings.Join(parts, ", "))
}

// companion prints how long and how hard a walk is, or the sets of an exercise: 30 min moderate; 2 x 12, effort 5.
func companion(k record.Kind) string {
	sets := 0
	for _, s := range k.Steps {
		switch {
		case s.Kind == record.Walk:
			return minutes(int(s.Seconds/10)) + " min " + s.Intensity
		case s.Kind == record.Exercise && s.Name == k.Steps[0].Name:
			sets++
		}
	}
	return fmt.Sprintf("%d x %d, effort %s", sets, k.Steps[0].Count, k.Steps[0].Target)
}
