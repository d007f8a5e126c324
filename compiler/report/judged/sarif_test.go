package judged

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"isocue.example/compiler/finding"
)

// validator is the official schema of SARIF 2.1.0 plus errata 01 (OASIS, 2023).
func validator(t testing.TB) *jsonschema.Schema {
	t.Helper()
	b, err := os.ReadFile("testdata/sarif-schema-2.1.0.json")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource(sarifSchema, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(sarifSchema)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func validate(t testing.TB, s *jsonschema.Schema, b []byte) error {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(doc)
}

// Every SARIF file is valid against the schema and keeps GitHub's rules, whatever stands in it. Source: GitHub Docs, "SARIF
// support for code scanning".
func TestSARIFIsValid(t *testing.T) {
	s, ids := validator(t), append(base(t).IDs(), "shape")
	for seed := range uint64(120) {
		r := rand.New(rand.NewPCG(seed, 8))
		j := judged(t, madeFindings(r, ids)...)
		j.Strict = seed%3 == 0
		b := write(t, j, "sarif")
		if err := validate(t, s, b); err != nil {
			t.Fatalf("seed %d: %v\n%s", seed, err, b)
		}
		var log sarifLog
		if err := json.Unmarshal(b, &log); err != nil {
			t.Fatal(err)
		}
		for _, run := range log.Runs {
			keepsRules(t, run)
			if want := map[bool]int{true: 1}[finding.Refused(j.Findings, j.Strict)]; run.Invocations[0].ExitCode != want {
				t.Errorf("seed %d: exit code %d, want %d", seed, run.Invocations[0].ExitCode, want)
			}
		}
	}
}

func keepsRules(t *testing.T, run sarifRun) {
	t.Helper()
	levels := []string{"error", "warning"}
	for i, r := range run.Tool.Driver.Rules {
		if r.Short.Text == "" || r.Full.Text == "" || r.Help.Text == "" || len(r.Short.Text) > 1024 || len(r.Full.Text) > 1024 ||
			!slices.Contains(levels, r.Config.Level) || len(r.Properties.Tags) == 0 || len(r.Properties.Tags) > 20 {
			t.Errorf("rule %d lacks something: %+v", i, r)
		}
		if i > 0 && run.Tool.Driver.Rules[i-1].ID >= r.ID {
			t.Errorf("rule %s is out of order or stands twice", r.ID)
		}
	}
	prints, suppressed := map[string]bool{}, 0
	for i, r := range run.Results {
		if len(r.Locations) != 1 || r.Locations[0].Physical.Region.StartLine < 1 || r.Locations[0].Physical.Artifact.URI == "" || r.Message.Text == "" || !slices.Contains(levels, r.Level) {
			t.Errorf("result %d lacks something: %+v", i, r)
		}
		p := r.Fingerprints["rulePlace/v1"]
		if p == "" || prints[p] {
			t.Errorf("result %d has no fingerprint of its own: %q", i, p)
		}
		prints[p] = true
		if r.Suppressions != nil {
			suppressed++
		}
	}
	if suppressed != 0 && suppressed != len(run.Results) {
		t.Errorf("%d of %d results have a list of suppressions, allowed: all or none (SARIF 2.1.0, section 3.27.23)", suppressed, len(run.Results))
	}
	if len(run.Results) > maxResults {
		t.Errorf("%d results", len(run.Results))
	}
}

// The schema is alive: it refuses what is no SARIF.
func TestSchemaBites(t *testing.T) {
	s := validator(t)
	good := write(t, judged(t, finding.Finding{Rule: "grip-load-ceiling", Verdict: finding.Unsafe, Pos: finding.Pos{File: "a.cue", Line: 6, Column: 17}}), "sarif")
	for _, c := range []struct{ why, old, new string }{
		{"lines count from 1", `"startLine": 6`, `"startLine": 0`},
		{"a level that does not exist", `"level": "error"`, `"level": "unsafe"`},
		{"a field that does not exist", `"columnKind"`, `"columnsKind"`},
		{"another version", `"version": "2.1.0"`, `"version": "2.2"`},
		{"half an escape in a reference", `"uri": "a.cue"`, `"uri": "a%2.cue"`},
	} {
		if !bytes.Contains(good, []byte(c.old)) {
			t.Errorf("%s: %s does not stand there", c.why, c.old)
		}
		if validate(t, s, bytes.ReplaceAll(good, []byte(c.old), []byte(c.new))) == nil {
			t.Errorf("%s: accepted", c.why)
		}
	}
}

// A fingerprint outlives an edit above its line, and tells twins in one file apart.
func TestFingerprints(t *testing.T) {
	at := func(line int) finding.Finding {
		return finding.Finding{Rule: "grip-load-ceiling", Verdict: finding.Unsafe, Pos: finding.Pos{File: "a.cue", Line: line, Column: 1}, Path: "load.fraction"}
	}
	prints := func(fs ...finding.Finding) (out []string) {
		var log sarifLog
		if err := json.Unmarshal(write(t, judged(t, fs...), "sarif"), &log); err != nil {
			t.Fatal(err)
		}
		for _, r := range log.Runs[0].Results {
			out = append(out, r.Fingerprints["rulePlace/v1"])
		}
		return out
	}
	two := prints(at(3), at(9))
	if moved := prints(at(5), at(11)); !slices.Equal(two, moved) {
		t.Errorf("%v moved to %v", two, moved)
	}
	if two[0] == two[1] {
		t.Error("twins have one fingerprint")
	}
	other := at(3)
	other.Pos.File = "b.cue"
	if prints(other)[0] == two[0] {
		t.Error("another file has the same fingerprint")
	}
}
