package load

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// A log may have a column that says whose each row is. A row of somebody else is none of this client's readings: it is left out, and said
// so, and what is grave in it is told all the same, for somebody must hear of it.

// whoseHeadings are the headings of such a column.
var whoseHeadings = []string{"client", "client id", "client name", "patient", "patient id", "patient name", "person", "name", "full name", "klient", "klientin", "patientin"}

// likeID is a name in the form of a client's id with a number.
var likeID = regexp.MustCompile(`^[a-z]+([-_ ][a-z0-9]+)*[-_ ][0-9]+$`)

// whose reads the column: which of its names are those of others. One name that stands in every row, and in no form of an id, is this
// client's as far as anybody can tell, where the record has no name.
func (r *logReader) whose() {
	r.find("client", whoseHeadings...)
	if !r.has("client") {
		return
	}
	all := map[string]bool{}
	own := false
	for _, row := range r.t.rows {
		if v := r.cell(row, "client"); strings.TrimSpace(v) != "" {
			all[v] = true
			own = own || r.isOwn(v)
		}
	}
	for v := range all {
		if !r.isOwn(v) && (own || len(all) > 1 || r.span.Name != "" || likeID.MatchString(strings.ToLower(strings.TrimSpace(v)))) {
			r.others = append(r.others, v)
		}
	}
}

// isOwn says whether a name is this client's: the id, or words of the record's name.
func (r *logReader) isOwn(v string) bool {
	if plainly(v) == plainly(r.span.Client) {
		return true
	}
	name := words(r.span.Name)
	mine := words(v)
	return len(mine) > 0 && !slices.ContainsFunc(mine, func(w string) bool { return !slices.Contains(name, w) })
}

// ofOther says whether a row is somebody else's.
func (r *logReader) ofOther(row tableRow) bool {
	return len(r.others) > 0 && slices.Contains(r.others, r.cell(row, "client"))
}

// anothers is what is said of such a row.
const anothers = "the row is of another client, by its column for that, allowed: rows of the client of the record"

func plainly(s string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsDigit(c) {
			return unicode.ToLower(c)
		}
		return -1
	}, s)
}

func words(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) })
}
