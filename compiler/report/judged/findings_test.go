package judged

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"isocue.example/compiler/finding"
)

var one = finding.Finding{Rule: "r-a", Verdict: finding.Unsafe, Pos: finding.Pos{File: "a.cue", Line: 2, Column: 8}, Path: "load", Found: "0.9",
	Allowed: "at most 0.6", Message: "load is 0.9", Remedy: "write 0.3", Rationale: "Why.", Sources: []string{"s-1"}}

func TestText(t *testing.T) {
	for _, c := range []struct {
		why, src, want string
		edit           func(*finding.Finding)
	}{
		{"the word is marked", "x: 1\n  load: 0.9, y: 2\n", "a.cue:2:8: unsafe: load is 0.9 [r-a]\n    | load: 0.9, y: 2\n    |      ^\n    fix: write 0.3\n    why: Why. (s-1)\n",
			func(f *finding.Finding) {}},
		{"a client's line is never quoted", "x: 1\n  load: 0.9\n", "a.cue:2:8: unsafe: load is 0.9 [r-a]\n    fix: write 0.3\n    why: Why. (s-1)\n",
			func(f *finding.Finding) { f.Private = true }},
		{"a tab before the word keeps the mark below it", "x: 1\n\tload:\t0.9\n", "a.cue:2:8: unsafe: load is 0.9 [r-a]\n    | load: 0.9\n    |       ^^^\n    fix: write 0.3\n    why: Why. (s-1)\n",
			func(f *finding.Finding) {}},
		{"letters of several bytes count as one", "x: 1\n\"é\": 0.9\r\n", "a.cue:2:7: unsafe: load is 0.9 [r-a]\n    | \"é\": 0.9\n    |      ^^^\n    fix: write 0.3\n    why: Why. (s-1)\n",
			func(f *finding.Finding) { f.Pos.Column = 7 }},
		{"a column past the end marks the end", "x: 1\nload", "a.cue:2:99: unsafe: load is 0.9 [r-a]\n    | load\n    |     ^\n    fix: write 0.3\n    why: Why. (s-1)\n",
			func(f *finding.Finding) { f.Pos.Column = 99 }},
		{"a line past the end is not quoted", "x: 1\n", "a.cue:9:1: unsafe: load is 0.9 [r-a]\n    fix: write 0.3\n    why: Why. (s-1)\n",
			func(f *finding.Finding) { f.Pos.Line, f.Pos.Column = 9, 1 }},
		{"a word far out on a long line is not quoted", "x: 1\n" + strings.Repeat("y", 200) + "0.9", "a.cue:2:201: unsafe: load is 0.9 [r-a]\n    fix: write 0.3\n    why: Why. (s-1)\n",
			func(f *finding.Finding) { f.Pos.Column = 201 }},
		{"bytes that are no text do not reach the terminal", "x: 1\nload: \xff\x9b", "a.cue:2:7: unsafe: load is 0.9 [r-a]\n    | load: ?\n    |       ^\n    fix: write 0.3\n    why: Why. (s-1)\n",
			func(f *finding.Finding) { f.Pos.Column = 7 }},
		{"no line, no mark", "", "a.cue: unsafe: load is 0.9 [r-a]\n    fix: write 0.3\n    why: Why. (s-1)\n",
			func(f *finding.Finding) { f.Pos = finding.Pos{File: "a.cue"} }},
		{"control and direction characters are dropped", "x: 1\n\x1b[31mlo\u202ea\u061cd: 9", "a.cue:2:1: unsafe: lo[31mad [r-a]\n    | [31mload: 9\n    | ^^^^^^^^^\n    fix: write 0.3\n    why: Why. (s-1)\n",
			func(f *finding.Finding) { f.Message, f.Pos.Column = "lo\x1b[31mad\u2028", 1 }},
	} {
		f := one
		c.edit(&f)
		var b bytes.Buffer
		if err := Formats.Write(&b, "text", Judgement{Findings: []finding.Finding{f}, Why: true, Source: func(string) []byte { return []byte(c.src) }}); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(c.want, b.String()); d != "" {
			t.Errorf("%s: -want +got\n%s", c.why, d)
		}
	}
}

// What is about a client is first a sentence: in which file, what is wrong, what to do. Its line stands there where the file itself has to be
// mended, and the field is called by what stands on that line.
func TestPlainly(t *testing.T) {
	about := func(v finding.Verdict, path, says, fix string) finding.Finding {
		return finding.Finding{Rule: "r-a", Verdict: v, Pos: finding.Pos{File: "a.yaml", Line: 7, Column: 3}, Path: path, Message: says, Remedy: fix, Rationale: "Why.", Private: true}
	}
	held := about(finding.Unsafe, "log", "the pulse is 128, allowed: at most 120", "call the prescriber")
	held.Held = "ours"
	for _, x := range []struct {
		why, want string
		f         finding.Finding
	}{
		{"a refusal", "a.yaml: The mean is 172 mmHg. No session.\n", about(finding.Unsafe, "measured", "the mean is 172 mmHg, allowed: under 160 mmHg", "no session")},
		{"a caution says so", "a.yaml: Caution: the gauge steps 1 kgf. Set it by hand.\n", about(finding.Caution, "devices", "the gauge steps 1 kgf, usual: 0.5", "set it by hand")},
		{"a hold says what is held", "a.yaml: Ours is held: the pulse is 128. Call the prescriber.\n", held},
		{"a field of a record in a list", "a.yaml, line 7: unit of grip is \"kg\". Write \"kgf\".\n", about(finding.Malformed, "measured.grip[0].unit", "measured.grip[0].unit is \"kg\", allowed: \"kgf\"", "write \"kgf\"")},
		{"an element", "a.yaml, line 7: entry 2 of trials is \"a\". Write a number.\n", about(finding.Malformed, "measured.grip[0].trials[1]", "measured.grip[0].trials[1] is \"a\", allowed: a number", "write a number")},
		{"a field keeps its letters", "a.yaml, line 7: dominantHand is missing. Add it.\n", about(finding.Malformed, "dominantHand", "dominantHand is missing, allowed: \"left\"", "add it")},
		{"no terminal obeys it", "a.yaml: Lo[31mad. Write 3.\n", about(finding.Unsafe, "x", "lo\x1b[31mad\u2028", "write\u202e 3")},
	} {
		var b bytes.Buffer
		if err := Formats.Write(&b, "text", Judgement{Findings: []finding.Finding{x.f}}); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(x.want+"--why says the rule, the place, the reason and the sources of each\n", b.String()); d != "" {
			t.Errorf("%s: -want +got\n%s", x.why, d)
		}
	}
}

// The JSON of findings has the names that other programs rely on.
func TestJSON(t *testing.T) {
	var b bytes.Buffer
	if err := Formats.Write(&b, "json", Judgement{Findings: []finding.Finding{one}}); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Version  int
		Findings []map[string]any
		Summary  map[string]int
		Note     string
	}
	if err := json.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	want := []map[string]any{{"rule": "r-a", "verdict": "unsafe", "file": "a.cue", "line": 2., "column": 8., "path": "load", "found": "0.9", "allowed": "at most 0.6",
		"message": "load is 0.9", "rationale": "Why.", "remedy": "write 0.3", "sources": []any{"s-1"}, "waiver": nil}}
	if d := cmp.Diff(want, got.Findings); d != "" || got.Version != 1 || got.Note != "refused" {
		t.Errorf("-want +got\n%s %+v", d, got)
	}
	if d := cmp.Diff(map[string]int{"malformed": 0, "unsafe": 1, "outOfEvidence": 0, "caution": 0, "waived": 0}, got.Summary); d != "" {
		t.Error(d)
	}
}

// Summaries say what was found and what it is worth.
func TestSummary(t *testing.T) {
	caution := one
	caution.Verdict = finding.Caution
	waived := one
	waived.Waiver = finding.Waiver{By: "B. Reviewer", Until: "2027-07-01", Reason: "agreed"}
	for _, c := range []struct {
		fs   []finding.Finding
		want string
	}{
		{nil, "1 file judged; " + NotClearance + "; none"},
		{[]finding.Finding{caution}, "1 file judged: 1 caution; " + NotClearance + "; none"},
		{[]finding.Finding{one, caution}, "1 file judged: 1 unsafe, 1 caution; refused; none"},
		{[]finding.Finding{waived}, "1 file judged: 1 waived; " + NotClearance + "; none"},
	} {
		if got := Summary(1, c.fs, "none"); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// An overview says how many of which kind, and names what was refused, up to a number that can be read in a second.
func TestOverview(t *testing.T) {
	kinds := []Kind{{2, "protocol file", "protocol files"}, {0, "client record", "client records"}, {1, "policy", "policies"}}
	at := func(file string, v finding.Verdict) finding.Finding {
		return finding.Finding{Verdict: v, Pos: finding.Pos{File: file, Line: 1}}
	}
	var many []finding.Finding
	for _, f := range strings.Split("abcdefghij", "") {
		many = append(many, at(f, finding.Unsafe))
	}
	for _, c := range []struct {
		why  string
		fs   []finding.Finding
		want string
	}{
		{"a caution refuses nothing", []finding.Finding{at("a", finding.Caution)}, "2 protocol files, 1 policy"},
		{"what refuses is counted by file", []finding.Finding{at("a", finding.Unsafe), at("a", finding.Caution), at("a\x1b[2J", finding.Malformed), at("a", finding.Unsafe)},
			"2 protocol files, 1 policy; refused: a (2 unsafe), a[2J (1 malformed)"},
		{"more than can be read are counted", many, "2 protocol files, 1 policy; refused: a (1 unsafe), b (1 unsafe), c (1 unsafe), d (1 unsafe), e (1 unsafe), f (1 unsafe), g (1 unsafe), h (1 unsafe), 2 more"},
	} {
		if got := Overview(kinds, c.fs); got != c.want {
			t.Errorf("%s: %q, want %q", c.why, got, c.want)
		}
	}
}
