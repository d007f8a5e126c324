package load

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// What stands beside the cells that are read: a second reading in further columns, in a note, in a cell too many.

// besideWords are the words of which the heading of such a column consists; those of parts say what stands in it.
var (
	besideParts = map[string]string{
		"systolic": "systolic", "sys": "systolic", "sbp": "systolic", "upper": "systolic", "systolisch": "systolic", "oberer": "systolic",
		"diastolic": "diastolic", "dia": "diastolic", "dbp": "diastolic", "lower": "diastolic", "diastolisch": "diastolic", "unterer": "diastolic",
		"pressure": "pressure", "bp": "pressure", "blutdruck": "pressure", "druck": "pressure", "mmhg": "pressure", "rr": "pressure",
		"pulse": "pulse", "puls": "pulse", "ruhepuls": "pulse", "frequenz": "pulse", "bpm": "pulse", "hf": "pulse", "hr": "pulse", "heart": "pulse", "herzfrequenz": "pulse",
	}
	besideWords = strings.Fields(`blood rate first second third fourth reading readings measurement measured value mm hg left right arm morning noon evening night am pm
		repeat again resting rest at ruhe in wert messung zweite zweiter dritte dritter erste erster morgens mittags abends links rechts arm 1 2 3 4 1st 2nd 3rd of the no nr and`)
	// notTaken are words of a heading under which a pressure is no reading.
	notTaken  = strings.Fields("goal target limit line aim change difference diff delta fall drop variability sd load ziel zielwert grenze grenzwert differenz abfall")
	lastDigit = regexp.MustCompile(`([a-z])(\d)\b`)
)

// besidePart is what a column that is not read holds by its heading: a part of a reading, or "". A heading that names the upper or the
// lower number is about one, whatever stands beside that; a pressure or a pulse is of many things, such as medicines and walks.
func besidePart(plain string) (part string) {
	strange := false
	for _, w := range strings.Fields(lastDigit.ReplaceAllString(plain, "$1 $2")) {
		p := besideParts[w]
		strange = strange || p == "" && !slices.Contains(besideWords, w)
		switch {
		case slices.Contains(notTaken, w):
			return ""
		case p != "" && (part == "" || part == "pressure"):
			part = p
		}
	}
	if strange && part != "systolic" && part != "diastolic" {
		return ""
	}
	return part
}

// findBeside says for each column that nothing was found in what may stand in it.
func (r *logReader) findBeside() {
	r.beside = make([]string, len(r.t.headings))
	taken := map[int]bool{}
	for _, i := range r.col {
		taken[i] = true
	}
	for i, plain := range r.t.plain {
		switch {
		case taken[i]:
			r.beside[i] = "read"
		default:
			r.beside[i] = besidePart(plain)
		}
		if p := r.beside[i]; p != "" && p != "read" {
			r.out.Said = append(r.out.Said, "a further column looks like a second reading and is not read: give each reading a row of its own")
		}
	}
	r.out.Said = slices.Compact(r.out.Said)
}

// overflows moves what stands behind the last heading into that column where it is one of words: a comma stood in a note.
func (r *logReader) overflows(row tableRow) tableRow {
	n := len(r.t.headings)
	if len(row.cells) <= n || n == 0 {
		return row
	}
	row.surplus = strings.Join(row.cells[n:], " ")
	for _, c := range []string{"note", "symptoms"} {
		if i, ok := r.col[c]; ok && i == n-1 {
			cells := slices.Clone(row.cells[:n])
			cells[i] = strings.Trim(strings.Join(row.cells[n-1:], ","), ", ")
			row.cells = cells
			break
		}
	}
	return row
}

// numeric are the columns whose cells are looked at as numbers, not as a text that may hold some.
var numeric = []string{"at", "date", "time", "systolic", "diastolic", "pressure", "pulse"}

func (r *logReader) under(i int, means ...string) bool {
	return slices.ContainsFunc(means, func(m string) bool { j, ok := r.col[m]; return ok && i == j })
}

// besides is what a row holds outside the cells that are read, and where.
func (r *logReader) besides(row tableRow) (out record.Held, where string) {
	add := func(h record.Held, at string) {
		if where == "" && h.Reaches(r.span.Gate) {
			where = at
		}
		out.Join(h)
	}
	for _, c := range []string{"note", "symptoms"} {
		add(r.writtenIn(r.cell(row, c)), "its note")
	}
	add(r.pairsIn(row.surplus), "a cell without a heading")
	for i, s := range row.cells {
		switch {
		case i >= len(r.beside):
			h := r.pressureIn(lookInto(s), true, false)
			h.Unknown = false
			add(h, "a cell without a heading")
		case s == "" || r.under(i, numeric...):
		case r.beside[i] == "read":
			add(r.writtenIn(s), "a column of something else")
		case r.beside[i] == "":
			add(r.writtenIn(s), "a column that is not read")
		case r.beside[i] == "pulse":
			add(r.pulseIn(lookInto(s)), "a column that is not read")
		default:
			h := r.pressureIn(lookInto(s), r.beside[i] == "pressure", false)
			if r.beside[i] == "diastolic" {
				h.Diastolic = max(h.Diastolic, h.Largest)
			}
			add(h, "a column that is not read")
		}
	}
	return out, where
}

// astray is what a row that cannot be taken apart may hold: pressures anywhere in its line, whatever separates them.
func (r *logReader) astray(row tableRow) (out record.Held) {
	empty := true
	for _, c := range []string{"systolic", "diastolic", "pressure"} {
		empty = empty && len(lookInto(r.cell(row, c)).groups) == 0
	}
	if row.trouble != "" && row.line > 0 || empty || len(row.cells) > len(r.t.headings) {
		text := strings.Join(row.cells, " ")
		out.Join(r.pairsIn(text))
		out.Join(r.writtenIn(text))
	}
	return out
}

// besideTold tells of numbers beside the cells of a row that was read.
func (r *logReader) besideTold(row tableRow, at unit.Local) {
	beside, where := r.besides(row)
	beside.Join(row.held)
	if beside.Reaches(r.span.Gate) {
		p := r.problem(row.line, true, "%s holds %s, which was not read, allowed: a row for each reading, such as %s,148,84", cmp.Or(where, "the row"), told(beside), at)
		p.Held, p.At = beside, at
	}
}
