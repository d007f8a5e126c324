package load

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"sync"
	"unicode/utf8"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/finding"
)

// MaxSpreadsheet is the largest spreadsheet of clients in bytes that is read, and mostColumns the most columns it may have.
const MaxSpreadsheet, mostColumns = bound.Spreadsheet, bound.SpreadsheetColumns

// Spreadsheet is a table with a client a row: the cells under a heading are what stands at that path of the client's record.
//
// A heading is a path as findings write it (screening.date, medicines[0].class), with two shorter forms for lists. Without a number,
// the columns of a list are those of its one element (taught.date, medicines.class, hours.days). With a word that one of the elements'
// fields is chosen from, they are those of the element with that word, and without a further name the element's one list:
// measured.grip.right holds the trials of the entry whose hand is right, and measured.grip.date the date of both hands' entries.
//
// An empty cell is a field that is not there. A list of plain values stands in one cell, separated by semicolons; "none" is a list
// without elements. Two columns are no fields of the record: protocols and start. A column whose heading begins with # is left out.
type Spreadsheet struct {
	name      string
	digest    string // of what all rows share
	comma     rune
	columns   []column
	protocols int // column of the protocols; -1 without
	start     int // column of the start; -1 without
	id        int
	lines     []spreadsheetLine
	counted   sync.Once
	lastTold  int // the last malformed row that is told in full, once counted
}

// spreadsheetLine is one row as it stands in the file.
type spreadsheetLine struct {
	number int
	text   string
}

// IsSpreadsheet says whether a name is that of a spreadsheet of clients.
func IsSpreadsheet(name string) bool { return strings.HasSuffix(strings.ToLower(name), ".csv") }

// separatorLine is a first line that some programs write before the headings, to name what separates the cells.
var separatorLine = regexp.MustCompile(`^"?sep=([,;\t])"?[,;\t]*$`)

// Spreadsheet reads the headings of a spreadsheet and finds its rows. What is wrong with the headings is an error, with its line and column;
// what is wrong with a row is told with the row.
func (r *Reader) Spreadsheet(name string, src []byte) (*Spreadsheet, error) {
	s := &Spreadsheet{name: name, protocols: -1, start: -1, id: -1}
	text, err := spreadsheetText(src)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	var headings []string
	number := 0
	for line := range strings.Lines(text) {
		number++
		line = strings.TrimRight(line, "\n")
		if strings.Trim(line, " \t,;\"") == "" {
			continue
		}
		if headings != nil {
			if s.lines = append(s.lines, spreadsheetLine{number, line}); len(s.lines) > bound.SpreadsheetRows {
				return nil, &bound.Over{What: name + " has", Has: bound.SpreadsheetRows, AtLeast: true, Of: "rows", Most: bound.SpreadsheetRows, Then: "cut it into several"}
			}
			continue
		}
		if named := separatorLine.FindStringSubmatch(line); named != nil && s.comma == 0 {
			s.comma = rune(named[1][0])
			continue
		}
		if s.comma == 0 {
			s.comma = separator(line)
		}
		if headings, err = s.split(line); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, number, err)
		}
		if err := r.headings(s, headings); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, number, err)
		}
	}
	if headings == nil {
		return nil, fmt.Errorf("%s is empty, allowed: a row of headings and a row for each client; isocue new client FILE.csv writes a start", name)
	}
	return s, nil
}

// spreadsheetText is the text of a spreadsheet with plain line ends and no byte order mark.
func spreadsheetText(src []byte) (string, error) {
	if err := foreign(src, "the file", false); err != nil {
		return "", err
	}
	src = bytes.TrimPrefix(src, []byte("\xef\xbb\xbf"))
	switch {
	case len(src) > MaxSpreadsheet:
		return "", fmt.Errorf("the spreadsheet is over %d bytes, allowed: at most that; cut it", MaxSpreadsheet)
	case bytes.IndexByte(src, 0) >= 0 || !utf8.Valid(src):
		return "", errors.New("the spreadsheet is not text in UTF-8, allowed: CSV saved as UTF-8")
	}
	return plainEnds(string(src)), nil
}

var errQuote = errors.New("a quote is not closed or stands inside a cell, allowed: a cell on one line, with quotes around all of it")

// split takes a line apart. A quote that is not closed spoils its own row alone.
func (s *Spreadsheet) split(line string) ([]string, error) {
	cells, err := splitRow(line, s.comma)
	if err != nil {
		return nil, errQuote
	}
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	return cells, nil
}

// Len is how many rows there are.
func (s *Spreadsheet) Len() int { return len(s.lines) }

// Where is the place of the i-th row: its file and line.
func (s *Spreadsheet) Where(i int) string { return fmt.Sprintf("%s:%d", s.name, s.lines[i].number) }

// Line is the line of the i-th row.
func (s *Spreadsheet) Line(i int) int { return s.lines[i].number }

// ID is the id in the i-th row as it stands there; "" where there is none.
func (s *Spreadsheet) ID(i int) string {
	cells, err := s.split(s.lines[i].text)
	if err != nil || s.id < 0 || s.id >= len(cells) {
		return ""
	}
	return cells[s.id]
}

// mostTold is how many places of a row are told.
const mostTold = 4

// Reason says why a row was not read: line and column of each place, and what is allowed there. It repeats no cell: what it says
// stands in lists that leave the clinic.
func (s *Spreadsheet) Reason(i int, fs []finding.Finding) string {
	out := fmt.Sprintf("line %d", s.lines[i].number)
	for k, f := range fs {
		if k == mostTold {
			return out + fmt.Sprintf("; and %d more", len(fs)-k)
		}
		sep := "; "
		if k == 0 {
			sep = ", "
		}
		heading := ""
		if c := f.Pos.Column - 1; c >= 0 && c < len(s.columns) {
			heading = s.columns[c].heading
		}
		missing := f.Rule == Shape && f.Found == "" && f.Allowed != ""
		switch {
		case f.Path == "": // the row as a whole
			out += sep + f.Message
		case missing:
			out += fmt.Sprintf("%scolumn %s is missing or empty, allowed: %s", sep, f.Path, f.Allowed)
		case f.Allowed != "":
			out += fmt.Sprintf("%scolumn %s, allowed: %s", sep, heading, f.Allowed)
		case f.Path == heading && strings.HasPrefix(f.Message, heading+": "): // said by the row's reader
			out += sep + "column " + f.Message
		default:
			out += fmt.Sprintf("%scolumn %s: %s", sep, heading, f.Remedy)
		}
	}
	return out
}
