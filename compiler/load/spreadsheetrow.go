package load

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/cueval"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Row is one client of a spreadsheet, read and held to the schema like a record of its own file.
type Row struct {
	File      *File
	Protocols []string // ids; none where the spreadsheet has no such column, or the cell is empty
	Start     string   // as written
}

// cell is one filled cell on its way down the record.
type cell struct {
	steps  []step
	column *column
	text   string
	pos    finding.Pos // its column is the number of the cell
}

// Row reads the i-th row of a spreadsheet.
func (r *Reader) Row(s *Spreadsheet, i int) Row {
	row, sound := r.rowTree(s, i)
	switch {
	case !sound:
	case r.untold(s, i, row.File.Node):
		row.File.add(tree.At(finding.Pos{File: s.name, Line: s.lines[i].number, Column: 1}), Shape,
			fmt.Sprintf("the row is malformed, as are %d rows above it that are told in full, allowed: none", bound.Told), "mend those above first: what is wrong with many rows is mostly one column")
	default:
		r.client(row.File, row.File.Node)
	}
	row.File.Findings = finding.Sort(row.File.Findings)
	return row
}

// rowTree makes the record of a row; sound is false where its cells cannot be read, which is told.
func (r *Reader) rowTree(s *Spreadsheet, i int) (row Row, sound bool) {
	l := s.lines[i]
	sum := sha256.Sum256([]byte(s.digest + "\n" + l.text))
	f := &File{Name: s.name, Source: []byte(l.text), Kind: IsClient, Digest: hex.EncodeToString(sum[:])}
	row = Row{File: f}
	place := finding.Pos{File: s.name, Line: l.number, Column: 1}
	top := tree.At(place)
	cells, err := s.split(l.text)
	switch {
	case err != nil:
		f.add(top, Unreadable, err.Error(), "close the quote")
	case len(l.text) > MaxBytes:
		f.add(top, Unreadable, fmt.Sprintf("the row is over %d bytes, allowed: at most that", MaxBytes), "shorten its texts")
	}
	if len(f.Findings) > 0 {
		return row, false
	}
	var filled []cell
	for k, text := range cells {
		at := place
		at.Column = k + 1
		switch {
		case text == "":
		case k >= len(s.columns):
			f.add(tree.At(at), Unreadable, fmt.Sprintf("the row has a cell %d, the headings are %d; allowed: a heading for each cell", k+1, len(s.columns)), "put the cell with a comma in quotes")
			return row, false
		case s.columns[k].heading == "": // dropped, it would be missed by nobody
			f.add(tree.At(at), Unreadable, fmt.Sprintf("the row has a cell %d, over which no heading stands; allowed: a heading for each cell, one that begins with # to leave it out", k+1), "write a heading over it")
			return row, false
		case k == s.protocols:
			row.Protocols = listed(text)
		case k == s.start:
			row.Start, _ = dated(text)
		case s.columns[k].steps != nil:
			filled = append(filled, cell{s.columns[k].steps, &s.columns[k], text, at})
		}
	}
	b := rowBuilder{f: f, decimalComma: s.comma != ','}
	f.Node = b.record(top, filled)
	f.Findings = b.trouble // what could not be read is told, and not what is missing for it
	return row, len(b.trouble) == 0
}

func listed(text string) (out []string) {
	for _, x := range strings.Split(text, ";") {
		if x = strings.TrimSpace(x); x != "" {
			out = append(out, x)
		}
	}
	return out
}

type rowBuilder struct {
	f            *File
	decimalComma bool
	trouble      []finding.Finding
}

// record fills a record with the cells that belong into it.
func (b *rowBuilder) record(n *tree.Node, cells []cell) *tree.Node {
	var names []string
	of := map[string][]cell{}
	for _, c := range cells {
		name := c.steps[0].field
		if _, ok := of[name]; !ok {
			names = append(names, name)
		}
		c.steps = c.steps[1:]
		of[name] = append(of[name], c)
	}
	for _, name := range names {
		n.Set(name, b.value(of[name]))
	}
	return n
}

// value makes what the cells at one place say.
func (b *rowBuilder) value(cells []cell) *tree.Node {
	first := cells[0]
	plain := slices.IndexFunc(cells, func(c cell) bool { return len(c.steps) == 0 })
	switch {
	case plain >= 0 && len(cells) > 1:
		other := cells[(plain+1)%len(cells)]
		b.add(cells[plain], fmt.Sprintf("column %s is filled, and column %s too; allowed: one of them", cells[plain].column.heading, other.column.heading), "empty one of the two")
		return tree.At(first.pos)
	case plain >= 0:
		return b.leaf(first)
	case first.steps[0].list:
		return b.list(cells)
	}
	return b.record(tree.At(first.pos), cells)
}

// list makes the elements that the cells name. Cells that name none belong to all of them; where no other is filled, they are one.
func (b *rowBuilder) list(cells []cell) *tree.Node {
	out := &tree.Node{Kind: tree.List, Pos: cells[0].pos}
	var keys []string
	for _, c := range cells {
		if k := c.steps[0].key; k != "" && !slices.Contains(keys, k) {
			keys = append(keys, k)
		}
	}
	if len(keys) == 0 {
		keys = []string{""}
	}
	slices.SortStableFunc(keys, func(x, y string) int { // numbers in their order, words as the columns stand
		return cmp.Compare(elementNumber(x), elementNumber(y))
	})
	for _, key := range keys {
		var mine []cell
		for _, c := range cells {
			at := c.steps[0]
			if at.key != "" && at.key != key {
				continue
			}
			if at.of != "" && !slices.ContainsFunc(mine, func(m cell) bool { return m.text == key && len(m.steps) == 1 && m.steps[0].field == at.of }) {
				mine = append(mine, cell{[]step{{field: at.of}}, &column{heading: c.column.heading, place: cueval.Place{Kind: tree.Text}}, key, c.pos})
			}
			c.steps = c.steps[1:]
			mine = append(mine, c)
		}
		out.Append(b.value(mine))
	}
	return out
}

func elementNumber(key string) int {
	n, _ := strconv.Atoi(strings.Trim(key, "[]"))
	return n
}

var plainNumber = regexp.MustCompile(`^[+-]?[0-9]+(\.[0-9]+)?$`)

// leaf makes the value of one cell.
func (b *rowBuilder) leaf(c cell) *tree.Node {
	p := c.column.place
	if strings.HasPrefix(c.text, "=") {
		b.add(c, "the cell holds a formula, allowed: its value; nothing here computes", "save the spreadsheet with values in place of formulas")
		return tree.At(c.pos)
	}
	if p.Many || p.Kind == tree.List {
		out := &tree.Node{Kind: tree.List, Pos: c.pos}
		if c.text == "none" {
			return out
		}
		if !p.Many {
			b.add(c, fmt.Sprintf("the cell is %s, allowed: none, or columns such as %s[0] with a field", shown(c.text), c.column.heading), "name the fields in columns of their own")
			return out
		}
		for _, x := range listed(c.text) {
			e := c
			e.text = x
			out.Append(b.plain(e, p.Kind))
		}
		return out
	}
	return b.plain(c, p.Kind)
}

func (b *rowBuilder) plain(c cell, k tree.Kind) *tree.Node {
	n := &tree.Node{Kind: k, Pos: c.pos, Raw: c.text}
	switch k {
	case tree.Number:
		text := c.text
		if b.decimalComma && !strings.Contains(text, ".") {
			text = strings.Replace(text, ",", ".", 1)
		}
		d, err := unit.ParseDec(strings.TrimPrefix(text, "+"))
		if err != nil || !plainNumber.MatchString(text) || len(text) > 24 {
			b.add(c, fmt.Sprintf("the cell is %s, allowed: a number such as 38.5, several separated by semicolons where there are several", shown(c.text)), "write a number without its unit")
			return n
		}
		n.Num = d
	case tree.Bool:
		switch chosen(c.text, []string{"yes", "no"}) {
		case "yes":
			n.Bool = true
		case "no":
		default:
			b.add(c, fmt.Sprintf("the cell is %s, allowed: yes or no", shown(c.text)), "write yes or no")
		}
	default:
		words := c.column.place.Words
		if c.column.field() == "days" {
			words = weekDays
		}
		n.Str = chosen(c.text, words)
		if slices.Contains(dayFields, c.column.field()) {
			var ask []string
			if n.Str, ask = dated(c.text); len(ask) > 1 {
				b.add(c, "the cell may mean "+strings.Join(ask, " or ")+", allowed: one of them", "write "+strings.Join(ask, " or ")+", or save the spreadsheet with days as year-month-day")
			}
		}
		n.Raw = strconv.Quote(n.Str)
	}
	return n
}

func (b *rowBuilder) add(c cell, msg, remedy string) {
	b.trouble = append(b.trouble, finding.Finding{Rule: Shape, Verdict: finding.Malformed, Pos: c.pos, Path: c.column.heading, Message: c.column.heading + ": " + msg,
		Remedy: remedy, Rationale: shapeWhy, Private: true})
}
