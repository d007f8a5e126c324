package load

import (
	"crypto/sha256"
	"encoding/hex"
	"regexp"
	"slices"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// A line of a diary that is refused has words all the same, and a danger sign in them is one, whatever else is wrong with the line. What
// was not read of it stands among the entries as words that nobody has understood: they close training where they tell a danger sign, and
// do nothing else.

var (
	dayIn  = regexp.MustCompile(`\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b`)
	nameIn = regexp.MustCompile(`[A-Za-z][A-Za-z0-9-]*"?[ \t]*:`)
)

// unread adds what was not read of a line, where that is anything. last is the day of the entry above, for a line that names none.
func (f *File) unread(text, words string, line int, day, last unit.Date) {
	if strings.Trim(words, " ;\t") == "" || len(f.Diary.Entries) >= MaxEntries {
		return
	}
	for _, d := range dayIn.FindAllString(text, -1) {
		if got, err := unit.ParseDate(d); err == nil && day == 0 {
			day = got
		}
	}
	if day == 0 {
		day = last
	}
	sum := sha256.Sum256([]byte("unread " + text))
	digest := hex.EncodeToString(sum[:])
	f.Diary.Entries = append(f.Diary.Entries, DiaryEntry{record.Entry{ID: digest[:8], Named: true, Digest: digest, What: record.Unread, Date: day, Words: words, File: f.Name, Line: line, Text: text}})
}

// torn is the words of a line that is no record, without the names of fields.
func torn(text string) string {
	var out []string
	for _, part := range strings.Split(nameIn.ReplaceAllString(strings.NewReplacer("{", " ", "}", " ", `"`, " ").Replace(text), ";"), ";") {
		if part = strings.Trim(strings.Join(strings.Fields(part), " "), " ,-"); part != "" && !dayIn.MatchString(part) {
			out = append(out, part)
		}
	}
	return strings.Join(out, "; ")
}

// leftOver is the words of an entry in fields that are not read: all of them where none was.
func leftOver(n *tree.Node, none bool) string {
	var out []string
	var walk func(n *tree.Node)
	walk = func(n *tree.Node) {
		if n.Kind == tree.Text {
			out = append(out, n.Str)
		}
		for _, k := range n.Keys {
			walk(n.Field[k])
		}
		for _, e := range n.Elem {
			walk(e)
		}
	}
	for _, k := range n.Keys {
		known := slices.Contains(record.Happenings, record.Happening(k))
		switch {
		case !known && !knownField(k): // a name that nobody knows may be what was felt
			if out = append(out, k); n.Field[k] != nil {
				walk(n.Field[k])
			}
		case none && (known || k == "note"):
			walk(n.Field[k])
		}
	}
	return strings.Join(out, "; ")
}

// loose are the lines that belong to no entry.
func (f *File) loose() {
	lines := strings.Split(string(f.Source), "\n")
	for _, x := range f.Findings {
		if n := x.Pos.Line; x.Rule == Unreadable && n >= 1 && n <= len(lines) && !strings.HasPrefix(strings.TrimPrefix(lines[n-1], "\ufeff"), "-") {
			f.unread(lines[n-1], torn(lines[n-1]), n, 0, 0)
		}
	}
}
