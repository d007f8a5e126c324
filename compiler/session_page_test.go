package compiler

import (
	"bytes"
	"encoding/json"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/handout"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

var sessionData = regexp.MustCompile(`(?s)<script type="application/json" id="data">(.*?)</script>`)

// What the page runs is plan.json, step for step, byte for byte: over every standard protocol, stage and language. The gate's
// numbers and the timings too.
func TestSessionPageRunsThePlan(t *testing.T) {
	ran := map[string]bool{}
	sheets(t, func(t *testing.T, p *record.Plan, in handout.Input, _ string) {
		page, err := handout.Session(in)
		if err != nil {
			t.Fatal(err)
		}
		plan, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		type steps []map[string]any
		var want struct {
			Gate  map[string]any
			Kinds map[string]struct{ Steps steps }
		}
		var got struct {
			Gate     map[string]any
			Ways     map[string]struct{ Steps steps }
			Sessions []struct{ UID, Start, Way string }
		}
		m := sessionData.FindSubmatch(page)
		if m == nil {
			t.Fatal("the page has no data")
		}
		if err := json.Unmarshal(m[1], &got); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(plan, &want); err != nil {
			t.Fatal(err)
		}
		same := func(a, b any) bool { x, _ := json.Marshal(a); y, _ := json.Marshal(b); return bytes.Equal(x, y) }
		if !same(got.Gate, want.Gate) || len(got.Gate) < 4 {
			t.Errorf("the gate is %v, want %v", got.Gate, want.Gate)
		}
		for i, s := range p.Sessions {
			g := got.Sessions[i]
			if g.UID != s.UID || g.Start != s.Start.String() {
				t.Fatalf("session %d is %v, want %v", i, g, s.UID)
			}
			way := got.Ways[g.Way]
			k := p.Kinds[s.Kind]
			if s.Status == record.Cancelled || s.Status == record.Provisional && k.Modality != record.SlowBreathing && (k.NoNumber || len(k.Loads) == 0) {
				if len(way.Steps) > 0 {
					t.Errorf("%s %s can be run", s.Kind, s.Status)
				}
				continue
			}
			if !same(way.Steps, want.Kinds[s.Kind].Steps) || len(way.Steps) == 0 {
				t.Errorf("%s: the page runs %v, want %v", s.Kind, way.Steps, want.Kinds[s.Kind].Steps)
			}
			ran[s.Kind] = true
		}
	})
	if len(ran) < 10 {
		t.Errorf("%d kinds were run: %v", len(ran), ran)
	}
}

// A log as the page writes it is read back without a problem, and each symptom that the page offers is one that the rules know.
func TestSessionPageLogIsRead(t *testing.T) {
	src, err := os.ReadFile("../testdata/sessionpage/sessions.csv")
	if err != nil {
		t.Fatal(err)
	}
	c := engine(t)
	now, err := unit.ParseLocal("2027-01-05T12:00")
	if err != nil {
		t.Fatal(err)
	}
	log, err := load.SessionLog("sessions.csv", src, load.LogSpan{Comparison: c.compared(), LeastApart: 5, Now: now})
	if err != nil {
		t.Fatal(err)
	}
	if len(log.Problems) > 0 || len(log.Sessions) < 2 {
		t.Errorf("%d sessions were read, with %v", len(log.Sessions), log.Problems)
	}
	for _, col := range log.Columns {
		if col.Means == "" {
			t.Errorf("column %d is not understood", col.Number)
		}
	}
	if s := log.Sessions[0]; s.Outcome != record.Stopped || s.Hand != record.Right || s.HeldSeconds.Sign() <= 0 || s.Systolic != 130 || s.Diastolic != 80 {
		t.Errorf("the first session is read as %+v", s)
	}
	if s := log.Sessions[1]; s.Outcome != record.Completed || !strings.Contains(s.Symptoms, `sore, "thumb"`) {
		t.Errorf("the second session is read as %+v", s)
	}
	words := c.Check.Base.Lexicon()
	// what the page writes of its own accord, before a client says which sign it was
	js, err := os.ReadFile("handout/page/session-gate.js")
	if err != nil {
		t.Fatal(err)
	}
	own := regexp.MustCompile(`symptoms: '([^']+)'`).FindAllStringSubmatch(string(js), -1)
	if len(own) == 0 {
		t.Error("the page writes no symptom of its own")
	}
	for _, m := range own {
		found, unknown := words.Recognise(m[1])
		if unknown || len(found) != 1 || !found[0].Grave {
			t.Errorf("%q is read back as %v", m[1], found)
		}
	}
	for _, s := range c.Check.Base.Symptoms() {
		found, unknown := words.Recognise(strings.ReplaceAll(s.ID, "-", " "))
		if unknown || !slices.ContainsFunc(found, func(f record.Symptom) bool { return f.ID == s.ID }) {
			t.Errorf("%s is read back as %v", s.ID, found)
		}
	}
}
