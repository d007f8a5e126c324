package load

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/tree"
)

func reader(t testing.TB) *Reader {
	t.Helper()
	r, err := NewReader(nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

const asCUE = `id: "a", title: "A", revision: 1
modality: "handgrip"
load: fraction: 0.30
holdSeconds: 120, restSeconds: 240, rounds: 4, hands: "alternate"
daysPerWeek: 3, sessionsPerDay: 1, weeks: 8
ramp: [{weeks: 2, load: fraction: 0.20}, {weeks: 1, holdSeconds: 90}]
`

const asYAML = `id: a
title: A
revision: 1
modality: handgrip
load: {fraction: 0.30}
holdSeconds: 120
restSeconds: 240
rounds: 4
hands: alternate
daysPerWeek: 3
sessionsPerDay: 1
weeks: 8
ramp:
  - {weeks: 2, load: {fraction: 0.20}}
  - {weeks: 1, holdSeconds: 90}
`

const asJSON = `{"id": "a", "title": "A", "revision": 1, "modality": "handgrip", "load": {"fraction": 0.30}, "holdSeconds": 120.0,
"restSeconds": 240, "rounds": 4, "hands": "alternate", "daysPerWeek": 3, "sessionsPerDay": 1, "weeks": 8,
"ramp": [{"weeks": 2, "load": {"fraction": 0.20}}, {"weeks": 1, "holdSeconds": 90}]}`

// Three notations, one meaning; without a known ending the notation is told by content.
func TestNotations(t *testing.T) {
	r := reader(t)
	var first *tree.Node
	for _, c := range []struct{ name, src string }{{"a.cue", asCUE}, {"a.yaml", asYAML}, {"a.json", asJSON}, {"-", asCUE}, {"-", asYAML}, {"-", asJSON}} {
		f := r.Bytes(c.name, []byte(c.src))
		if len(f.Findings) > 0 || f.Kind != IsProtocol || len(f.Protocols) != 1 {
			t.Errorf("%s: %v %v", c.name, f.Kind, f.Findings)
			continue
		}
		if first == nil {
			first = f.Node
		} else if !tree.Equal(first, f.Node) {
			t.Errorf("%s means something else", c.name)
		}
		p := f.Protocols[0].Record
		if len(p.Stages) != 3 || p.Stages[0].Weeks != 2 || p.Stages[1].FromWeek != 3 || p.Stages[1].HoldSeconds != 90 || p.Stages[2].Weeks != 5 || p.Stages[2].FromWeek != 4 {
			t.Errorf("%s: stages %+v", c.name, p.Stages)
		}
		if s := p.StageAt(3); s.HoldSeconds != 90 || s.Load.String() != "0.3" {
			t.Errorf("%s: a ramp entry changes what it names and nothing else: %+v", c.name, s)
		}
	}
}

// A stage's values keep the places and paths of the lines that they come from.
func TestStagesKeepPlaces(t *testing.T) {
	f := reader(t).Bytes("a.cue", []byte(asCUE))
	for _, c := range []struct {
		stage      int
		field      []string
		path       string
		line, want int
	}{
		{0, []string{"load", "fraction"}, "ramp[0].load.fraction", 6, 0},
		{1, []string{"load", "fraction"}, "load.fraction", 3, 0},
		{1, []string{"holdSeconds"}, "ramp[1].holdSeconds", 6, 0},
		{2, []string{"holdSeconds"}, "holdSeconds", 4, 0},
	} {
		n := f.Protocols[0].Stages[c.stage].Get(c.field...)
		if n.Path() != c.path || n.Pos.Line != c.line {
			t.Errorf("stage %d: %s at line %d, want %s at line %d", c.stage, n.Path(), n.Pos.Line, c.path, c.line)
		}
	}
}

// Values outside a physical span, with the field that is at fault. Sources beside each.
func TestSpans(t *testing.T) {
	r := reader(t)
	for _, c := range []struct{ old, new, path, says, source string }{
		{"0.30", "0", "load.fraction", "over 0 to 1", "a share of nothing trains nobody"},
		{"0.30", "1.01", "load.fraction", "over 0 to 1, did you mean 0.0101", "nobody squeezes more than the maximum"},
		{"rounds: 4", "rounds: 0", "rounds", "1 to 60", "a session has a squeeze"},
		{"holdSeconds: 120", "holdSeconds: 1.5", "holdSeconds", "a whole number", "whole seconds are counted by a person"},
		{"weeks: 8", "weeks: -8", "weeks", "1 to 104", "time runs forward"},
		{`"A"`, "\"A\\nB\"", "title", "one line of text", "a line break would end a calendar line"},
		{`"A"`, "\"A\u202eB\"", "title", "one line of text", "Unicode bidirectional controls hide text"},
		{`id: "a"`, `id: "../a"`, "id", "lower-case letters", "an id names a folder"},
		{"revision: 1", "", "revision", "is missing", "an edit nobody can tell from the last"},
	} {
		if c.source == "" {
			t.Errorf("%s has no source", c.path)
		}
		f := r.Bytes("a.cue", []byte(strings.Replace(asCUE, c.old, c.new, 1)))
		if len(f.Findings) != 1 || f.Findings[0].Path != c.path || !strings.Contains(f.Findings[0].Message, c.says) || len(f.Protocols) != 0 {
			t.Errorf("%s for %s: %+v", c.new, c.old, f.Findings)
		}
	}
}

// Phases of a breath are whole seconds or tenths: a hundredth cannot be paced.
func TestTenths(t *testing.T) {
	src := `id: "b", title: "B", revision: 1, modality: "slow-breathing", breath: {inhaleSeconds: 4.25, exhaleSeconds: 5.5}
minutesPerSession: 10, daysPerWeek: 7, sessionsPerDay: 1, weeks: 8`
	f := reader(t).Bytes("b.cue", []byte(src))
	if len(f.Findings) != 1 || f.Findings[0].Path != "breath.inhaleSeconds" {
		t.Errorf("%+v", f.Findings)
	}
}

// Of a file with more slips than anybody repairs at once the first are told, and how many there are beside.
func TestFew(t *testing.T) {
	src := asYAML
	for i := range 500 {
		src += fmt.Sprintf("unknown%d: 1\n", i)
	}
	fs := reader(t).Bytes("a.yaml", []byte(src)).Findings
	if last := fs[len(fs)-1]; len(fs) != maxTold || !strings.HasPrefix(last.Message, "301 more places from here on are malformed") || last.Pos.Line != 15+maxTold {
		t.Errorf("%d findings, at last %+v", len(fs), last)
	}
	src = asYAML + "# \u202e\n"
	f := reader(t).Bytes("a.yaml", []byte(strings.ReplaceAll(src, `\u202e`, "\u202e")))
	if len(f.Findings) != 1 || f.Findings[0].Pos.Line != 16 || f.Findings[0].Pos.Column != 3 || len(f.Protocols) != 0 {
		t.Errorf("a comment that is shown turned round: %+v", f.Findings)
	}
	if f := reader(t).Bytes("a.yaml", []byte(asYAML+"# \u200f\u05d0 \t\r\n")); len(f.Findings) != 0 {
		t.Errorf("a mark of direction in a comment: %+v", f.Findings)
	}
}

// Law: Bytes never panics; a file has records or findings that reject, and every finding says where, how to repair
// and why.
func FuzzBytes(f *testing.F) {
	f.Add("a.cue", []byte(asCUE))
	f.Add("a.yaml", []byte(asYAML))
	f.Add("a.json", []byte(asJSON))
	f.Add("c.yaml", []byte("id: x-1\nzone: Europe/Lisbon\ndominantHand: right\nmeasured: {grip: [{date: 2027-01-02, hand: left, unit: N, trials: [1], score: mean, with: g}]}\nhours: [{days: [mon], from: \"07:00\", to: \"24:00\"}]"))
	f.Add("p.cue", []byte("limits: {\"a-b\": ceiling: 3}"))
	f.Add("w.cue", []byte("waivers: [{protocol: \"odd\"}]"))
	for _, src := range []string{"{}", "package protocols", "# nothing", "a: schema.#Protocol & {}", "modality: handgrip\rid: a", "- a", "name: A: B",
		"modality: slow-breathing\nramp: [{}]\nbreath: {inhaleSeconds: 0.05}", "measured: {squat: [{stages: []}], grip: {}}\nhours: [[]]", "rules: {\"clinic-a\": {}}"} {
		f.Add("x.yaml", []byte(src))
		f.Add("-", []byte(src))
	}
	hostile, err := filepath.Glob("../../testdata/hostile/*")
	if err != nil || len(hostile) < 100 {
		f.Fatal(err, len(hostile))
	}
	for _, name := range hostile {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(filepath.Base(name), b)
	}
	r := reader(f)
	f.Fuzz(func(t *testing.T, name string, src []byte) {
		x := r.Bytes(name, src)
		if x.Client == nil && len(x.Protocols) == 0 && x.Kind != IsPolicy && x.Kind != IsWaivers && !finding.Rejected(x.Findings) {
			t.Fatalf("%s: neither records nor a rejection", x.Kind)
		}
		for _, fd := range x.Findings {
			if x.Kind == IsClient && !fd.Private {
				t.Fatalf("a client's line would be quoted: %+v", fd)
			}
			if !fd.Pos.IsValid() || fd.Message == "" || fd.Remedy == "" || fd.Rationale == "" {
				t.Fatalf("finding lacks something: %+v", fd)
			}
		}
		if len(x.Findings) > maxTold {
			t.Fatalf("%d findings of one file", len(x.Findings))
		}
		for _, p := range x.Protocols { // what is read as a text is one line
			if !finding.OneLine(p.Record.Title) || !finding.OneLine(p.Record.ID) {
				t.Fatalf("a text that would be obeyed: %+v", p.Record)
			}
		}
	})
}
