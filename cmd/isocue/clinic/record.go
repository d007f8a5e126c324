package clinic

import (
	"maps"
	"slices"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/ledger"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report"
)

// write appends what was found in each file judged.
func (r Record) write(base string, judged map[string]*load.File, fs []finding.Finding, now time.Time) error {
	var lines []ledger.Line
	for _, n := range slices.Sorted(maps.Keys(judged)) {
		f := judged[n]
		head := ledger.Line{Time: now.UTC().Format(time.RFC3339), File: report.Clean(n), Digest: f.Digest, Base: base, By: report.Clean(r.By)}
		if len(f.Protocols) == 1 {
			head.Protocol, head.Revision = f.Protocols[0].Record.ID, f.Protocols[0].Record.Revision
		}
		switch {
		case f.Client != nil:
			head.Client = f.Client.Record.ID
		case f.Plan != nil:
			head.Client = f.Plan.Record.Client
		}
		var mine []finding.Finding
		for _, x := range fs {
			if x.Pos.File == n {
				mine = append(mine, x)
			}
		}
		lines = append(lines, ledger.Of(head, mine)...)
	}
	_, err := ledger.Append(r.File, lines)
	return err
}
