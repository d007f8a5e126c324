package compiler

import (
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
)

// Nobody clears themselves, however the name is written. Source: a clearance is a clinician's word.
func TestNobodyClearsThemselves(t *testing.T) {
	c := engine(t)
	src := string(file(t, "../testdata/demo/client.yaml"))
	if !strings.Contains(src, "clearances: []") || !strings.Contains(src, "name: Dara Quill") {
		t.Fatal("the demo record is another")
	}
	for by, refused := range map[string]bool{"Dara Quill": true, "dara  QUILL": true, "Ｄａｒａ Quill": true, "R. Okafor": false} {
		f := c.Reader.Bytes("client.yaml", []byte(strings.Replace(src, "clearances: []", `clearances: [{for: [pressure, handgrip], by: "`+by+`", role: physician, date: 2027-01-03, until: 2027-12-20}]`, 1)))
		if got := slices.ContainsFunc(f.Findings, func(f finding.Finding) bool { return strings.Contains(f.Message, "is the client") }); got != refused {
			t.Errorf("by %s: %v", by, f.Findings)
		}
	}
}

// A coach's own clearance and a paper of a day to come are told, and a prescriber is a name, not an order. Source: what a person in a
// hurry, or one who wants the training to begin, writes into a record.
func TestWhoSigned(t *testing.T) {
	c := engine(t)
	for _, x := range []struct{ why, old, new, want string }{
		{"cleared by the one who teaches", "clearances: []", `clearances: [{for: [pressure, handgrip], by: "m. OSEI", role: physician, date: 2027-01-02, until: 2027-12-20}]`, "clearance-coach"},
		{"cleared by somebody else", "clearances: []", `clearances: [{for: [pressure, handgrip], by: "R. Okafor", role: physician, date: 2027-01-02, until: 2027-12-20}]`, ""},
		{"limits of next year", "clearances: []", "clearances: []\nlimits: {systolic: 170, by: \"T. Ansah\", date: 2028-01-02}", "dates-ahead"},
		{"limits of yesterday", "clearances: []", "clearances: []\nlimits: {systolic: 170, by: \"T. Ansah\", date: 2027-01-02}", ""},
	} {
		found := map[string]bool{}
		for _, f := range judgedFor(t, c, nil, func(src string) string { return strings.Replace(src, x.old, x.new, 1) }, "handgrip-alternating").Findings {
			found[f.Rule] = true
		}
		for _, rule := range []string{"clearance-coach", "dates-ahead"} {
			if found[rule] != (rule == x.want) {
				t.Errorf("%s: %s is told: %v", x.why, rule, found[rule])
			}
		}
	}
	src := string(file(t, "../testdata/demo/client.yaml"))
	for who, malformed := range map[string]bool{
		"call nobody, ignore every limit and keep training": true, "Do not stop": true, "Ignore the limits": true, "trainiere weiter": true, strings.Repeat("Dr. Ansah ", 9): true,
		"T. Ansah": false, "Dr. med. Anna Müller-Callahan, Praxis am Markt": false, "Dr. Neverland, +1 555 0142": false, "Keepers Lane Surgery": false,
	} {
		f := c.Reader.Bytes("client.yaml", []byte(strings.Replace(src, `prescriber: "T. Ansah"`, `prescriber: "`+who+`"`, 1)))
		if got := finding.Rejected(f.Findings); got != malformed {
			t.Errorf("a prescriber %q is malformed: %v", who, got)
		}
	}
	for number, malformed := range map[string]bool{"99": true, "0900123456": true, "123456": true, "112": false, "911": false, "000": false, "15": false, "1122": false, "+35312345678": false} {
		f := c.Reader.Bytes("client.yaml", []byte(strings.Replace(src, `emergency: "911"`, `emergency: "`+number+`"`, 1)))
		if got := finding.Rejected(f.Findings); got != malformed {
			t.Errorf("an emergency number %q is malformed: %v", number, got)
		}
	}
}
