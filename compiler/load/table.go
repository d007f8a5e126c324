package load

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/record"
)

// MaxLog is the largest log in bytes that is read, maxRows the most rows that it may have.
const MaxLog, maxRows = bound.Log, bound.LogRows

// tooLong is what a log is that nobody should have to wait for.
func tooLong(of string, most int) error {
	return &bound.Over{What: "the log has", Has: most, AtLeast: true, Of: of, Most: most, Then: "cut it by year"}
}

// table is a file of rows with one heading a column. A row is one line: a quote that is not closed on its line spoils that
// row alone, and never swallows the ones below it.
type table struct {
	headings []string // as written
	plain    []string // the same without case, unit and marks
	line     int      // of the headings
	rows     []tableRow
	said     []string
}

type tableRow struct {
	line    int
	cells   []string
	surplus string      // what stands behind the last heading
	trouble string      // the line cannot be taken apart
	held    record.Held // what stands in it beside its cells
	words   bool        // it has a note alone
	kept    bool        // it is no reading that was lost: something beside one
}

// cell is the i-th cell of a row without space around it, "" where the row is too short or there is no such column.
func (r tableRow) cell(i int) string {
	if i < 0 || i >= len(r.cells) {
		return ""
	}
	return strings.TrimSpace(r.cells[i])
}

// readTable takes a text apart: separated by commas, semicolons or tabs, whichever the headings have most of.
func readTable(src []byte) (*table, error) {
	t := &table{}
	if len(src) > MaxLog {
		return nil, tooLong("bytes", MaxLog)
	}
	if rest, ok := bytes.CutPrefix(src, []byte("\xef\xbb\xbf")); ok {
		src = rest
		t.said = append(t.said, "the file begins with a byte order mark, which is left out")
	}
	if bytes.IndexByte(src, 0) >= 0 {
		return nil, errors.New("the log is not text in UTF-8, allowed: CSV saved as UTF-8")
	}
	text := string(src)
	if !utf8.ValidString(text) {
		text = strings.ToValidUTF8(text, "?")
		t.said = append(t.said, "the file is not all UTF-8; what could not be read stands as ?")
	}
	text = plainEnds(text)
	if head, _, _ := strings.Cut(text, "\n"); strings.ContainsAny(head, otherEnds) { // the whole file ends its lines so
		text = strings.NewReplacer("\v", "\n", "\f", "\n", "\u0085", "\n", "\u2028", "\n", "\u2029", "\n").Replace(text)
	}
	comma := ','
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if strings.Trim(line, " \t,;\"") == "" {
			continue
		}
		if t.line == 0 {
			switch comma = separator(line); comma {
			case ';':
				t.said = append(t.said, "columns are separated by semicolons, so a comma in a number is a decimal comma")
			case '\t':
				t.said = append(t.said, "columns are separated by tabs")
			}
		}
		cells, err := splitRow(line, comma)
		if err == nil && t.line > 0 && len(cells) > len(t.headings) && strings.ContainsAny(line, otherEnds) { // two lines that an odd mark joins
			for _, part := range strings.FieldsFunc(line, func(c rune) bool { return strings.ContainsRune(otherEnds, c) }) {
				cells, err := splitRow(part, comma)
				if over := t.add(i+1, cells, err); over != nil {
					return nil, over
				}
			}
			continue
		}
		if t.line == 0 {
			if err != nil {
				return nil, fmt.Errorf("the headings on line %d cannot be taken apart: %s", i+1, err)
			}
			if len(cells) > mostColumns {
				return nil, fmt.Errorf("line %d has %d headings, allowed: at most %d", i+1, len(cells), mostColumns)
			}
			t.setHeadings(cells, i+1)
			continue
		}
		if err != nil {
			if said, ok := overLines(lines[i:], comma); ok {
				t.rows = append(t.rows, tableRow{line: i + 1, cells: said, words: true})
			}
		}
		if over := t.add(i+1, cells, err); over != nil {
			return nil, over
		}
	}
	if t.line == 0 {
		return nil, errors.New("the log is empty, allowed: a row of headings and a row for each entry")
	}
	return t, nil
}

// add keeps what a line was taken apart into; with an error, that is its trouble.
func (t *table) add(line int, cells []string, err error) error {
	r := tableRow{line: line, cells: cells}
	if err != nil {
		r.trouble = err.Error()
	}
	if t.rows = append(t.rows, r); len(t.rows) > maxRows {
		return tooLong("rows", maxRows)
	}
	return nil
}

// otherEnds are marks at which some programs end a line: a vertical tab, a form feed, and the ends of a line and a paragraph in Unicode.
const otherEnds = "\v\f\u0085\u2028\u2029"

// separator is what the headings of a table are separated by: commas, semicolons or tabs, whichever there are most of.
func separator(headings string) rune {
	comma := ','
	for _, c := range []rune{';', '\t'} {
		if strings.Count(headings, string(c)) > strings.Count(headings, string(comma)) {
			comma = c
		}
	}
	return comma
}

// plainEnds ends every line as Unix does.
func plainEnds(text string) string {
	return strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
}

// splitRow takes a line apart; beside the error stand its cells as far as commas tell them.
func splitRow(line string, comma rune) ([]string, error) {
	r := csv.NewReader(strings.NewReader(line))
	r.Comma, r.FieldsPerRecord = comma, -1
	cells, err := r.Read()
	if err != nil {
		return strings.Split(line, string(comma)), errors.New("a quote is not closed or stands inside a cell, allowed: a cell with quotes around all of it")
	}
	return cells, nil
}

// overLines is the row that begins with a line whose cell in quotes ends some lines below. It is read for its words alone: each of the
// lines is told of, for a quote that was forgotten must not swallow rows.
func overLines(lines []string, comma rune) (cells []string, ok bool) {
	row := lines[0]
	for _, next := range lines[1:min(len(lines), mostLines)] {
		row += " " + next
		if cells, err := splitRow(row, comma); err == nil {
			return cells, true
		}
	}
	return nil, false
}

// mostLines is over how many lines a note may go.
const mostLines = 12

// setHeadings heads the columns of a table.
func (t *table) setHeadings(headings []string, line int) {
	t.headings, t.line = headings, line
	for _, h := range headings {
		t.plain = append(t.plain, heading(h))
	}
}

// column finds the first column whose heading means one of the names; -1 where there is none.
func (t *table) column(names ...string) int {
	return slices.IndexFunc(t.plain, func(h string) bool { return slices.Contains(names, h) })
}

// heading is a heading without case, unit and marks: "SYS (mmHg)" is sys.
func heading(s string) string {
	if i := strings.IndexAny(s, "(["); i >= 0 {
		s = s[:i]
	}
	s = strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		}
		return ' '
	}, s)
	s = strings.Join(strings.Fields(s), " ")
	for _, unit := range []string{" mmhg", " mm hg", " bpm"} {
		s = strings.TrimSuffix(s, unit)
	}
	return s
}

// shown is a cell as a message may repeat it: only what looks like a number or a time, so that nobody's name is printed.
func shown(s string) string {
	if s == "" {
		return "empty"
	}
	if len(s) > 30 || strings.Trim(s, "0123456789.,:/-+ TZ") != "" {
		return "text"
	}
	return s
}
