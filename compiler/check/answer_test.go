package check_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"isocue.example/compiler/check"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// A checker that has judged many clients finds in the next one what a fresh checker finds.
func TestAnswersAreNotMixed(t *testing.T) {
	c := engine(t)
	src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	var ps []*record.Protocol
	for _, id := range c.StandardIDs() {
		ps = append(ps, c.Standard(id).Protocols[0].Record)
	}
	rnd := rand.New(rand.NewPCG(9, 10))
	warm := check.New(c.Check.Base)
	found := 0
	for i := range 40 {
		text := string(src)
		for range rnd.IntN(4) {
			q := c.Check.Base.Questions()[rnd.IntN(len(c.Check.Base.Questions()))]
			a := []string{"yes", "unanswered", "no"}[rnd.IntN(3)]
			text = strings.Replace(text, fmt.Sprintf("    %s: \"no\"", q.ID), fmt.Sprintf("    %s: %q", q.ID, a), 1)
			if rnd.IntN(2) == 0 {
				text = strings.Replace(text, "conditions: []", fmt.Sprintf("conditions: [{code: %s, side: %s, since: 2026-10-%02d}]", q.ID, []string{"left", "right"}[rnd.IntN(2)], 1+rnd.IntN(28)), 1)
			}
			if rnd.IntN(2) == 0 {
				text = strings.Replace(text, "clearances: []", fmt.Sprintf("clearances: [{for: [%s, handgrip], by: \"R. Okafor\", role: physician, date: 202%d-12-20, until: 2027-12-20}]", q.ID, 4+rnd.IntN(3)), 1)
			}
		}
		f := c.Reader.Bytes("c.yaml", []byte(text))
		if f.Client == nil {
			t.Fatal(f.Findings, text)
		}
		day, _ := unit.ParseDate("2027-01-04")
		k := rnd.IntN(len(ps))
		o := check.Occasion{Protocols: []*record.Protocol{ps[k], ps[rnd.IntN(len(ps))]}, Start: day, Today: day - 1}
		got, want := warm.Client(f.Client, o), check.New(c.Check.Base).Client(f.Client, o)
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("%d: %v, want %v", i, got, want)
		}
		found += len(want)
	}
	if found == 0 {
		t.Error("no finding was seen")
	}
}
