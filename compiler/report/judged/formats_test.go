package judged

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"path"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/report"
	"isocue.example/compiler/rule"
)

var early = []Early{{"shape", "a file has the fields that are listed", "malformed", "write what is listed", "Names are fixed so that none is taken for another."}}

var loaded = sync.OnceValues(rule.Load)

func base(t testing.TB) *rule.Base {
	t.Helper()
	b, err := loaded()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// judged is a judgement of findings in files that are not there.
func judged(t testing.TB, fs ...finding.Finding) Judgement {
	return Judgement{Version: "1.2.3", Findings: fs, Base: base(t), Early: early, Policy: "no clinic policy", Why: true, Summary: []string{"the last line"}, Source: func(string) []byte { return nil }}
}

func write(t testing.TB, j Judgement, format string) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Formats.Write(&b, format, j); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// hostile are the pieces of texts and names that some format could take for its own.
var hostile = []string{"\n", "\r\n", "%", "%0A", "::", "::error::x", ",", "]]>", "<b>", "&amp;", "\x1b[31m", "\x00", "\u202e", "\u2028", "\"", "'", "{0}", "{",
	"[x](1)", "[x](http://x.example)", "##[error]", "é", "日本", "😀", "#", "?", " at ", " (", "\\", "load", "ours", ".cue"}

func made(r *rand.Rand, n int) string {
	var b strings.Builder
	for range 1 + r.IntN(n) {
		b.WriteString(hostile[r.IntN(len(hostile))])
	}
	return b.String()
}

func madeFindings(r *rand.Rand, ids []string) (out []finding.Finding) {
	var files []string
	for range 4 {
		files = append(files, path.Clean("f"+made(r, 3)+"/"+made(r, 4)+".cue")) // as the command line names them
	}
	for range r.IntN(12) {
		f := finding.Finding{Rule: ids[r.IntN(len(ids))], Verdict: finding.Verdicts[r.IntN(4)], Pos: finding.Pos{File: files[r.IntN(4)], Line: 1 + r.IntN(300), Column: 1 + r.IntN(9)},
			Path: made(r, 3), Message: made(r, 6), Remedy: made(r, 4), Rationale: made(r, 4), Found: made(r, 2), Private: r.IntN(3) == 0}
		if f.Verdict == finding.OutOfEvidence && r.IntN(2) == 0 {
			f.Waiver = finding.Waiver{By: made(r, 2), Date: "2027-01-01", Until: "2027-07-01", Reason: made(r, 3)}
		}
		out = append(out, f)
	}
	return finding.Sort(out)
}

// Law: the same findings are read back from every format, whatever stands in names and messages.
func TestFormatsHoldTheSameFindings(t *testing.T) {
	ids := append(base(t).IDs(), "shape")
	shown := map[string]func(string) string{"text": report.Clean, "json": strings.Clone, "sarif": strings.Clone, "github": visible, "junit": visible}
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 7))
		j := judged(t, madeFindings(r, ids)...)
		for _, format := range Formats.Names() {
			back := backs[format]
			if back == nil {
				t.Fatalf("no test reads %s back", format)
			}
			b := write(t, j, format)
			var want []place
			for _, f := range j.Findings {
				want = append(want, place{f.Rule, shown[format](f.Pos.File), f.Pos.Line})
			}
			got := back(t, b)
			sort := func(ps []place) {
				slices.SortFunc(ps, func(a, b place) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
			}
			sort(got)
			sort(want)
			if d := cmp.Diff(want, got, cmp.AllowUnexported(place{})); d != "" {
				t.Fatalf("seed %d, %s: -want +got\n%s\n%s", seed, format, d, b)
			}
			if i := bytes.IndexFunc(b, func(r rune) bool { return r != '\n' && report.Hidden(r) }); i >= 0 {
				t.Fatalf("seed %d, %s: a control character at byte %d of %q", seed, format, i, b)
			}
			if format == "github" && bytes.Count(b, []byte("\n")) != len(j.Findings)+1 {
				t.Fatalf("seed %d: not a line a finding and a last one:\n%s", seed, b)
			}
		}
	}
}

// Names of files that no log can show are shown with a sign in the place of what is hidden, and are escaped where a format can.
func TestFileNames(t *testing.T) {
	for _, c := range []struct{ why, file, uri, visible string }{
		{"plain", "a/b-1.cue", "a/b-1.cue", "a/b-1.cue"},
		{"a percent sign and a space", "a %41.cue", "a%20%2541.cue", "a %41.cue"},
		{"a colon reads as a scheme", "c:a.cue", "c%3Aa.cue", "c:a.cue"},
		{"a query and a fragment", "a?b#c.cue", "a%3Fb%23c.cue", "a?b#c.cue"},
		{"bytes that are no text", "a\xff.cue", "a%FF.cue", "a\ufffd.cue"},
		{"an escape sequence", "a\x1b[2J.cue", "a%1B%5B2J.cue", "a\ufffd[2J.cue"},
		{"beside the working directory", "../b.cue", "../b.cue", "../b.cue"},
		{"two slashes would name a host", "//host/b.cue", "host/b.cue", "//host/b.cue"},
	} {
		if got := uri(c.file); got != c.uri {
			t.Errorf("%s: uri %q, want %q", c.why, got, c.uri)
		}
		if got := visible(c.file); got != c.visible {
			t.Errorf("%s: shown %q, want %q", c.why, got, c.visible)
		}
	}
}

// A column is told in characters, in every format that tells one.
func TestColumns(t *testing.T) {
	src := []byte("é: 1\n\"日本\": 0.9\n")
	for _, c := range []struct {
		why       string
		pos       finding.Pos
		line, col int
	}{
		{"after letters of three bytes", finding.Pos{File: "a.cue", Line: 2, Column: 11}, 2, 7},
		{"after a letter of two bytes", finding.Pos{File: "a.cue", Line: 1, Column: 5}, 1, 4},
		{"past the end of the line", finding.Pos{File: "a.cue", Line: 1, Column: 99}, 1, 5},
		{"no place in the file", finding.Pos{File: "a.cue"}, 1, 0},
	} {
		j := judged(t, finding.Finding{Rule: "grip-load-ceiling", Verdict: finding.Unsafe, Pos: c.pos})
		j.Source = func(string) []byte { return src }
		var doc sarifLog
		if err := json.Unmarshal(write(t, j, "sarif"), &doc); err != nil {
			t.Fatal(err)
		}
		if r := doc.Runs[0].Results[0].Locations[0].Physical.Region; *r != (sarifRegion{c.line, c.col}) {
			t.Errorf("%s: sarif says %+v", c.why, *r)
		}
		want := fmt.Sprintf(",line=%d,col=%d,", c.line, c.col)
		if c.col == 0 {
			want = fmt.Sprintf(",line=%d,title", c.line)
		}
		if s := write(t, j, "github"); !bytes.Contains(s, []byte(want)) {
			t.Errorf("%s: github does not say %q: %s", c.why, want, s)
		}
	}
}

// What is said of a finding outside the clinic: a protocol's in full, a client's by the rule alone.
func TestPrivateFindings(t *testing.T) {
	for _, c := range []struct {
		why, rule, path string
		private         bool
		want            []string // what stands there
	}{
		{"about a protocol", "grip-load-ceiling", "load.fraction", false, []string{"SECRET-1", "SECRET-2", "load.fraction"}},
		{"about a client", "pressure-systolic-severe", "measured.bloodPressure[2].systolic", true, []string{"measured.bloodPressure[2].systolic"}},
		{"about a load, told at the protocol", "squat-set-zero", "load", false, []string{"load"}},
		{"an answer: the question stays unsaid", "screening-unanswered", "screening.answers.pregnancy", true, []string{"screening.answers"}},
		{"the shape of a client's file: a made-up field may be a name", "shape", "SECRET-3", true, nil},
		{"the shape of a protocol", "shape", "weeks", false, []string{"SECRET-1", "SECRET-2", "weeks"}},
	} {
		f := finding.Finding{Rule: c.rule, Verdict: finding.Unsafe, Pos: finding.Pos{File: "a.cue", Line: 3, Column: 1}, Path: c.path, Found: "SECRET-4", Allowed: "SECRET-5",
			Message: "SECRET-1 is too much", Remedy: "write SECRET-2", Rationale: "Why.", Private: c.private}
		j := judged(t, f)
		for _, format := range []string{"sarif", "github", "junit"} {
			b := string(write(t, j, format))
			for _, s := range []string{"SECRET-1", "SECRET-2", "SECRET-3", "SECRET-4", "SECRET-5", "pregnancy"} {
				if strings.Contains(b, s) != slices.Contains(c.want, s) {
					t.Errorf("%s, %s: %q stands there or is missing: %s", c.why, format, s, b)
				}
			}
			for _, s := range c.want {
				if format != "github" && !strings.Contains(b, s) {
					t.Errorf("%s, %s: does not say %q", c.why, format, s)
				}
			}
			if c.private && !strings.Contains(b, "not met: "+j.texts(c.rule).title) {
				t.Errorf("%s, %s: does not say what the rule claims: %s", c.why, format, b)
			}
		}
	}
}
