package compiler

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/unit"
)

// Law: whatever stands in a client record, a compile of any standard protocol ends in a plan or in a rejection, never in a
// panic or an error; a plan has a calendar; a lint for the protocol ends too. The input edits the demo record: lines are
// dropped, numbers and words replaced.
func FuzzCompile(f *testing.F) {
	src, err := os.ReadFile(filepath.Join("..", "testdata", "demo", "client.yaml"))
	if err != nil {
		f.Fatal(err)
	}
	c := engine(f)
	ids := c.StandardIDs()
	for i := range ids {
		f.Add(uint8(i), uint16(80), "40.0", "0.1", int16(0))
		f.Add(uint8(i), uint16(0), "heartRate: 82", "heartRate: 120", int16(3))
		f.Add(uint8(i), uint16(0), "static", "dynamic", int16(-1))
		f.Add(uint8(i), uint16(0), "cmH2O: 10}", "cmH2O: 400}", int16(6))
		f.Add(uint8(i), uint16(0), "away: []", "away: [{from: 2027-01-04, to: 2027-03-01}]", int16(0))
		f.Add(uint8(i), uint16(0), "conditions: []", "conditions: [{code: hand-hurt, side: left}]", int16(0))
		f.Add(uint8(i), uint16(0), "born: 1971", "born: 2027", int16(0))
		f.Add(uint8(i), uint16(0), "unit: kgf, step: 0.5", "unit: N, step: 50", int16(40))
	}
	start, _ := unit.ParseDate("2027-01-04")
	f.Fuzz(func(t *testing.T, which uint8, line uint16, old, new string, shift int16) {
		text := string(src)
		if old != "" {
			text = strings.Replace(text, old, new, 1)
		}
		if lines := strings.Split(text, "\n"); int(line) > 0 && int(line) < len(lines) {
			text = strings.Join(append(lines[:line:line], lines[line+1:]...), "\n")
		}
		ends(t, c, text, ids[int(which)%len(ids)], start+unit.Date(shift%400))
	})
}

// Every line of a record may be missing and every number may be another one: the law holds all the same. The quick check tries one
// in seven.
func TestEveryLineAndNumber(t *testing.T) {
	b, err := os.ReadFile(filepath.Join("..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	c := engine(t)
	ids := c.StandardIDs()
	start, _ := unit.ParseDate("2027-01-04")
	src := string(b)
	lines := strings.Split(src, "\n")
	n, tried := 0, 0
	ends := func(t *testing.T, c *Compiler, text, id string, start unit.Date) {
		t.Helper()
		if full || n%7 == 0 {
			tried++
			ends(t, c, text, id, start)
		}
	}
	for i := range lines {
		n++
		ends(t, c, strings.Join(append(lines[:i:i], lines[i+1:]...), "\n"), ids[n%len(ids)], start)
	}
	for _, at := range regexp.MustCompile(`\b[0-9]+(\.[0-9]+)?\b`).FindAllStringIndex(src, -1) {
		for _, x := range []string{"0", "99", "0.001"} {
			n++
			ends(t, c, src[:at[0]]+x+src[at[1]:], ids[n%len(ids)], start)
		}
	}
	if n < 700 || tried < n/7 {
		t.Errorf("only %d records of %d were tried", tried, n)
	}
}

// ends holds one record to the law.
func ends(t *testing.T, c *Compiler, text, id string, start unit.Date) {
	t.Helper()
	x := c.Reader.Bytes("c.yaml", []byte(text))
	if x.Client == nil {
		if !finding.Rejected(x.Findings) {
			t.Fatal("neither a record nor a rejection")
		}
		return
	}
	p := &c.Standard(id).Protocols[0]
	c.Lint(x, now, p)
	r, err := c.Compile(Input{Protocols: []*load.Protocol{p}, Client: x.Client, Start: start, Now: now})
	if err != nil {
		t.Fatal(err)
	}
	if (r.Plan == nil) != finding.Rejected(r.Findings) {
		t.Fatalf("plan %v beside %v", r.Plan != nil, r.Findings)
	}
	if r.Plan != nil {
		if _, err := calendar.Encode(nil, r.Plan, calendar.Options{Version: "t"}); err != nil {
			t.Fatal(err)
		}
	}
}
