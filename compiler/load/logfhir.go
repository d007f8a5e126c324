package load

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"isocue.example/compiler/record"
)

// A pressure log may be a Bundle of Observations, as HL7 FHIR release 4 has them: each blood pressure becomes a row of a table
// with our headings, and is read as a row of a CSV is.

// bundleHeadings are the columns of a Bundle's table.
var bundleHeadings = []string{"at", "systolic", "diastolic", "pulse", "arm", "note"}

// isBundle says whether a log is JSON: no CSV of ours begins with a brace.
func isBundle(src []byte) bool {
	return bytes.HasPrefix(bytes.TrimLeft(bytes.TrimPrefix(src, []byte("\xef\xbb\xbf")), " \t\r\n"), []byte("{"))
}

type bundleResource struct {
	ResourceType string `json:"resourceType"`
	Status       string `json:"status"`
	Code         bundleConcept
	Subject      struct {
		Identifier struct{ System, Value string } `json:"identifier"`
	} `json:"subject"`
	Effective string                  `json:"effectiveDateTime"`
	Instant   string                  `json:"effectiveInstant"`
	Value     *bundleQuantity         `json:"valueQuantity"`
	BodySite  bundleConcept           `json:"bodySite"`
	Note      []struct{ Text string } `json:"note"`
	Component []struct {
		Code  bundleConcept   `json:"code"`
		Value *bundleQuantity `json:"valueQuantity"`
	} `json:"component"`
}

type bundleConcept struct {
	Coding []struct{ System, Code, Display string } `json:"coding"`
	Text   string                                   `json:"text"`
}

func (c bundleConcept) is(code string) bool {
	for _, x := range c.Coding {
		if x.System == "http://loinc.org" && x.Code == code {
			return true
		}
	}
	return false
}

type bundleQuantity struct {
	Value  json.Number `json:"value"`
	System string      `json:"system"`
	Code   string      `json:"code"`
}

// in is the number where its unit is the one asked for.
func (q *bundleQuantity) in(code string) (string, error) {
	switch {
	case q == nil || q.Value == "":
		return "", errors.New("a value is missing")
	case q.Code != code || q.System != "http://unitsofmeasure.org":
		return "", fmt.Errorf("a value is not in %s of UCUM", code)
	}
	return q.Value.String(), nil
}

// readBundle makes a table of a Bundle: blood pressures, each with the pulse of the same moment. Anything else in it is not a
// reading and is counted. An observation that names another client of ours spoils the whole file.
func readBundle(src []byte, span LogSpan) (*table, error) {
	if len(src) > MaxLog {
		return nil, fmt.Errorf("the log is over %d bytes, allowed: at most that; cut it by year", MaxLog)
	}
	t := &table{headings: bundleHeadings, line: 1}
	pulse := map[string]string{}
	other := 0
	err := eachEntry(src, func(line int, raw json.RawMessage) error {
		var e struct{ Resource bundleResource }
		if err := json.Unmarshal(raw, &e); err != nil {
			return fmt.Errorf("the entry on line %d is not a resource of FHIR R4: %w", line, plainJSON(err))
		}
		r := e.Resource
		if id := r.Subject.Identifier; id.System == record.ClientSystem && span.Client != "" && id.Value != span.Client {
			return fmt.Errorf("the entry on line %d is about another client than the record, allowed: the same", line)
		}
		at := r.Effective
		if at == "" {
			at = r.Instant
		}
		if moment, err := time.Parse(time.RFC3339, at); err == nil && span.Zone != nil {
			at = moment.In(span.Zone).Format("2006-01-02T15:04:05") // an offset is how FHIR says a moment, and needs no remark
		}
		switch {
		case r.ResourceType == "Observation" && r.Code.is("8867-4") && at != "":
			if n, err := r.Value.in("/min"); err == nil && counts(r.Status) {
				pulse[at] = n
			}
		case r.ResourceType == "Observation" && (r.Code.is("85354-9") || r.Code.is("55284-4")):
			if t.rows = append(t.rows, row(line, at, r)); len(t.rows) > maxRows {
				return fmt.Errorf("the log has over %d readings, allowed: at most that; cut it by year", maxRows)
			}
		default:
			other++
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for i := range t.rows {
		if c := t.rows[i].cells; c[3] == "" {
			c[3] = pulse[c[0]]
		}
	}
	t.said = append(t.said, "the file is a Bundle of FHIR R4")
	if other > 0 {
		t.said = append(t.said, fmt.Sprintf("%d entries are no blood pressure or pulse of a moment, and were not read", other))
	}
	return t, nil
}

// counts says whether an Observation of this status counts.
func counts(status string) bool {
	return status == "final" || status == "amended" || status == "corrected"
}

// row is one blood pressure as a row; what is wrong with it is its trouble.
func row(line int, at string, r bundleResource) tableRow {
	out := tableRow{line: line, cells: make([]string, len(bundleHeadings))}
	out.cells[0] = at
	for _, n := range r.Note {
		out.cells[5] = strings.TrimSpace(out.cells[5] + " " + strings.Join(strings.Fields(n.Text), " "))
	}
	site := strings.ToLower(r.BodySite.Text)
	for _, c := range r.BodySite.Coding {
		site += " " + strings.ToLower(c.Display)
	}
	switch left, right := strings.Contains(site, "left"), strings.Contains(site, "right"); {
	case left && !right:
		out.cells[4] = "left"
	case right && !left:
		out.cells[4] = "right"
	}
	var trouble []string
	if !counts(r.Status) {
		trouble = append(trouble, "its status is not final, amended or corrected")
	}
	for i, x := range []struct{ code, unit string }{{"8480-6", "mm[Hg]"}, {"8462-4", "mm[Hg]"}, {"8867-4", "/min"}} {
		for _, c := range r.Component {
			if !c.Code.is(x.code) {
				continue
			}
			n, err := c.Value.in(x.unit)
			if err != nil && i < 2 {
				trouble = append(trouble, err.Error())
			}
			out.cells[1+i] = n
		}
	}
	out.trouble = strings.Join(trouble, ", ")
	return out
}

// maxEntries is the most entries that a Bundle may have: a pulse of its own beside each reading, and as many of other kinds.
const maxEntries = 3 * maxRows

// eachEntry calls f with the line and the bytes of each entry of a Bundle.
func eachEntry(src []byte, f func(int, json.RawMessage) error) error {
	src = bytes.TrimPrefix(src, []byte("\xef\xbb\xbf"))
	d := json.NewDecoder(bytes.NewReader(src))
	broken := func(err error) error {
		return fmt.Errorf("the log is not JSON from line %d on: %w", lineAt(src, d.InputOffset()), plainJSON(err))
	}
	if _, err := d.Token(); err != nil {
		return broken(err)
	}
	kind, entries := "", false
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return broken(err)
		}
		switch key {
		case "resourceType":
			if err := d.Decode(&kind); err != nil {
				return broken(err)
			}
		case "entry":
			if t, err := d.Token(); err != nil || t != json.Delim('[') || entries {
				return errors.New("entry is not one list, allowed: a Bundle of FHIR R4 with one list of entries")
			}
			entries = true
			line, seen := 1, int64(0) // counted on from entry to entry: from the start each time would take long
			for n := 0; d.More(); n++ {
				if n == maxEntries {
					return fmt.Errorf("the Bundle has over %d entries, allowed: at most that; cut it by year", maxEntries)
				}
				var raw json.RawMessage
				if err := d.Decode(&raw); err != nil {
					return broken(err)
				}
				at := d.InputOffset() - int64(len(raw))
				line += bytes.Count(src[seen:at], []byte("\n"))
				seen = at
				if err := f(line, raw); err != nil {
					return err
				}
			}
			if _, err := d.Token(); err != nil {
				return broken(err)
			}
		default:
			var skip json.RawMessage
			if err := d.Decode(&skip); err != nil {
				return broken(err)
			}
		}
	}
	if _, err := d.Token(); err != nil {
		return broken(err)
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("something follows the Bundle, allowed: one Bundle in a file")
	}
	if kind != "Bundle" {
		return errors.New("the log is JSON and no Bundle, allowed: CSV, or a Bundle of Observations of FHIR R4")
	}
	return nil
}

// lineAt is the line of a place in a text, 1 and up.
func lineAt(src []byte, at int64) int {
	return 1 + bytes.Count(src[:min(max(at, 0), int64(len(src)))], []byte("\n"))
}

// plainJSON is an error of the JSON reader without what it read: that may be somebody's name.
func plainJSON(err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &kind):
		return fmt.Errorf("%s is of another kind than FHIR R4 says", strings.ToLower(kind.Field))
	case errors.As(err, &syntax), errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return errors.New("a bracket, comma or quote is missing or too many")
	}
	return errors.New("it cannot be read")
}
