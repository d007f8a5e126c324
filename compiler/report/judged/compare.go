package judged

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"isocue.example/compiler/compare"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/unit"
)

// Comparison is two protocols compared, and which policy was used, in words.
type Comparison struct {
	compare.Comparison
	Policy string
}

// Comparisons are the forms of a comparison.
var Comparisons = report.Forms[Comparison]{{Name: "text", Write: compareText}, {Name: "json", Write: compareJSON}}

// compareText prints a comparison for people: the fields, the dose by weeks, the course, the findings, and what they add up to.
func compareText(w io.Writer, c Comparison) error {
	tw := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	for _, s := range []struct {
		name string
		side compare.Side
	}{{"A", c.A}, {"B", c.B}} {
		p := s.side.Protocol
		fmt.Fprintf(tw, "%s\t%s\t%s, revision %d, %s\n", s.name, report.Clean(s.side.File), p.ID, p.Revision, p.Modality)
	}
	tw.Flush()
	for _, n := range c.Notes {
		fmt.Fprintf(w, "%s\n", report.Clean(n))
	}
	if len(c.Parameters) > 0 {
		fmt.Fprintf(w, "\nfields that differ\n")
		fmt.Fprintf(tw, "  field\tA\tB\n")
		for _, p := range c.Parameters {
			fmt.Fprintf(tw, "  %s\t%s\t%s\n", report.Clean(p.Path), orDash(p.A), orDash(p.B))
		}
		tw.Flush()
	}
	for _, s := range c.Stretches {
		head := fmt.Sprintf("dose in weeks %d to %d", s.From, s.To)
		if s.From == s.To {
			head = fmt.Sprintf("dose in week %d", s.From)
		}
		switch { // past the end of the other course
		case s.From > c.A.Protocol.Weeks:
			head += ", B alone"
		case s.From > c.B.Protocol.Weeks:
			head += ", A alone"
		}
		measures(w, tw, head, s.Measures)
	}
	measures(w, tw, "course", c.Course)
	compareFindings(w, c)
	_, err := fmt.Fprintf(w, "\n%s\n", compareSummary(c))
	return err
}

// measures prints what changes as a table, and what does not on one line.
func measures(w io.Writer, tw *tabwriter.Writer, head string, ms []compare.Measure) {
	fmt.Fprintf(w, "\n%s\n", head)
	var same []string
	rows := 0
	for _, m := range ms {
		if m.Same() {
			same = append(same, strings.TrimSpace(m.Words+" "+number(m, m.A)+" "+shortUnit[m.Unit]))
			continue
		}
		if rows++; rows == 1 {
			fmt.Fprintf(tw, "  measure\tA\tB\tchange\tunit\n")
		}
		fmt.Fprintf(tw, "  %s\t%s\t%s\t%s\t%s\n", m.Words, number(m, m.A), number(m, m.B), change(m), m.Unit)
	}
	tw.Flush()
	if len(same) > 0 {
		fmt.Fprintf(w, "  the same: %s\n", strings.Join(same, "; "))
	}
}

func orDash(s *string) string {
	if s == nil {
		return "-"
	}
	return report.Clean(*s)
}

// shortUnit is what stands behind a number on one line; the other units are said by the words before it.
var shortUnit = map[string]string{"s": "s", "min": "min", "breaths a minute": "a minute", "share x s": "share x s"}

// number prints a measure with at most three decimals, a load that is a share with at least two, as protocols write it: 0.30.
func number(m compare.Measure, d *unit.Dec) string {
	if d == nil {
		return "-"
	}
	s := d.Text(3)
	if whole, part, _ := strings.Cut(s, "."); strings.HasPrefix(m.Unit, "share of") && len(part) < 2 {
		s = whole + "." + (part + "00")[:2]
	}
	return s
}

// change is the way from A to B: the difference, and its share of A where A is not 0.
func change(m compare.Measure) string {
	switch {
	case m.Same():
		return "same"
	case m.A == nil || m.B == nil:
		return "-"
	}
	d := m.B.Sub(*m.A)
	s := signed(d, 3)
	if !m.A.IsZero() {
		s += " (" + signed(d.Quo(*m.A).Mul(unit.Int(100)), 1) + " %)"
	}
	return s
}

func signed(d unit.Dec, places int) string {
	if d.Sign() > 0 {
		return "+" + d.Text(places)
	}
	return d.Text(places)
}

func compareFindings(w io.Writer, c Comparison) {
	fmt.Fprintf(w, "\nfindings\n")
	if len(c.Appear)+len(c.Vanish)+len(c.Stay) == 0 {
		fmt.Fprintf(w, "  none in either\n")
	}
	for _, f := range c.Appear {
		fmt.Fprintf(w, "  appears   %s\n", oneLine(f))
	}
	for _, f := range c.Vanish {
		fmt.Fprintf(w, "  vanishes  %s\n", oneLine(f))
	}
	for _, p := range c.Stay {
		if p.Changed() {
			fmt.Fprintf(w, "  stays     %s\n    before  %s\n", oneLine(p.B), oneLine(p.A))
		} else {
			fmt.Fprintf(w, "  stays     %s\n", oneLine(p.B))
		}
	}
}

func oneLine(f finding.Finding) string {
	s := fmt.Sprintf("%s: %s: %s [%s]", f.Pos, f.Verdict, f.Message, f.Rule)
	if f.Waiver.Signed() {
		s += ", waived by " + f.Waiver.String()
	}
	return report.Clean(s)
}

// compareSummary counts what differs, and says of each side what lint would: both may be refused, or neither.
func compareSummary(c Comparison) string {
	var clean, refused []string
	for _, s := range []struct {
		name string
		fs   []finding.Finding
	}{{"A", c.A.Findings}, {"B", c.B.Findings}} {
		if finding.Rejected(s.fs) {
			refused = append(refused, s.name)
		} else {
			clean = append(clean, s.name)
		}
	}
	parts := []string{fmt.Sprintf("%d %s, %d %s, %d %s", len(c.Parameters), report.Plural(len(c.Parameters), "field differs", "fields differ"),
		len(c.Appear), report.Plural(len(c.Appear), "finding appears", "findings appear"), len(c.Vanish), report.Plural(len(c.Vanish), "vanishes", "vanish"))}
	if len(refused) > 0 {
		parts = append(parts, "refused: "+strings.Join(refused, " and "))
	}
	if len(clean) > 0 {
		parts = append(parts, "no rule refused "+strings.Join(clean, " or ")+"; it is not a medical clearance")
	}
	return strings.Join(append(parts, report.Clean(c.Policy)), "; ")
}

type jsonSide struct {
	File     string          `json:"file"`
	ID       string          `json:"id"`
	Revision int             `json:"revision"`
	Modality record.Modality `json:"modality"`
	Refused  bool            `json:"refused"`
}

func sideJSON(s compare.Side) jsonSide {
	return jsonSide{s.File, s.Protocol.ID, s.Protocol.Revision, s.Protocol.Modality, finding.Rejected(s.Findings)}
}

type jsonStretch struct {
	From     int               `json:"fromWeek"`
	To       int               `json:"toWeek"`
	Measures []compare.Measure `json:"measures"`
}

type jsonPair struct {
	A jsonFinding `json:"a"`
	B jsonFinding `json:"b"`
}

func compareJSON(w io.Writer, c Comparison) error {
	out := struct {
		Version    int                 `json:"version"`
		A          jsonSide            `json:"a"`
		B          jsonSide            `json:"b"`
		Parameters []compare.Parameter `json:"parameters"`
		Dose       []jsonStretch       `json:"dose"`
		Course     []compare.Measure   `json:"course"`
		Findings   struct {
			Appear []jsonFinding `json:"appear"`
			Vanish []jsonFinding `json:"vanish"`
			Stay   []jsonPair    `json:"stay"`
		} `json:"findings"`
		Notes []string `json:"notes"`
		Note  string   `json:"note"`
	}{Version: 1, A: sideJSON(c.A), B: sideJSON(c.B), Parameters: list(c.Parameters), Dose: []jsonStretch{}, Course: c.Course, Notes: list(c.Notes), Note: NotClearance}
	for _, s := range c.Stretches {
		out.Dose = append(out.Dose, jsonStretch(s))
	}
	out.Findings.Appear, out.Findings.Vanish, out.Findings.Stay = findingsJSON(c.Appear), findingsJSON(c.Vanish), []jsonPair{}
	for _, p := range c.Stay {
		out.Findings.Stay = append(out.Findings.Stay, jsonPair{findingJSON(p.A), findingJSON(p.B)})
	}
	if out.B.Refused {
		out.Note = "B is refused"
	}
	return report.Indented(w, out)
}

// list is a list that programs read: an empty one, never null.
func list[T any](xs []T) []T {
	if xs == nil {
		return []T{}
	}
	return xs
}
