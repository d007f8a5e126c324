package load

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
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
	ID           string                  `json:"id"`
	Modifier     []any                   `json:"modifierExtension"`
	Subject      bundleSubject           `json:"subject"`
	Effective    string                  `json:"effectiveDateTime"`
	Instant      string                  `json:"effectiveInstant"`
	Value        *bundleQuantity         `json:"valueQuantity"`
	BodySite     bundleConcept           `json:"bodySite"`
	Note         []struct{ Text string } `json:"note"`
	Component    []struct {
		Code  bundleConcept   `json:"code"`
		Value *bundleQuantity `json:"valueQuantity"`
	} `json:"component"`
}

type bundleSubject struct {
	Reference  string                         `json:"reference"`
	Identifier struct{ System, Value string } `json:"identifier"`
}

type bundleConcept struct {
	Coding []struct{ System, Code, Display string } `json:"coding"`
	Text   string                                   `json:"text"`
}

func (c bundleConcept) is(code string) bool {
	for _, x := range c.Coding {
		if x.System == record.LOINC && x.Code == code {
			return true
		}
	}
	return false
}

type bundleQuantity struct {
	Value      json.Number `json:"value"`
	Comparator string      `json:"comparator"`
	System     string      `json:"system"`
	Code       string      `json:"code"`
}

// in is the number where its unit is the one asked for. Beside an error stands what the number may be all the same, so that a severe
// one of a row that cannot be used is told; "" where nothing is known of it.
func (q *bundleQuantity) in(code string) (string, error) {
	switch {
	case q == nil || q.Value == "":
		return "", errors.New("a value is missing")
	case q.Code == "kPa" && q.System == record.UCUM:
		return q.millimetres(), fmt.Errorf("a value is in kPa, allowed: %s of UCUM", code)
	case q.Code == "":
		return q.Value.String(), fmt.Errorf("a value has no code of UCUM for its unit, allowed: %s", code)
	case q.Code != code || q.System != record.UCUM:
		return q.Value.String(), fmt.Errorf("a value is in another unit, allowed: %s of UCUM", code)
	case q.Comparator != "":
		return q.Value.String(), errors.New("a value is a bound, over or under what was measured")
	}
	return q.Value.String(), nil
}

// millimetres is a value in kilopascal as whole millimetres of mercury, rounded up.
func (q *bundleQuantity) millimetres() string {
	v, err := unit.ParseDec(q.Value.String())
	if err != nil {
		return ""
	}
	p, err := unit.NewPressure(v, unit.Kilopascal)
	if err != nil {
		return ""
	}
	return p.In(unit.MillimetreMercury).Ceil(unit.Int(1)).String()
}

// readBundle makes a table of a Bundle: blood pressures, each with the pulse of the same moment. Anything else in it is not a
// reading and is counted. An observation that names another client of ours, or another person than those before, spoils the whole file.
func readBundle(src []byte, span LogSpan) (*table, error) {
	if len(src) > MaxLog {
		return nil, fmt.Errorf("the log is over %d bytes, allowed: at most that; cut it by year", MaxLog)
	}
	t := &table{}
	t.setHeadings(bundleHeadings, 1)
	pulse := map[string]string{}
	other := 0
	var once bundleOnce
	more, named := false, true
	err := eachEntry(src, func(line int, raw json.RawMessage) error {
		var e struct {
			FullURL  string `json:"fullUrl"`
			Resource bundleResource
		}
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
		key := cmp.Or(e.FullURL, r.ID)
		if moment, err := time.Parse(time.RFC3339, at); err == nil && span.Zone != nil {
			at = moment.In(span.Zone).Format("2006-01-02T15:04:05") // an offset is how FHIR says a moment, and needs no remark
		}
		switch {
		case r.ResourceType == "Observation" && r.Code.is("8867-4") && at != "":
			if err := once.about(r.Subject, line); err != nil {
				return err
			}
			if n, err := r.Value.in("/min"); err == nil && counts(r.Status) {
				pulse[at] = n
			}
		case r.ResourceType == "Observation" && (r.Code.is("85354-9") || r.Code.is("55284-4")):
			if err := once.about(r.Subject, line); err != nil {
				return err
			}
			named = named && r.Subject.Identifier.System == record.ClientSystem
			x := row(line, at, r)
			if err := once.version(key, x); err != nil {
				return err
			}
			if t.rows = append(t.rows, x); len(t.rows) > maxRows {
				return fmt.Errorf("the log has over %d readings, allowed: at most that; cut it by year", maxRows)
			}
		default:
			other++
		}
		return nil
	}, func() { more = true })
	if err != nil {
		return nil, err
	}
	for i := range t.rows {
		if c := t.rows[i].cells; c[3] == "" {
			c[3] = pulse[c[0]]
		}
	}
	t.said = append(t.said, "the file is a Bundle of FHIR R4")
	if !named {
		t.said = append(t.said, "a reading in it does not name the client by the record's id: make sure that all are this client's own")
	}
	if more {
		t.said = append(t.said, "it is one page of several: ask the server for the others too")
	}
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
	var trouble []string
	if !counts(r.Status) {
		trouble = append(trouble, "its status is not final, amended or corrected")
	}
	if len(r.Modifier) > 0 {
		trouble = append(trouble, "it has a modifierExtension, which may change what it means")
	}
	arm, err := r.BodySite.arm()
	if err != nil {
		trouble = append(trouble, err.Error())
	}
	out.cells[4] = arm
	for i, x := range []struct{ code, unit string }{{"8480-6", "mm[Hg]"}, {"8462-4", "mm[Hg]"}, {"8867-4", "/min"}} {
		times := 0
		for _, c := range r.Component {
			if !c.Code.is(x.code) {
				continue
			}
			if times++; times > 1 {
				trouble = append(trouble, "a component stands in it twice")
				break
			}
			n, err := c.Value.in(x.unit)
			if err == nil || i < 2 { // a pressure stays all the same, so that a severe one is told
				out.cells[1+i] = n
			}
			if err != nil && i < 2 && !slices.Contains(trouble, err.Error()) {
				trouble = append(trouble, err.Error())
			}
		}
	}
	out.trouble = strings.Join(trouble, ", ")
	return out
}
