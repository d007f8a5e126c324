//go:build unix

package hostile

import (
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	ical "github.com/arran4/golang-ical"
)

// texts are hostile to some reader, and no more than text to us: none of them is refused, none does anything.
var texts = []struct{ text, why string }{
	{"plain", "what the others are held against"},
	{"=HYPERLINK('//x.example','A')", "a spreadsheet's link"},
	{"@SUM(1+1)*cmd|' /C calc'!A0", "a spreadsheet's command"},
	{"+1+1", "a spreadsheet's sum"},
	{"-2+3", "a spreadsheet's sum"},
	{"<script>alert(1)</script> ]]> &amp; &#27; <!-- <?x?>", "markup of pages and XML"},
	{"::error file=a,line=1::gone%0A::stop-commands::x", "commands of a workflow's log"},
	{"##[error]gone ##[group]x", "the same in the old form"},
	{"A;B,C:D\\\\n\\\\N\\\\,", "a calendar's own signs"},
	{"END:VEVENT BEGIN:VALARM ATTACH:x", "a calendar's own words"},
	{"$(id) `id` ; && | > x", "a shell's own signs"},
	{"%s %n %x %!d(MISSING) {value} {{.}} ${x}", "verbs of programs that print"},
	{"'; DROP TABLE x; --", "a database's own signs"},
	{"a \\\" ' \\\"\\\" `", "quotes"},
	{"漢字 é 🙂 אבג", "letters of the world, from right to left too"},
	{strings.Repeat("wide ", 15), "a long text"},
}

// fields of a client record that hold free text (a telephone number is none), with what of the demo record each stands in for.
var fields = []struct{ name, old, new string }{
	{"name", "name: Dara Quill", "name: %s"},
	{"contacts.prescriber", `prescriber: "T. Ansah"`, "prescriber: %s"},
	{"screening.by", `by: "M. Osei"`, "by: %s"},
	{"taught.by", `taught: {date: 2027-01-02, by: "M. Osei"}`, "taught: {date: 2027-01-02, by: %s}"},
	{"consent.by", `by: "M. Osei", explained:`, "by: %s, explained:"},
	{"consent.explained", `explained: "what is trained, that results vary, when to stop"`, "explained: %s"},
	{"devices.inspiratory.settings.label", `label: "4"`, "label: %s"},
}

const sound = `id: ours
title: %s
note: %s
revision: 1
modality: %s
`

var doses = map[string]string{
	"handgrip":    "load: {fraction: %s}\nholdSeconds: 120\nrestSeconds: 240\nrounds: 4\nhands: alternate\ndaysPerWeek: 3\nsessionsPerDay: 1\nweeks: 8\n",
	"inspiratory": "load: {fraction: %s}\nsets: 5\nbreathsPerSet: 6\nrestSeconds: 60\nsessionsPerDay: 1\ndaysPerWeek: 6\nweeks: 6\nramp: [{weeks: 1, load: {fraction: 0.55}}]\n",
}

// some is every text in .ci/run, and else the plain one with a few of the others.
func some(i int) bool { return full || i%3 == 0 || i == 6 }

// quoted is a text in the double quotes of YAML, as it stands in texts.
func quoted(s string) string { return `"` + s + `"` }

// meant is what a text of texts means.
func meant(t *testing.T, s string) string {
	t.Helper()
	var out string
	if err := json.Unmarshal([]byte(`"`+s+`"`), &out); err != nil {
		t.Fatalf("%q: %v", s, err)
	}
	return strings.TrimSpace(out)
}

// stage puts a protocol and a client record into a folder, with one text in every place that takes one.
func stage(t *testing.T, dir, s, modality, fraction string) {
	t.Helper()
	client := text(t, "testdata/demo/client.yaml")
	for _, f := range fields {
		if !strings.Contains(client, f.old) {
			t.Fatalf("the demo record has no %s", f.old)
		}
		client = strings.Replace(client, f.old, fmt.Sprintf(f.new, quoted(s)), 1)
	}
	put(t, dir, "client.yaml", client)
	put(t, dir, "ours.yaml", fmt.Sprintf(sound, quoted(s), quoted(s), modality)+fmt.Sprintf(doses[modality], fraction))
}

// Whatever text stands in every field that takes one, a calendar has its events and no others, and each carries the text as text.
// The reader is golang-ical.
func TestCalendarsHoldTexts(t *testing.T) {
	t.Parallel()
	events := map[string]int{}
	for i, x := range texts {
		if !some(i) {
			continue
		}
		for _, modality := range []string{"handgrip", "inspiratory"} {
			dir := t.TempDir()
			stage(t, dir, x.text, modality, map[string]string{"handgrip": "0.30", "inspiratory": "0.75"}[modality])
			o := plain(t, dir, 0, "compile", "ours.yaml", "--client", "client.yaml", "--start", "2027-01-04", "--now", now, "--as", "ics")
			c, err := ical.ParseCalendar(strings.NewReader(o.out))
			if err != nil {
				t.Fatalf("%s: %v", x.why, err)
			}
			if n := len(c.Events()); n == 0 || x.why != texts[0].why && n != events[modality] || len(c.Components) != n+1 {
				t.Errorf("%s: %d events and %d components, want %d and its zone", x.why, n, len(c.Components), events[modality])
			} else {
				events[modality] = n
			}
			titled := 0
			for _, e := range c.Events() {
				if len(e.Components) > 0 || e.GetProperty(ical.ComponentPropertyAttach) != nil {
					t.Fatalf("%s: an event holds more than its properties", x.why)
				}
				if strings.HasPrefix(e.GetProperty(ical.ComponentPropertySummary).Value, meant(t, x.text)+", week ") {
					titled++
				}
			}
			if titled == 0 {
				t.Errorf("%s: no event is called %q", x.why, meant(t, x.text))
			}
			if strings.Contains(o.out, "Quill") || strings.Contains(o.out, "plover-12") {
				t.Errorf("%s: the calendar names the client", x.why)
			}
		}
	}
}

// The same of a table for a spreadsheet: its rows and cells, and none that a spreadsheet would run. The reader is encoding/csv.
func TestTablesHoldTexts(t *testing.T) {
	t.Parallel()
	rows := 0
	for i, x := range texts {
		if !some(i) {
			continue
		}
		dir := t.TempDir()
		stage(t, dir, x.text, "inspiratory", "0.75") // its loads name a setting of the trainer
		o := plain(t, dir, 0, "compile", "ours.yaml", "--client", "client.yaml", "--start", "2027-01-04", "--now", now, "--as", "csv")
		all, err := csv.NewReader(strings.NewReader(o.out)).ReadAll()
		if err != nil {
			t.Fatalf("%s: %v", x.why, err)
		}
		if rows == 0 {
			rows = len(all)
		}
		titled := 0
		for _, row := range all {
			for i, cell := range row {
				if cell != "" && strings.ContainsAny(string([]rune(cell)[:1]), "=+-@\t\r＝＋－＠") && cell != "-" {
					t.Errorf("%s: cell %q would be run", x.why, cell)
				}
				if i == 5 && strings.TrimSpace(strings.TrimPrefix(cell, "'")) == strings.TrimPrefix(meant(t, x.text), "'") {
					titled++
				}
			}
		}
		if len(all) != rows || titled == 0 {
			t.Errorf("%s: %d rows, want %d; %d of them called so", x.why, len(all), rows, titled)
		}
	}
}

// The same of the findings of a protocol that is refused, in a file whose name is hostile too: as many findings as with a plain
// text, each readable. The readers are encoding/json, encoding/xml and the rules of workflow commands; the ledger is read too.
func TestFindingsHoldTexts(t *testing.T) {
	t.Parallel()
	count := map[string]int{}
	for i, x := range texts {
		if !some(i) {
			continue
		}
		dir := t.TempDir()
		stage(t, dir, x.text, "handgrip", "0.95")
		name := regexp.MustCompile(`[/\\]`).ReplaceAllString(meant(t, x.text), "_") + ".yaml"
		put(t, dir, filepath.ToSlash("in/"+name), fmt.Sprintf(sound, quoted(x.text), quoted(x.text), "handgrip")+fmt.Sprintf(doses["handgrip"], "0.95"))
		found := map[string]int{}
		for _, format := range []string{"text", "json", "sarif", "github", "junit"} {
			o := plain(t, dir, 1, "lint", "in", "--format", format, "--now", now)
			switch format {
			case "text":
				found[format] = len(regexp.MustCompile(`(?m)^.*: (?:unsafe|out-of-evidence|caution): .* \[[a-z-]+\]$`).FindAllString(o.out, -1))
			case "json":
				var doc struct{ Findings []struct{ File string } }
				if err := json.Unmarshal([]byte(o.out), &doc); err != nil {
					t.Fatalf("%s: %v", x.why, err)
				}
				found[format] = len(doc.Findings)
				for _, f := range doc.Findings {
					if f.File != "in/"+name {
						t.Errorf("%s: json names %q, want %q", x.why, f.File, "in/"+name)
					}
				}
			case "sarif":
				var doc struct {
					Runs []struct{ Results []struct{} }
				}
				if err := json.Unmarshal([]byte(o.out), &doc); err != nil || len(doc.Runs) != 1 {
					t.Fatalf("%s: %v", x.why, err)
				}
				found[format] = len(doc.Runs[0].Results)
			case "junit":
				var doc struct {
					Suites []struct {
						Name  string     `xml:"name,attr"`
						Cases []struct{} `xml:"testcase"`
					} `xml:"testsuite"`
				}
				if err := xml.Unmarshal([]byte(o.out), &doc); err != nil || len(doc.Suites) != 1 || doc.Suites[0].Name != "in/"+name {
					t.Fatalf("%s: %v, %+v", x.why, err, doc)
				}
				found[format] = len(doc.Suites[0].Cases)
			case "github":
				for l := range strings.Lines(o.out) {
					command := regexp.MustCompile(`^::(error|warning|notice) file=[^,:]*,line=\d+(,col=\d+)?,title=[^,:]*::[^\r\n]*\n$`).MatchString(l)
					if command {
						found[format]++
					}
					if !command && (strings.HasPrefix(strings.TrimSpace(l), "::") || strings.Contains(l, "##[")) {
						t.Errorf("%s: a line of the log is a command: %q", x.why, l)
					}
				}
			}
			if x.why == texts[0].why {
				count[format] = found[format]
			}
			if n := found[format]; n == 0 || n != count[format] {
				t.Errorf("%s: %d findings as %s, want %d", x.why, n, format, count[format])
			}
		}
		plain(t, dir, 1, "lint", "in", "--record", "ledger.jsonl", "--by", meant(t, x.text), "--now", now)
		var doc struct{ Lines []struct{ File, By string } }
		o := plain(t, dir, 0, "ledger", "--format", "json")
		if err := json.Unmarshal([]byte(o.out), &doc); err != nil || len(doc.Lines) == 0 || doc.Lines[0].By != meant(t, x.text) || doc.Lines[0].File != "in/"+name {
			t.Errorf("%s: the ledger holds %v, %+v", x.why, err, doc)
		}
		if o := plain(t, dir, 0, "ledger"); strings.Count(o.out, "\n") != len(doc.Lines)+1 {
			t.Errorf("%s: the ledger's list has %d lines, want %d and a sum", x.why, strings.Count(o.out, "\n"), len(doc.Lines))
		}
	}
}

// Control characters, line breaks and what changes the direction of reading are refused in every field that takes a text, at its
// place, and nothing is written; nothing else is refused, as the tests above show.
func TestTextsRefused(t *testing.T) {
	t.Parallel()
	client := text(t, "testdata/demo/client.yaml")
	n := 0
	for i, bad := range []string{`a\nb`, `a\rb`, `a\tb`, `a\eb`, `a\x07b`, `a\x7Fb`, `a\x9Bb`, `a\u200Eb`, `a\u2028b`, `a\u202Eb`, `a\u2066b`, `a\u061Cb`} {
		if !some(i) {
			continue
		}
		dir := t.TempDir()
		lint := func(file, path string, with ...string) {
			n++
			o := call{dir: dir, args: append([]string{"lint", "--why", file}, with...)}.run(t)
			if bound := o.bounds(); bound != "" || o.code != 1 || !strings.Contains(o.out, path) || !strings.Contains(o.out, "malformed: ") {
				t.Errorf("%s in %s: exit code %d, %s\n%s%s", bad, path, o.code, bound, o.out, o.err)
			}
		}
		for _, f := range fields {
			put(t, dir, "client.yaml", strings.Replace(client, f.old, fmt.Sprintf(f.new, quoted(bad)), 1))
			lint("client.yaml", f.name[strings.LastIndexByte(f.name, '.')+1:]+" is ")
		}
		for field, p := range map[string]string{"title": fmt.Sprintf(sound, quoted(bad), "n", "handgrip"), "note": fmt.Sprintf(sound, "t", quoted(bad), "handgrip")} {
			put(t, dir, "ours.yaml", p+fmt.Sprintf(doses["handgrip"], "0.30"))
			lint("ours.yaml", field+" is ")
		}
		for field, w := range map[string]string{"reason": `by: "B", reason: ` + quoted(bad), "by": `reason: "upkeep agreed with the physician", by: ` + quoted(bad)} {
			put(t, dir, "waivers.yaml", `waivers: [{protocol: odd, revision: 1, rule: grip-weeks-ceiling, path: weeks, found: 30, date: "2026-11-01", until: "2027-07-01", `+w+"}]\n")
			lint("waivers.yaml", field+" is ")
		}
		put(t, dir, "policy.yaml", "reviewers: ["+quoted(bad)+"]\n")
		lint("policy.yaml", "reviewers[0] is ")
		// a clinic's own rule, which is CUE and is read where it is used
		escaped := strings.NewReplacer(`\e`, `\u001b`, `\x07`, `\u0007`, `\x7F`, `\u007f`, `\x9B`, `\u009b`).Replace(bad)
		for _, field := range []string{"title", "message", "rationale", "remedy"} {
			p := rules(1, "", "given.holdSeconds", "<=180", 1)
			p = regexp.MustCompile(field+`: "[^"]*"`).ReplaceAllLiteralString(p, field+`: "`+escaped+`"`)
			put(t, dir, "house.cue", p)
			lint("handgrip-alternating", field+" is not a plain text", "--policy", "house.cue")
		}
	}
	if n < 60 {
		t.Errorf("only %d texts tried", n)
	}
}
