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
