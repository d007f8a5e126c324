package load_test

import (
	"errors"
	"strings"
	"testing"

	"isocue.example/compiler/load"
)

// foreignFiles begin as files do that are no table; is stands in what is said of them. Sources of the first bytes stand in foreign.go.
var foreignFiles = []struct{ why, src, is string }{
	{"FHIR as XML", "\ufeff<?xml version=\"1.0\"?>\n<Bundle xmlns=\"http://hl7.org/fhir\"><type value=\"gone\"/></Bundle>", "FHIR as XML"},
	{"XML behind a comment", "<!-- gone --><readings><r sys=\"138\"/></readings>", "XML"},
	{"a page", "<!doctype html>\n<html><body>log in, gone</body></html>", "a page of the web (HTML)"},
	{"a table of a page", "  <TABLE><tr><td>gone</td></tr></TABLE>", "a page of the web (HTML)"},
	{"a packed spreadsheet", "PK\x03\x04\x14\x00gone", "a spreadsheet in its program's own format, or another zip archive"},
	{"an old spreadsheet", "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1gone", "a spreadsheet in an old format"},
	{"a PDF", "%PDF-1.7\ngone", "a PDF"},
	{"a compressed file", "\x1f\x8b\x08gone", "a compressed file"},
	{"UTF-16", "\xff\xfea\x00t\x00", "text in UTF-16"},
	{"a list of JSON", "[\n {\"systolic\": 138}]", "a list in JSON"},
	{"too large as well", "PK\x03\x04" + strings.Repeat("x", load.MaxLog), "a spreadsheet in its program's own format"},
}

// A file that is no table is told by what it is, with what is allowed and how to repair it, never by headings that it lacks; and no
// word of it is repeated.
func TestForeign(t *testing.T) {
	s := span(t)
	r, err := load.NewReader(nil)
	if err != nil {
		t.Fatal(err)
	}
	read := map[string]func([]byte) error{
		"pressure log": func(src []byte) error { _, err := load.PressureLog("log.csv", src, s); return err },
		"session log":  func(src []byte) error { _, err := load.SessionLog("log.csv", src, s); return err },
		"spreadsheet":  func(src []byte) error { _, err := r.Spreadsheet("log.csv", src); return err },
	}
	told := func(what string, src []byte, want string) {
		t.Helper()
		err := read[what](src)
		if err == nil {
			err = errors.New("nothing")
		}
		for _, part := range []string{"log.csv: ", want, "allowed: CSV", "; "} {
			if !strings.Contains(err.Error(), part) {
				t.Errorf("%s as %s: %s, want %q in it", want, what, err, part)
			}
		}
		if strings.Contains(err.Error(), "heading") || strings.Contains(err.Error(), "gone") {
			t.Errorf("%s as %s: %s", want, what, err)
		}
	}
	for _, x := range foreignFiles {
		for what := range read {
			told(what, []byte(x.src), " is "+x.is)
		}
	}
	for _, what := range []string{"session log", "spreadsheet"} {
		told(what, []byte(aBundle()), " is JSON")
	}
	for _, src := range []string{"<at>,systolic,diastolic\n2027-01-04T07:30,138,85\n", "PKa,at,systolic,diastolic\n1,2027-01-04T07:30,138,85\n", "[at],systolic,diastolic\n"} {
		if err := read["pressure log"]([]byte(src)); err != nil && strings.Contains(err.Error(), " is ") {
			t.Errorf("%q is a table: %v", src, err)
		}
	}
}
