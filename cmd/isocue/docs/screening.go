package docs

import (
	"bytes"
	"fmt"
	"os"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
)

// measured is what was answered to the cases, counted by a test of compiler, which holds the file to the program.
const measured = "../../../testdata/cases/measured.md"

// cases prints how many cases are answered right, by modality, and names each that is not.
func cases(w *bytes.Buffer) error {
	b, err := os.ReadFile(measured)
	if err != nil {
		return err
	}
	w.WriteString(`
## What is answered to people

The made-up people of [the cases](../testdata/cases/README.md), whose expected answers were written before the rules. *Too lax* lets in who
should not be; *too strict* closes what should be open, also by asking for a clearance that nobody needs. *Closed otherwise* is shut where
a clearance was expected, or the other way round; *unread* is a record whose words are not known yet.

`)
	w.Write(b)
	return nil
}

// screening prints what a yes does to each step of strain, with the sources of each cell.
func screening(w *bytes.Buffer, b *rule.Base) {
	w.WriteString("\n## Steps of strain\n\n| step | who |\n|---|---|\n")
	for _, s := range record.Strains {
		fmt.Fprintf(w, "| %s | %s |\n", s, b.Steps[s].Says)
	}
	l := b.Light
	fmt.Fprintf(w, "\nA walk is light where its first week is at most %d minutes a day above a level asked within %d days, or %d minutes a day where no level is known, "+
		"and no stage rises by more than %d minutes a day.\n\n## Screening\n\nWhat a yes does to each step. A cell without a source is judgement: no list that was read is about that step.\n\n"+
		"| question | what a yes does |\n|---|---|\n", l.Above, l.LevelDays, l.Unknown, l.Rise)
	for _, q := range b.Questions() {
		var cells []string
		for _, s := range record.Strains {
			e := q.Effect(s)
			if e == "none" {
				continue
			}
			if n := q.OpensAfter[s]; n > 0 {
				e += fmt.Sprintf(" after %d days", n)
			}
			if n := q.FreeAfter[s]; n > 0 {
				e += fmt.Sprintf(" for %d days", n)
			}
			if by := b.Cell(q, s); by[0] != "judgement" {
				e += " (" + marked(b, by) + ")"
			}
			cells = append(cells, fmt.Sprintf("%s: %s", s, e))
		}
		fmt.Fprintf(w, "| `%s`: %s | %s |\n", q.ID, cell(q.Asks), strings.Join(cells, "; "))
	}
	for _, q := range b.Stops() {
		fmt.Fprintf(w, "| `%s`: not asked; %s | clears, for every step (%s) |\n", q.ID, cell(q.Says), marked(b, q.Sources))
	}
}
