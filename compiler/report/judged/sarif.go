package judged

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"net/url"
	"path"
	"slices"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/report"
)

// What GitHub's code scanning takes: more than that and it refuses the upload. Source: GitHub Docs, "SARIF support for
// code scanning", limits.
const (
	maxRuns    = 20     // in a file
	maxResults = 25_000 // in a run
)

// asSARIF prints a judgement in the Static Analysis Results Interchange Format, version 2.1.0 plus errata 01 (OASIS, 2023). A run
// holds what a reader may take; more findings go into further runs.
func asSARIF(w io.Writer, j Judgement) error {
	if n := len(j.Findings); n > maxRuns*maxResults {
		return fmt.Errorf("found %d findings, allowed as sarif: at most %d; judge fewer files at a time", n, maxRuns*maxResults)
	}
	cards, _ := j.cards()
	log, seen := sarifLog{Schema: sarifSchema, Version: "2.1.0"}, map[string]int{}
	files := j.files() // all in the first run, which holds the files without a finding too
	for part := range slices.Chunk(cards, maxResults) {
		log.Runs = append(log.Runs, j.run(part, files, seen))
		files = nil
	}
	if len(log.Runs) == 0 { // a run without a result says that all is well; no run says nothing
		log.Runs = []sarifRun{j.run(nil, files, seen)}
	}
	if len(log.Runs) > 1 {
		for i := range log.Runs {
			log.Runs[i].Automation = &sarifAutomation{ID: fmt.Sprintf("isocue/%d/", i+1)}
		}
	}
	return report.Indented(w, log)
}

// run is one run: its results, the rules that they name, and files beside their own.
func (j Judgement) run(cards []card, files []string, seen map[string]int) sarifRun {
	code := 0
	if j.refused() {
		code = 1
	}
	r := sarifRun{Results: []sarifResult{}, Artifacts: []sarifArtifact{}, ColumnKind: "unicodeCodePoints",
		Invocations: []sarifInvocation{{true, code, j.worth() + "; " + report.Clean(j.Policy)}}}
	r.Tool.Driver = sarifDriver{Name: "isocue", Version: j.Version, Semantic: j.Version, Rules: []sarifRule{}}
	var ids []string
	waived := false
	for _, c := range cards {
		ids, files = append(ids, c.rule), append(files, c.file)
		waived = waived || c.waived != ""
	}
	ids, files = sorted(ids), sorted(files)
	for _, f := range files {
		r.Artifacts = append(r.Artifacts, sarifArtifact{sarifPlace{URI: uri(f)}, []string{"analysisTarget"}})
	}
	for _, id := range ids {
		r.Tool.Driver.Rules = append(r.Tool.Driver.Rules, j.sarifRule(id))
	}
	for _, c := range cards {
		res := result(c, seen)
		res.RuleIndex, _ = slices.BinarySearch(ids, c.rule)
		i, _ := slices.BinarySearch(files, c.file)
		res.Locations[0].Physical.Artifact.Index = &i
		if waived { // all results of a run have the list, or none has
			res.Suppressions = &[]sarifSuppression{}
			if c.waived != "" {
				*res.Suppressions = append(*res.Suppressions, sarifSuppression{"external", "accepted", c.waived})
			}
		}
		r.Results = append(r.Results, res)
	}
	return r
}

// result is one finding. seen counts the findings that nothing but their line tells apart, over all runs.
func result(c card, seen map[string]int) sarifResult {
	key := strings.Join([]string{c.rule, c.file, c.path}, "\n")
	seen[key]++
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\n%d", key, seen[key]))
	region := &sarifRegion{StartLine: c.line, StartColumn: c.column}
	place := sarifLocation{Physical: sarifPhysical{sarifPlace{URI: uri(c.file)}, region}}
	if c.path != "" {
		place.Logical = []sarifLogical{{c.path, "property"}}
	}
	level := level(c.verdict)
	if c.refuses {
		level = "error"
	}
	return sarifResult{RuleID: c.rule, Level: level, Message: sarifText{plainMessage(c.says + "; fix: " + c.fix)}, Locations: []sarifLocation{place},
		Fingerprints: map[string]string{"rulePlace/v1": hex.EncodeToString(sum[:16])}, Properties: sarifVerdict{c.verdict}}
}

func (j Judgement) sarifRule(id string) sarifRule {
	t := j.texts(id)
	help := "fix: " + t.fix + "\nwhy: " + t.why
	if len(t.sources) > 0 {
		help += " (" + strings.Join(t.sources, ", ") + ")"
	}
	r := sarifRule{ID: id, Short: sarifText{plainMessage(t.title)}, Full: sarifText{plainMessage(t.why)}, Help: sarifText{plainMessage(help)}}
	r.Config.Level = level(t.verdict)
	r.Properties.Tags = []string{"training", t.about, string(t.verdict)}
	return r
}

func level(v finding.Verdict) string {
	if v == finding.Caution {
		return "warning"
	}
	return "error"
}

// plainMessage escapes what SARIF would read as a placeholder (section 3.11.5) and parts what it would read as a link (3.11.6).
func plainMessage(s string) string {
	return strings.NewReplacer("{", "{{", "}", "}}", "](", "] (").Replace(s)
}

// uri is a file's place as a relative reference (RFC 3986, section 4.2): every byte that a path may not hold is escaped, and a
// colon too, so that no start of a name reads as a scheme.
func uri(file string) string {
	return strings.ReplaceAll((&url.URL{Path: strings.TrimLeft(path.Clean(file), "/")}).EscapedPath(), ":", "%3A")
}
