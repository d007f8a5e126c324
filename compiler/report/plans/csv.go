package plans

import (
	"encoding/csv"
	"fmt"
	"io"
	"regexp"

	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
)

// CSV prints the plan as a table for a spreadsheet (RFC 4180): a row a session, then a row an all-day entry, then the cautions,
// each in a row of its own. No cell begins with what a spreadsheet would run as a formula.
func CSV(w io.Writer, p *record.Plan) error {
	if err := report.CheckCautions(p.Cautions); err != nil {
		return err
	}
	c := csv.NewWriter(w)
	c.UseCRLF = true
	c.Write([]string{"date", "weekday", "start", "end", "week", "what", "load", "status", "gate", "sheet"})
	row := func(cells ...string) {
		for i := range cells {
			cells[i] = harmless(cells[i])
		}
		c.Write(cells) // an error stays in the writer until Flush
	}
	for _, s := range p.Sessions {
		k, gate := p.Kinds[s.Kind], ""
		if s.Gate && s.Status != record.Cancelled {
			gate = fmt.Sprintf("no session at %s/%s or over", p.Gate.Systolic, p.Gate.Diastolic)
		}
		d, end := s.Start.Date(), s.Until()
		row(d.String(), d.Weekday().String(), s.Start.Clock().String(), end.Clock().String(), fmt.Sprint(s.Week), report.Clean(k.Title),
			loads(k, s.Status), string(s.Status), gate, fmt.Sprint(s.Sheet))
	}
	for _, o := range p.Others {
		row(o.Date.String(), o.Date.Weekday().String(), "", "", "", otherWords[o.What], "", string(o.Status), "", fmt.Sprint(o.Sheet))
	}
	for _, x := range p.Cautions {
		row("", "", "", "", "", report.Clean(x.Text), "", "", "", "")
	}
	c.Flush()
	return c.Error()
}

// formulaStart is how a formula may begin: a sign, in the wide form of East Asian keyboards too, or spaces before one.
var formulaStart = regexp.MustCompile(`^([\s\x{a0}\x{3000}]*[=+\-@\x{ff1d}\x{ff0b}\x{ff0d}\x{ff20}\x{fe62}\x{fe63}\x{fe66}\x{fe6b}\x{2212}\t\r])`)

// harmless keeps a cell from being read as a formula. Source: the OWASP note on CSV injection; the apostrophe is what
// spreadsheets themselves put before text.
func harmless(s string) string {
	if s == "-" || !formulaStart.MatchString(s) {
		return s
	}
	return "'" + s
}
