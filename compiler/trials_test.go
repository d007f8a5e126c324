package compiler

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
)

// Published trial protocols, one file each with its citation: none is unsafe or out of evidence, and each gets exactly the
// cautions that its header names.
func TestTrials(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "testdata", "trials", "*.cue"))
	if err != nil || len(files) < 15 {
		t.Fatal(err, len(files))
	}
	c := engine(t)
	ids := regexp.MustCompile(`\b(?:grip|breath|inspiratory|squat|walking|strength)-[a-z-]+`)
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		f := c.Reader.Bytes(filepath.Base(name), src)
		if len(f.Protocols) != 1 {
			t.Errorf("%s: %v", name, f.Findings)
			continue
		}
		head, _, _ := strings.Cut(string(src), "\nid:")
		if !strings.Contains(head, "Source: ") {
			t.Errorf("%s has no source", name)
		}
		_, judged, _ := strings.Cut(head, "Judged: ")
		want := ids.FindAllString(judged, -1)
		var got []string
		for _, fd := range c.Check.Protocol(&f.Protocols[0]) {
			if fd.Verdict != finding.Caution {
				t.Errorf("%s: %s: %s [%s]", name, fd.Verdict, fd.Message, fd.Rule)
			}
			if !slices.Contains(got, fd.Rule) {
				got = append(got, fd.Rule)
			}
		}
		slices.Sort(want)
		slices.Sort(got)
		if !slices.Equal(want, got) {
			t.Errorf("%s: judged %v, want %v", name, got, want)
		}
	}
}

// Worked cases of the evidence brief: what is refused, and by which rule. Each row is one protocol laid over a standard one.
func TestLintVectors(t *testing.T) {
	c := engine(t)
	breath := func(in, pause, out, rest, minutes, days string) string {
		return "id: \"v\", title: \"V\", revision: 1\nmodality: \"slow-breathing\"\nbreath: {inhaleSeconds: " + in + ", pauseSeconds: " + pause + ", exhaleSeconds: " + out + ", restSeconds: " + rest +
			"}\nminutesPerSession: " + minutes + ", daysPerWeek: " + days + ", sessionsPerDay: 1, weeks: 8\n"
	}
	mip := func(load, more string) string {
		return "id: \"v\", title: \"V\", revision: 1\nmodality: \"inspiratory\"\nload: fraction: " + load + "\n" + more + "\ndaysPerWeek: 6, sessionsPerDay: 1, weeks: 6\n"
	}
	const five = "sets: 5, breathsPerSet: 6, restSeconds: 60"
	for _, v := range []struct{ why, src, rules, source string }{
		{"box breathing: rate, pause and rest", breath("4", "4", "4", "4", "15", "7"), "breath-rate-floor breath-pause-ceiling breath-rest-ceiling", "vector 1"},
		{"4 in, 6 out, 15 min daily passes", breath("4", "0", "6", "0", "15", "7"), "", "vector 2"},
		{"twelve a minute is not slow", breath("2", "0", "3", "0", "15", "7"), "breath-rate-ceiling", "vector 3"},
		{"inhale longer than exhale", breath("6", "0", "4", "0", "15", "7"), "exhale-to-inhale", "vector 4"},
		{"15 minutes a week are too few", breath("5", "0", "5", "0", "5", "3"), "breath-minutes-week", "vector 5"},
		{"30 minutes a week are a caution", breath("5", "0", "5", "0", "5", "6"), "", "vector 6"},
		{"75 percent in the first week is a caution", mip("0.75", five), "", "vector 7"},
		{"78 percent in the first week is refused", mip("0.78", five), "inspiratory-first-week-ceiling", "vector 7"},
		{"90 percent", mip("0.90", five), "inspiratory-load-ceiling", "vector 8"},
		{"15 percent is sham", mip("0.15", five), "inspiratory-sham", "vector 9"},
		{"75 percent for 20 minutes", mip("0.75", "minutesPerSession: 20"), "inspiratory-strength-minutes", "vector 10"},
	} {
		if v.source == "" {
			t.Errorf("%s: no source", v.why)
		}
		f := c.Reader.Bytes("v.cue", []byte(v.src))
		if len(f.Protocols) != 1 {
			t.Errorf("%s: %v", v.why, f.Findings)
			continue
		}
		var got []string
		for _, fd := range c.Check.Protocol(&f.Protocols[0]) {
			if fd.Rejects() {
				got = append(got, fd.Rule)
			}
		}
		want := strings.Fields(v.rules)
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s: refused by %v, want %v", v.why, got, want)
		}
	}
}
