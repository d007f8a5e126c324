package load

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
)

// flat writes a record as the headings and cells of a spreadsheet, with a number for each element of a list of records.
func flat(n *tree.Node, path string, out *[][2]string) {
	switch {
	case n.Kind == tree.Record:
		for _, k := range n.Keys {
			flat(n.Field[k], strings.TrimPrefix(path+"."+k, "."), out)
		}
	case n.Kind == tree.List && len(n.Elem) > 0 && n.Elem[0].Kind == tree.Record:
		for i, e := range n.Elem {
			flat(e, path+"["+string(rune('0'+i/10))+string(rune('0'+i%10))+"]", out)
		}
	case n.Kind == tree.List:
		var cells []string
		for _, e := range n.Elem {
			cells = append(cells, text(e))
		}
		if len(cells) == 0 {
			cells = []string{"none"}
		}
		*out = append(*out, [2]string{path, strings.Join(cells, ";")})
	default:
		*out = append(*out, [2]string{path, text(n)})
	}
}

func text(n *tree.Node) string {
	if n.Kind == tree.Text {
		return n.Str
	}
	return n.Raw
}

func quoted(cells []string, comma string) string {
	var out []string
	for _, c := range cells {
		out = append(out, `"`+strings.ReplaceAll(c, `"`, `""`)+`"`)
	}
	return strings.Join(out, comma) + "\r\n"
}

// The demo client as one row of a spreadsheet is read as the same record as from YAML; by commas, semicolons or tabs, with a byte order
// mark or without.
func TestSpreadsheetReadsTheSameRecord(t *testing.T) {
	r := reader(t)
	src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	want := r.Bytes("c.yaml", src)
	var all [][2]string
	flat(want.Node, "", &all)
	for _, c := range []struct{ before, comma string }{{"", ","}, {"\xef\xbb\xbf", ";"}, {"", "\t"}, {"\n\n", ","}} {
		var headings, cells []string
		for _, x := range all {
			headings, cells = append(headings, x[0]), append(cells, x[1])
			if c.comma != "," { // a decimal comma
				last := len(cells) - 1
				if strings.HasSuffix(x[0], "trials") || strings.HasSuffix(x[0], "step") {
					cells[last] = strings.ReplaceAll(cells[last], ".", ",")
				}
			}
		}
		s, err := r.Spreadsheet("c.csv", []byte(c.before+quoted(headings, c.comma)+quoted(cells, c.comma)))
		if err != nil {
			t.Fatal(err)
		}
		row := r.Row(s, 0)
		if row.File.Client == nil {
			t.Fatal(s.Reason(0, row.File.Findings))
		}
		if !reflect.DeepEqual(row.File.Client.Record, want.Client.Record) {
			t.Errorf("separated by %q: %+v\nwant %+v", c.comma, row.File.Client.Record, want.Client.Record)
		}
		if s.ID(0) != "plover-12" || s.Len() != 1 {
			t.Errorf("id %q of %d rows", s.ID(0), s.Len())
		}
	}
}

const sheetHead = "id,zone,dominantHand,measured.grip.date,measured.grip.unit,measured.grip.score,measured.grip.with,measured.grip.right,measured.grip.left," +
	"screening.date,screening.by,screening.questions,screening.answers.panic,medicines,medicines[0].class,medicines[0].changed,taught.date,taught.by,hours.days,hours.from,hours.to,protocols,start,#remark\n"

const sheetGood = "a-1,Europe/Lisbon,right,2027-01-02,kgf,best,g,38.5;40;39,35,2027-01-02,B,2,no,,thiazide,2025-01-01,2027-01-02,B,mon;wed,07:00,08:00,handgrip-alternating; slow-breathing-even,2027-01-04,=x\n"

// The shorter forms of headings, and what the two columns beside the record say.
func TestSpreadsheetShortForms(t *testing.T) {
	r := reader(t)
	s, err := r.Spreadsheet("c.csv", []byte(sheetHead+sheetGood+"\n,,,\n"))
	if err != nil {
		t.Fatal(err)
	}
	row := r.Row(s, 0)
	if row.File.Client == nil {
		t.Fatal(s.Reason(0, row.File.Findings))
	}
	c := row.File.Client.Record
	if len(c.Grip) != 2 || c.Grip[0].Hand != "right" || len(c.Grip[0].Trials) != 3 || c.Grip[1].Hand != "left" || c.Grip[1].Date != c.Grip[0].Date ||
		len(c.Medicines) != 1 || c.Medicines[0].Class != "thiazide" || c.Taught == 0 || len(c.Hours) != 1 || len(c.Hours[0].Days) != 2 || c.Answers["panic"] != "no" {
		t.Errorf("%+v", c)
	}
	if strings.Join(row.Protocols, "|") != "handgrip-alternating|slow-breathing-even" || row.Start != "2027-01-04" || s.Len() != 1 {
		t.Errorf("%q %q, %d rows", row.Protocols, row.Start, s.Len())
	}
	// a hand without trials has no entry
	if s, err = r.Spreadsheet("c.csv", []byte(sheetHead+strings.Replace(sheetGood, ",35,", ",,", 1))); err != nil {
		t.Fatal(err)
	}
	if c := r.Row(s, 0).File.Client; c == nil || len(c.Record.Grip) != 1 {
		t.Errorf("%+v", c)
	}
}

// Days, hours and choices as spreadsheet programs write them are read as the record writes them.
func TestSpreadsheetOfOtherPrograms(t *testing.T) {
	r := reader(t)
	read := func(src string) *record.Client {
		t.Helper()
		s, err := r.Spreadsheet("c.csv", []byte(sheetHead+src))
		if err != nil {
			t.Fatal(err)
		}
		row := r.Row(s, 0)
		if row.File.Client == nil {
			t.Fatal(src, s.Reason(0, row.File.Findings))
		}
		if row.Start != "2027-01-04" {
			t.Errorf("%s: start %s", src, row.Start)
		}
		return row.File.Client.Record
	}
	want := read(sheetGood)
	for _, x := range []struct{ why, edits string }{
		{"German", "right,2027>rechts,2027|2027-01-02>02.01.2027|2027-01-04>4.1.2027|no,>Nein,|mon;wed>Mo;Mittwoch|07:00>7:00|08:00>08:00:00"},
		{"German, a truth value", "no,>FALSCH,|mon;wed>MO;MI"},
		{"an export with midnight", "2027-01-02>2027-01-02 00:00:00|2027-01-04>2027-01-04T00:00"},
		{"English", "right,2027>Right,2027|no,>No,|mon;wed>Monday;Wed|07:00>7:00 AM|08:00>8:00 a.m.|2027-01-04>2027/01/04"},
		{"French and Spanish", "no,>non,|07:00>7h00"},
		{"a slashed day that can mean one alone", "2025-01-01>1/1/2025"},
	} {
		src := sheetGood
		for e := range strings.SplitSeq(x.edits, "|") {
			old, now, _ := strings.Cut(e, ">")
			if !strings.Contains(src, old) {
				t.Fatal(old)
			}
			src = strings.ReplaceAll(src, old, now)
		}
		if got := read(src); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %+v\nwant %+v", x.why, got, want)
		}
	}
}

// What is wrong is told by line and column, and no cell is repeated that is not a number or a time.
func TestSpreadsheetRefuses(t *testing.T) {
	r := reader(t)
	edit := func(old, new string) string {
		if !strings.Contains(sheetGood, old) {
			t.Fatal(old)
		}
		return sheetHead + strings.Replace(sheetGood, old, new, 1)
	}
	for _, c := range []struct{ src, want, why string }{
		{"", "c.csv is empty, allowed: a row of headings", "nothing"},
		{"\x00", "not text in UTF-8", "no text"},
		{"id,zoen\n", "c.csv:1: column 2: the heading is zoen, which no record has, did you mean zone", "a slip in a heading"},
		{"Dara Quill,x\n", "c.csv:1: column 1: the heading is something that is no path", "a name is not repeated"},
		{"zone\n", "c.csv:1: the headings lack id", "no id"},
		{"id,id\n", "columns 1 and 2 are both headed id", "twice"},
		{"id,screening.daet\n", "screening has no field daet, did you mean date", "a slip further down"},
		{"id,measured.grip.middle\n", "measured.grip has no field middle", "no such hand"},
		{"id,contacts\n", "contacts is a record, allowed: one of its fields, such as contacts.client", "a record"},
		{"id,zone[0]\n", "zone is no list of records", "a number where none belongs"},
		{edit("38.5;40;39", "38.5;strong;39"), "line 2, column measured.grip.right: the cell is text, allowed: a number such as 38.5", "a word among numbers"},
		{edit("38.5;40;39", `"38,5;40"`), "line 2, column measured.grip.right: the cell is 38,5, allowed: a number such as 38.5", "a decimal comma where commas separate"},
		{edit("38.5;40;39", "0x20"), "line 2, column measured.grip.right: the cell is text, allowed: a number", "another notation"},
		{edit("Europe/Lisbon", "=CMD()"), "line 2, column zone: the cell holds a formula, allowed: its value", "a formula"},
		{edit("Europe/Lisbon", ""), "line 2, column zone is missing or empty, allowed: the name of an IANA time zone", "an empty cell"},
		{edit("best", "beast"), `line 2, column measured.grip.score, allowed: "best" or "mean"`, "a word that is not allowed"},
		{edit("2027-01-02,kgf", "02/01/2027,kgf"), "line 2, column measured.grip.date: the cell may mean 2027-01-02 or 2027-02-01, allowed: one of them", "a date that can mean two days"},
		{edit("2027-01-02,kgf", "31/02/2027,kgf"), "line 2, column measured.grip.date, allowed: a date such as 2027-01-04", "a day that does not exist"},
		{edit("07:00,08:00", "7 Uhr 61,08:00"), "line 2, column hours.from, allowed", "no time of day"},
		{edit("no,,thiazide", "no,none,thiazide"), "column medicines is filled, and column medicines[0].class too", "a list that is empty and is not"},
		{edit("no,,thiazide,2025-01-01", "no,thiazide,,"), "column medicines: the cell is text, allowed: none, or columns such as medicines[0]", "records in one cell"},
		{edit("=x", "x,Dara"), "line 2, the row has a cell 25, the headings are 24", "a cell too many"},
		{strings.Replace(sheetHead, "#remark", "", 1) + sheetGood, "line 2, the row has a cell 24, over which no heading stands; allowed: a heading for each cell, one that begins with #", "a cell that would be dropped unseen"},
		{edit("a-1", `"a-1`), "line 2, a quote is not closed", "an open quote"},
	} {
		s, err := r.Spreadsheet("c.csv", []byte(c.src))
		got := ""
		if err != nil {
			got = err.Error()
		} else if row := r.Row(s, 0); row.File.Client != nil {
			t.Errorf("%s: was read", c.why)
			continue
		} else {
			got = s.Reason(0, row.File.Findings)
		}
		if !strings.Contains(got, c.want) {
			t.Errorf("%s: %s\nwant %s", c.why, got, c.want)
		}
		if strings.Contains(got, "Dara") || strings.Contains(got, "strong") {
			t.Errorf("%s: a cell is repeated: %s", c.why, got)
		}
	}
}

// FuzzSpreadsheet holds a spreadsheet to its laws: reading ends, the same bytes are read the same way, a row with findings has no record, and
// every reason names its line; line ends of another system and a byte order mark change no record.
func FuzzSpreadsheet(f *testing.F) {
	f.Add([]byte(sheetHead + sheetGood))
	f.Add([]byte("id;weightKg\na;70,5\nb;\"70,5\"\n"))
	f.Add([]byte("id,conditions[1].code,conditions[0].code,conditions.since\na,x,y,2027-01-01\n"))
	f.Add([]byte("id,medicines,measured.grip.left.hand\na,none,right\n"))
	f.Add([]byte("id\t#x\n=1\t\"\n"))
	r := reader(f)
	f.Fuzz(func(t *testing.T, src []byte) {
		s, err := r.Spreadsheet("c.csv", src)
		if err != nil {
			return
		}
		other := append([]byte("\xef\xbb\xbf"), bytes.ReplaceAll(bytes.ReplaceAll(src, []byte("\r\n"), []byte("\n")), []byte("\n"), []byte("\r\n"))...)
		o, err := r.Spreadsheet("c.csv", other)
		if bytes.HasPrefix(src, []byte("\xef\xbb\xbf")) {
			o, err = s, nil
		}
		if err != nil || o.Len() != s.Len() {
			t.Fatalf("%v; %d rows, %d with other line ends", err, s.Len(), o.Len())
		}
		for i := range min(s.Len(), 20) {
			row, again, crlf := r.Row(s, i), r.Row(s, i), r.Row(o, i)
			if !reflect.DeepEqual(row.File.Findings, again.File.Findings) || row.File.Digest != again.File.Digest || crlf.File.Digest != row.File.Digest {
				t.Fatal("read twice, read differently")
			}
			if (row.File.Client == nil) != (len(row.File.Findings) > 0) {
				t.Fatalf("record %v, findings %v", row.File.Client, row.File.Findings)
			}
			if c := row.File.Client; c != nil && (c.Record.ID != s.ID(i) || !reflect.DeepEqual(c.Record, crlf.File.Client.Record)) {
				t.Fatalf("id %q, want %q", c.Record.ID, s.ID(i))
			}
			if row.File.Client == nil && !strings.HasPrefix(s.Reason(i, row.File.Findings), "line ") {
				t.Fatal("a reason without a line")
			}
		}
	})
}
