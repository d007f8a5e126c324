package rule

import (
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// GapRow is what a course goes on with after a gap; From and AfterIllness are days, 0 for none.
type GapRow struct {
	Modality           record.Modality
	From, AfterIllness int
	Measure, Own       bool
	Step, Without      string // "none" for as it was
	WithoutWeeks       int
	Why                string
}

// SquatLower is by how much a squat is lighter where no step test has a straighter stage.
type SquatLower struct{ Degrees, Effort unit.Dec }

func (b *Base) readGaps(n *tree.Node) {
	b.SteadyDays = n.Get("steadyDays").Whole()
	for _, e := range n.Get("easings").Items() {
		b.Easings = append(b.Easings, GapRow{Modality: record.Modality(e.Get("modality").Text()), Step: e.Get("step").Text(), Without: e.Get("without").Text(), WithoutWeeks: 1, Why: e.Get("why").Text()})
	}
	b.gaps, b.longGap = n.Get("gaps").Items(), n.Get("longGapDays").Whole()
	l := n.Get("squatLower")
	b.SquatLower = SquatLower{l.Get("degrees").Number(), l.Get("effort").Number()}
}

// Gaps is the table of gaps under the limits of this base, which a clinic may have tightened.
func (b *Base) Gaps() (out []GapRow) {
	days := func(n *tree.Node) int {
		switch n.Text() {
		case "lighter":
			return b.Limit("pause-lighter", "below").WholeUp()
		case "measure":
			return b.Limit("pause-measure", "below").WholeUp()
		case "long":
			return b.longGap
		}
		return 0
	}
	for _, g := range b.gaps {
		out = append(out, GapRow{Modality: record.Modality(g.Get("modality").Text()), From: days(g.Get("from")), AfterIllness: days(g.Get("afterIllness")),
			Measure: yes(g, "measure"), Own: g.Get("forWeeks").Text() == "own", Step: g.Get("step").Text(), Without: g.Get("without").Text(),
			WithoutWeeks: g.Get("withoutWeeks").Whole(), Why: g.Get("why").Text()})
	}
	return out
}
