package compiler

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// survives holds one text of a plan to the law below, and says whether it was read as a plan.
func survives(t *testing.T, c *Compiler, in Input, text string) bool {
	t.Helper()
	p, err := load.ReadPlan([]byte(text))
	if err != nil {
		return false
	}
	defer func() {
		if x := recover(); x != nil {
			panic(x)
		}
	}()
	in.Previous, in.Start, in.Pauses, in.Closed = p, p.Start, p.Pauses, p.Closed
	r, err := c.Compile(in)
	if err == nil && (r.Plan == nil) != finding.Rejected(r.Findings) {
		t.Fatalf("plan %v beside %v", r.Plan != nil, r.Findings)
	}
	if err == nil && r.Plan != nil {
		calendar.Encode(nil, r.Plan, calendar.Options{Version: "t"}) // an error says what is wrong, and nothing is written
	}
	day, _ := unit.ParseDate("2027-02-01")
	if plan, _, err := c.Stop(p, day, in.Now); err == nil {
		calendar.Encode(nil, plan, calendar.Options{Version: "t"})
		plans.Table(&bytes.Buffer{}, plan)
	}
	return true
}

// Law: whatever a plan before holds, a compile that follows it, and its stop, end in a plan, in a rejection or in an error, never in
// a panic. Every line of a plan is dropped, and every number, date and word replaced; in the quick check every sixth.
func TestEveryLineOfAPlan(t *testing.T) {
	c := engine(t)
	in := demo(t, c, "handgrip-alternating", "slow-breathing-short-pause")
	var b bytes.Buffer
	if err := plans.JSON(&b, plan(t, c, in)); err != nil {
		t.Fatal(err)
	}
	in.Now = in.Now.AddDate(0, 0, 20)
	text := b.String()
	if !survives(t, c, in, text) {
		t.Fatal("the plan itself is not followed")
	}
	met, tried, read := 0, 0, 0
	try := func(text string) {
		if met++; !full && met%6 > 0 {
			return
		}
		tried++
		if survives(t, c, in, text) {
			read++
		}
	}
	lines := strings.SplitAfter(text, "\n")
	for i := range lines {
		if i < 40 || i%97 == 0 || i > len(lines)-20 {
			try(strings.Join(append(lines[:i:i], lines[i+1:]...), ""))
		}
	}
	for n, at := range regexp.MustCompile(`"[^"]*"|-?[0-9]+(\.[0-9]+)?`).FindAllStringIndex(text, -1) {
		if n%7 > 0 && n > 40 || n > 200 && n%211 > 0 {
			continue
		}
		for _, x := range []string{"0", "-1", "1e9", `""`, `"x"`, "null", `"0001-01-01"`, `"9999-12-31"`, `"0001-01-01T00:00"`, `"9999-12-31T23:00"`} {
			try(text[:at[0]] + x + text[at[1]:])
		}
	}
	if met < 500 || tried < met/6 || read < tried/5 {
		t.Errorf("%d plans tried, %d read", tried, read)
	}
	t.Logf("%d plans tried, %d read and followed", tried, read)
}
