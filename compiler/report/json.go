package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"unicode/utf8"

	"isocue.example/compiler/finding"
)

type jsonFinding struct {
	Rule      string   `json:"rule"`
	Verdict   string   `json:"verdict"`
	File      string   `json:"file"`
	Line      int      `json:"line"`
	Column    int      `json:"column"`
	Path      string   `json:"path"`
	Found     string   `json:"found"`
	Allowed   string   `json:"allowed"`
	Message   string   `json:"message"`
	Rationale string   `json:"rationale"`
	Remedy    string   `json:"remedy"`
	Sources   []string `json:"sources"`
	Waiver    string   `json:"waiver"`
}

// JSON prints findings for programs.
func JSON(w io.Writer, fs []finding.Finding) error {
	out := struct {
		Version  int           `json:"version"`
		Findings []jsonFinding `json:"findings"`
		Summary  finding.Count `json:"summary"`
		Note     string        `json:"note"`
	}{1, nil, finding.Tally(fs), NotClearance}
	if finding.Rejected(fs) {
		out.Note = "refused"
	}
	out.Findings = findingsJSON(fs)
	return Indented(w, out)
}

func findingsJSON(fs []finding.Finding) []jsonFinding {
	out := []jsonFinding{}
	for _, f := range fs {
		out = append(out, findingJSON(f))
	}
	return out
}

func findingJSON(f finding.Finding) jsonFinding {
	return jsonFinding{f.Rule, string(f.Verdict), f.Pos.File, f.Pos.Line, f.Pos.Column, f.Path, f.Found, f.Allowed, f.Message, f.Rationale, f.Remedy,
		list(f.Sources), f.Waiver}
}

// Indented writes v as JSON for programs, as every --format json does. What a terminal would obey is escaped: in JSON, such
// characters stand in texts alone.
func Indented(w io.Writer, v any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(escaped(b.Bytes()))
	return err
}

// escaped is a JSON text with the control and direction characters escaped that its encoder lets through.
func escaped(src []byte) []byte {
	obeyed := func(r rune) bool { return r != '\n' && hidden(r) }
	if !slices.ContainsFunc(src, func(b byte) bool { return b != '\n' && (b < ' ' || b > '~') }) { // nearly all of it, and fast to see
		return src
	}
	if !bytes.ContainsFunc(src, obeyed) {
		return src
	}
	var out []byte
	for _, r := range string(src) {
		if obeyed(r) {
			out = fmt.Appendf(out, `\u%04x`, r)
		} else {
			out = utf8.AppendRune(out, r)
		}
	}
	return out
}
