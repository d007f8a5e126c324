package load

import (
	"bytes"
	"errors"
	"regexp"
)

// What is handed over as a table and is none: a spreadsheet's own file, a page of the web, a record in another form. Each is told by
// how it begins, so that nobody is told about headings of a file that has none.

// begins are the first bytes of files that are no text, with what they are and how a table is had from them.
var begins = []struct{ bytes, is, repair string }{
	// ISO/IEC 21320-1 (zip), in which ISO/IEC 29500 and ISO/IEC 26300 pack a spreadsheet
	{"PK\x03\x04", "a spreadsheet in its program's own format, or another zip archive", saveAs},
	{"PK\x05\x06", "a zip archive with nothing in it", saveAs},
	{"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "a spreadsheet in an old format of its program's own", saveAs},
	{"%PDF-", "a PDF", "ask for the table itself and save it as CSV"}, // ISO 32000-1, 7.5.2
	{"\x1f\x8b\x08", "a compressed file", "unpack it"},                // RFC 1952, 2.3.1
	{"\xff\xfe", "text in UTF-16", "save it again as CSV in UTF-8"},   // the Unicode standard, 23.8: the mark in either order
	{"\xfe\xff", "text in UTF-16", "save it again as CSV in UTF-8"},
}

const saveAs = "open it in the program that made it, and save its table as CSV in UTF-8"

var (
	htmlStart = regexp.MustCompile(`(?i)^<(!doctype\s+html|html|head|body|table|meta)\b`)
	fhirXML   = []byte(`"http://hl7.org/fhir"`)        // the namespace of FHIR as XML: hl7.org/fhir/R4/xml.html
	headings  = regexp.MustCompile(`^<[^<>]*>\s*[,;]`) // a heading between marks is one all the same
	listStart = regexp.MustCompile(`^\[\s*[\[\{\]]`)
)

// foreign is an error for a file that begins as no table does: what it is, what is allowed, how to repair it. what names the file's
// use, as "the log"; json says whether a Bundle would do. Nothing of the file is repeated.
func foreign(src []byte, what string, json bool) error {
	allowed, ask := "CSV in UTF-8", "export it as CSV"
	if json {
		allowed, ask = "CSV in UTF-8, or a FHIR Bundle as JSON", "ask for the Bundle as JSON, or for CSV"
	}
	told := func(is, repair string) error {
		return errors.New(what + " is " + is + ", allowed: " + allowed + "; " + repair)
	}
	for _, x := range begins {
		if bytes.HasPrefix(src, []byte(x.bytes)) {
			return told(x.is, x.repair)
		}
	}
	text := bytes.TrimLeft(bytes.TrimPrefix(src, []byte("\xef\xbb\xbf")), " \t\r\n")
	for bytes.HasPrefix(text, []byte("<!--")) { // a comment may stand first
		_, rest, ok := bytes.Cut(text, []byte("-->"))
		if !ok {
			break
		}
		text = bytes.TrimLeft(rest, " \t\r\n")
	}
	head := text[:min(len(text), 4096)]
	switch {
	case headings.Match(head):
	case htmlStart.Match(head):
		return told("a page of the web (HTML)", "download the file that the page offers; where it is a table, open it in a spreadsheet program and save that as CSV")
	case bytes.HasPrefix(head, []byte("<")) && bytes.Contains(head, fhirXML):
		return told("FHIR as XML", ask)
	case bytes.HasPrefix(head, []byte("<")):
		return told("XML", ask)
	case listStart.Match(head):
		return told("a list in JSON", ask)
	case !json && bytes.HasPrefix(head, []byte("{")):
		return told("JSON", ask)
	}
	return nil
}
