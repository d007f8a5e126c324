package load

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/guard"
	"isocue.example/compiler/tree"
	"isocue.example/schema"
)

// What is wrong with a protocol is told alike in every notation: only the place is the notation's own.
func TestNotationsTellTheSame(t *testing.T) {
	r := reader(t)
	for _, c := range []struct{ old, new, why, source string }{
		{`"fraction":0.30`, `"fraction":30`, "a share written as percent", "schema/protocol.cue"},
		{`"holdSeconds":120`, `"holdSecond":120`, "a near name", "schema/protocol.cue"},
		{`"rounds":4`, `"rounds":"4"`, "a number in quotes", "schema/protocol.cue"},
		{`"hands":"alternate"`, `"hands":"both"`, "a word that is none", "schema/protocol.cue"},
		{`"modality":"handgrip"`, `"modality":"hand-grip"`, "a near modality", "schema/protocol.cue"},
		{`"weeks":8`, `"weeks":[8]`, "a list", "schema/protocol.cue"},
		{`"load":{"fraction":0.30}`, `"load":0.30`, "a number for a record", "schema/protocol.cue"},
		{`{"weeks":2,`, `{"week":2,`, "a slip in the ramp", "schema/protocol.cue"},
		{`"title":"A"`, `"title":""`, "an empty title", "schema/words.cue"},
	} {
		if c.why == "" || c.source == "" {
			t.Errorf("%s has no why or no source", c.new)
		}
		const src = `{"id":"a","title":"A","revision":1,"modality":"handgrip","load":{"fraction":0.30},"holdSeconds":120,"restSeconds":240,"rounds":4,"hands":"alternate","daysPerWeek":3,"sessionsPerDay":1,"weeks":8,"ramp":[{"weeks":2,"load":{"fraction":0.20}}]}`
		if !strings.Contains(src, c.old) {
			t.Fatalf("%q does not stand in the protocol", c.old)
		}
		text := strings.Replace(src, c.old, c.new, 1)
		var first []string
		for _, name := range []string{"a.json", "a.yaml", "a.cue"} { // JSON is YAML, and with commas CUE
			var got []string
			for _, f := range r.Bytes(name, []byte(strings.ReplaceAll(text, ":", ": "))).Findings {
				got = append(got, fmt.Sprint(f.Rule, f.Verdict, f.Path, f.Found, f.Allowed, f.Message, f.Remedy, f.Pos.Line))
			}
			slices.Sort(got)
			if len(got) == 0 {
				t.Errorf("%s: %s was accepted", c.why, name)
			}
			if first == nil {
				first = got
			} else if !slices.Equal(first, got) {
				t.Errorf("%s: %s says\n%s\nnot\n%s", c.why, name, strings.Join(got, "\n"), strings.Join(first, "\n"))
			}
		}
	}
}

// The demo client means the same as YAML, JSON and CUE.
func TestClientNotations(t *testing.T) {
	r := reader(t)
	src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	first := r.Bytes("c.yaml", src)
	if first.Client == nil {
		t.Fatal(first.Findings)
	}
	for name, to := range map[string]Format{"c.cue": CUE, "c.json": guard.JSON} {
		b, err := Convert(src, to)
		if err != nil {
			t.Fatal(err)
		}
		f := r.Bytes(name, b)
		if f.Client == nil || !tree.Equal(first.Node, f.Node) {
			t.Errorf("%s means something else: %v", name, f.Findings)
		}
	}
}

// The digest is that of the bytes as they are on disk, of an unreadable file too.
func TestDigest(t *testing.T) {
	r := reader(t)
	for _, src := range []string{asCUE, asCUE + "\n", "", "\xff"} {
		if got, want := r.Bytes("a.cue", []byte(src)).Digest, fmt.Sprintf("%x", sha256.Sum256([]byte(src))); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	// FIPS 180-4, example: SHA-256 of "abc".
	if got := r.Bytes("a.cue", []byte("abc")).Digest; got != "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" {
		t.Error(got)
	}
}

// The kind is told by content, whatever the name says, and a file that is none is never silent.
func TestKindByContent(t *testing.T) {
	r := reader(t)
	for _, c := range []struct {
		name, src   string
		want        Kind
		why, source string
	}{
		{"client.yaml", asYAML, IsProtocol, "a protocol named client", "docs/cli.md"},
		{"x.yaml", "modality: x\nmeasured: {}", IsProtocol, "a protocol with a client's field", "docs/cli.md"},
		{"x.yaml", "screening: {}\nwaivers: []", IsClient, "a client record with a waivers field", "docs/cli.md"},
		{"x.yaml", "limits: {}", IsPolicy, "limits alone", "docs/cli.md"},
		{"x.yaml", "options: {}", IsPolicy, "options alone", "schema/policy.cue"},
		{"x.yaml", "sessions: []", IsPlan, "sessions", "compiler/record/plan.go"},
		{"x.yaml", "rules: v0.1\nwaivers: []\nsessions: []", IsPlan, "a plan has rules and waivers too", "compiler/record/plan.go"},
		{"x.yaml", "hello: 1", IsUnknown, "a word of no file", "docs/cli.md"},
		{"policy.cue", "measured: {}", IsClient, "a client record named policy", "docs/cli.md"},
		{"waivers.cue", "reviewers: []", IsPolicy, "a policy named waivers", "docs/cli.md"},
		{"x.json", `{"waivers": []}`, IsWaivers, "waivers", "docs/cli.md"},
		{"x.json", `{}`, IsUnknown, "nothing at all", "a silence would look like a judgement"},
		{"x.cue", "package protocols", IsUnknown, "a clause alone", "a silence would look like a judgement"},
		{"x.yaml", "# nothing", IsUnknown, "a comment alone", "a silence would look like a judgement"},
		{"x.cue", "a: {modality: 1}, b: 2", IsUnknown, "a protocol beside something else", "docs/cli.md"},
		{"x.cue", "a: {}", IsUnknown, "an empty record by name", "docs/cli.md"},
	} {
		if c.why == "" || c.source == "" {
			t.Errorf("%q has no why or no source", c.src)
		}
		f := r.Bytes(c.name, []byte(c.src))
		if f.Kind != c.want {
			t.Errorf("%s: a %s, want a %s", c.why, f.Kind, c.want)
		}
		if c.want == IsUnknown && !finding.Rejected(f.Findings) {
			t.Errorf("%s was accepted", c.why)
		}
	}
}

// A line of a client's file is never quoted: every finding about one is private, readable or not.
func TestClientsArePrivate(t *testing.T) {
	r := reader(t)
	for _, c := range []struct{ name, src, why, source string }{
		{"c.yaml", "id: X\nmeasured: {}", "trouble of shape", "docs/security.md"},
		{"c.yaml", "name: A\nname: B\nmeasured: {}", "a name twice", "docs/security.md"},
		{"c.yaml", "name: A: B\nmeasured: {}", "syntax of YAML", "docs/security.md"},
		{"c.json", `{"name": "A",, "zone": 1}`, "syntax of JSON", "docs/security.md"},
		{"c.cue", "dominantHand: \"left\" | \"right\"", "not data", "docs/security.md"},
		{"c.cue", "measured: {", "syntax of CUE", "docs/security.md"},
		{"c.yaml", "id: a\nzone: \"\xff\"", "not UTF-8", "docs/security.md"},
		{"-", "name: A: B\n\"measured\": {}", "no ending", "docs/security.md"},
		{"c.yaml", strings.Repeat("# much\n", 10000) + "screening: {}", "too large", "docs/security.md"},
	} {
		if c.why == "" || c.source == "" {
			t.Errorf("%.20q has no why or no source", c.src)
		}
		f := r.Bytes(c.name, []byte(c.src))
		if f.Kind != IsClient || len(f.Findings) == 0 {
			t.Errorf("%s: a %s with %d findings", c.why, f.Kind, len(f.Findings))
		}
		for _, x := range f.Findings {
			if !x.Private {
				t.Errorf("%s: its line would be quoted: %+v", c.why, x)
			}
		}
	}
	for _, x := range r.Bytes("p.cue", []byte("modality: \"handgrip\"\nload: 1 + 1")).Findings {
		if x.Private {
			t.Errorf("a protocol's line is hidden: %+v", x)
		}
	}
}

// Convert keeps what a text of ours means; JSON that it writes is JSON.
func TestConvert(t *testing.T) {
	for _, to := range []Format{CUE, YAML, guard.JSON} {
		out, err := Convert([]byte("# a comment\nid: a\ntitle: \"x\\n\\u00e9 \\\"q\\\"\"\nn: [1, 0.30, -2, true, null]\n"), to)
		if err != nil {
			t.Fatal(err)
		}
		d, fs := guard.Parse("x", out, to, schema.Path)
		if d == nil {
			t.Fatalf("%s: %v\n%s", to, fs, out)
		}
		if d.Root.Get("title").Text() != "x\né \"q\"" || d.Root.Get("n", "1").Num.String() != "0.3" || len(d.Root.Get("n").Items()) != 5 {
			t.Errorf("%s means something else:\n%s", to, out)
		}
		if to == guard.JSON && !json.Valid(out) {
			t.Errorf("no JSON: %s", out)
		}
		if to != guard.JSON && !strings.Contains(string(out), "a comment") {
			t.Errorf("%s lost the comment", to)
		}
	}
}

// What #Line bars is what finding.Obeyed names, character by character.
func TestOneLine(t *testing.T) {
	src, err := schema.FS.ReadFile("words.cue")
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`(?m)^#Line: =~("\^\[.*\]\+\$") &`).FindSubmatch(src)
	if m == nil {
		t.Fatal("words.cue has no #Line")
	}
	pattern, err := strconv.Unquote(string(m[1]))
	if err != nil {
		t.Fatal(err)
	}
	line := regexp.MustCompile(pattern)
	for r := range rune(0x11000) {
		if s := string(r); line.MatchString(s) != finding.OneLine(s) {
			t.Errorf("%U: the schema allows it %v, finding.OneLine %v", r, line.MatchString(s), finding.OneLine(s))
		}
	}
}
