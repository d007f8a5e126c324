package clinic

import (
	"maps"
	"slices"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/ledger"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report"
	"isocue.example/compiler/rule"
)

// record appends what was found in each file judged, and by which rules: a line for each protocol of a file, where nothing refused it.
func (j *Judging) record(r Record, judged map[string]*load.File) error {
	rules, err := rule.Digest()
	if err != nil {
		return err
	}
	var lines []ledger.Line
	for _, n := range slices.Sorted(maps.Keys(judged)) {
		f := judged[n]
		head := ledger.Line{Time: j.Now.UTC().Format(time.RFC3339), File: report.Clean(n), Digest: f.Digest, Base: j.Under.Check.Base.Version, Rules: rules,
			Policy: j.policyDigest, By: report.Clean(r.By)}
		switch {
		case f.Client != nil:
			head.Client = f.Client.Record.ID
		case f.Plan != nil:
			head.Client = f.Plan.Record.Client
		}
		var mine []finding.Finding
		for _, x := range j.Found {
			if x.Pos.File == n {
				mine = append(mine, x)
			}
		}
		if head.Client != "" || len(f.Protocols) == 0 {
			lines = append(lines, ledger.Of(head, mine)...)
			continue
		}
		first := true // what is about the file itself is told with its first protocol
		for _, p := range f.Protocols {
			of, about := head, mine
			of.Protocol, of.Revision, of.Content = p.Record.ID, p.Record.Revision, content(p.Node)
			if len(f.Protocols) > 1 {
				about = slices.DeleteFunc(slices.Clone(mine), func(x finding.Finding) bool { return x.Protocol != of.Protocol && (x.Protocol != "" || !first) })
			}
			lines, first = append(lines, ledger.Of(of, about)...), false
		}
	}
	_, err = ledger.Append(r.File, r.By, lines)
	return err
}
