package load

import (
	"fmt"
	"strings"

	"isocue.example/compiler/record"
)

// The columns of a pressure log, each with the headings that mean it, English and German.
var logColumns = []struct {
	means    string
	headings []string
}{
	{"at", []string{"at", "date and time", "date time", "datetime", "timestamp", "measured at", "taken at", "when", "zeitpunkt", "datum und uhrzeit"}},
	{"date", []string{"date", "day", "datum", "tag"}},
	{"time", []string{"time", "clock", "time of day", "uhrzeit", "zeit"}},
	{"systolic", []string{"systolic", "sys", "sbp", "systolic pressure", "systolic blood pressure", "upper", "top", "systolisch", "oberer wert", "oberer"}},
	{"diastolic", []string{"diastolic", "dia", "dbp", "diastolic pressure", "diastolic blood pressure", "lower", "bottom", "diastolisch", "unterer wert", "unterer"}},
	{"pressure", []string{"pressure", "blood pressure", "bp", "blutdruck", "druck"}},
	{"pulse", []string{"pulse", "hr", "heart rate", "pulse rate", "puls", "herzfrequenz"}},
	{"arm", []string{"arm", "side", "seite"}},
	{"posture", []string{"posture", "position", "haltung"}},
	{"setting", []string{"setting", "place", "ort"}},
	{"cuff", []string{"cuff"}},
	{"note", []string{"note", "notes", "comment", "comments", "remark", "remarks", "notiz", "notizen", "bemerkung", "bemerkungen"}},
	{"symptoms", []string{"symptoms", "symptom", "symptome", "beschwerden"}},
}

// logReader reads the rows of one log.
type logReader struct {
	t    *table
	span LogSpan
	out  *record.Log
	col  map[string]int
	when moments
	// beside says of each column what stands in it: "read", a part of a second reading, or "" for anything else.
	beside []string
	others []string // names in the column that says whose a row is, that are not this client's
}

func newLogReader(name string, src []byte, span LogSpan) (*logReader, error) {
	t, err := (*table)(nil), foreign(src, "the log", true)
	switch {
	case err != nil:
	case isBundle(src):
		t, err = readBundle(src, span)
	default:
		t, err = readTable(src)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return &logReader{t: t, span: span, col: map[string]int{}, when: moments{loc: span.Zone, now: span.Now},
		out: &record.Log{File: name, Said: t.said, Rows: len(t.rows)}}, nil
}

// find looks for the column of a meaning.
func (r *logReader) find(means string, headings ...string) {
	if i := r.t.column(headings...); i >= 0 {
		r.col[means] = i
	}
}

func (r *logReader) has(means string) bool { _, ok := r.col[means]; return ok }

// cell is the cell of a row under a meaning, "" where the file has no such column.
func (r *logReader) cell(row tableRow, means string) string {
	if i, ok := r.col[means]; ok {
		return row.cell(i)
	}
	return ""
}

// understood writes down what each column was taken for.
func (r *logReader) understood() {
	for i, h := range r.t.headings {
		c := record.Column{Number: i + 1}
		for means, j := range r.col {
			if i == j {
				c.Means, c.Heading = means, strings.TrimSpace(h)
			}
		}
		r.out.Columns = append(r.out.Columns, c)
	}
}

func (r *logReader) lacks(what, such string) error {
	return fmt.Errorf("%s:%d: the headings lack %s, allowed: %s; %d columns were seen", r.out.File, r.t.line, what, such, len(r.t.headings))
}

// dates settles what a date with slashes means in this file.
func (r *logReader) dates() {
	var all []string
	for _, row := range r.t.rows {
		all = append(all, r.cell(row, "at"), r.cell(row, "date"))
	}
	r.when.slashes(all)
	if r.when.slashed != "" {
		r.out.Said = append(r.out.Said, "dates are written "+r.when.slashed+", the one way in which all rows can be read")
	}
}
