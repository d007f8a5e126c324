package followup

import (
	"fmt"
	"io"
	"strings"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/report"
)

// lastMost is how many clients are named for one act behind a roster; the list of all is that of today.
const lastMost = 20

// Last prints what is left to do after a roster: whom to ring first, whom to hand which sheet, and whose course is over.
func Last(w io.Writer, d Day) error {
	var b strings.Builder
	lines := func(label string, of func(Attended) string) {
		n := 0
		for _, s := range d.Clients {
			said := of(s)
			if said == "" {
				continue
			}
			if n++; n <= lastMost {
				fmt.Fprintf(&b, "%s: %s: %s\n", label, s.Name(), said)
			}
		}
		if n > lastMost {
			fmt.Fprintf(&b, "%s: %d more %s, whom isocue today names\n", label, n-lastMost, report.Plural(n-lastMost, "client", "clients"))
		}
	}
	of := func(s Attended, n progress.Need) string {
		for _, m := range s.Matters {
			if m.Need == n {
				return strings.TrimSpace(report.Sentence(m.Says) + " " + report.Sentence(s.Act(m)))
			}
		}
		return ""
	}
	lines("ring", func(s Attended) string {
		if !s.Matters[0].Need.Rings() {
			return ""
		}
		return s.Line()
	})
	lines("hand out", func(s Attended) string { return of(s, progress.HandOut) })
	lines("over", func(s Attended) string { return of(s, progress.Over) })
	_, err := io.WriteString(w, b.String())
	return err
}
