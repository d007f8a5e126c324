package judged

import (
	"io"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/report"
)

type jsonFinding struct {
	Rule      string          `json:"rule"`
	Verdict   string          `json:"verdict"`
	File      string          `json:"file"`
	Line      int             `json:"line"`
	Column    int             `json:"column"`
	Path      string          `json:"path"`
	Found     string          `json:"found"`
	Allowed   string          `json:"allowed"`
	Message   string          `json:"message"`
	Rationale string          `json:"rationale"`
	Remedy    string          `json:"remedy"`
	Sources   []string        `json:"sources"`
	Waiver    *finding.Waiver `json:"waiver"` // null where nobody accepted it
}

// asJSON prints findings for programs.
func asJSON(w io.Writer, j Judgement) error {
	out := struct {
		Version  int             `json:"version"`
		Findings []jsonFinding   `json:"findings"`
		Summary  finding.Count   `json:"summary"`
		Looked   int             `json:"looked"`
		Passed   []report.Passed `json:"passedOver"`
		Note     string          `json:"note"`
	}{1, nil, finding.Tally(j.Findings), j.Looked, report.PassedJSON(j.Passed), worth(j.Findings, finding.Rejected(j.Findings))}
	out.Findings = findingsJSON(j.Findings)
	return report.Indented(w, out)
}

func findingsJSON(fs []finding.Finding) []jsonFinding {
	out := []jsonFinding{}
	for _, f := range fs {
		out = append(out, findingJSON(f))
	}
	return out
}

func findingJSON(f finding.Finding) jsonFinding {
	var waiver *finding.Waiver
	if f.Waiver.Signed() {
		waiver = &f.Waiver
	}
	return jsonFinding{f.Rule, string(f.Verdict), f.Pos.File, f.Pos.Line, f.Pos.Column, f.Path, f.Found, f.Allowed, f.Message, f.Rationale, f.Remedy,
		list(f.Sources), waiver}
}
