//go:build unix

package hostile

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"
)

// A maker writes one hostile input that is too large to keep. forms are the endings of the files that can carry it; a form beside
// the three notations is a file for one flag: plan (--previous), days (--closed), ledger, policy.
type maker struct {
	name, why string
	forms     string
	write     func(w io.Writer, form string)
	sound     bool // large and nothing else: it is read, and the exit code is 0
}

// less is n, a fifth of it in the quick check: for inputs that grow without meeting a bound.
func less(n int) int {
	if full {
		return n
	}
	return n / 5
}

// makers are all of them. Most are just under the 64 KiB that are read at all, where readers have the most to do.
var makers = []maker{
	{"line-of-10-mb", "one line of ten megabytes", "cue yaml json plan days ledger policy", func(w io.Writer, form string) {
		fmt.Fprint(w, map[string]string{"cue": `title: "`, "yaml": "title: \"", "policy": `reviewers: ["`, "days": "2027-01-04 # "}[form])
		if form == "json" || form == "plan" || form == "ledger" {
			fmt.Fprint(w, `{"title": "`)
		}
		fill(w, "a", 10<<20)
		fmt.Fprint(w, map[string]string{"policy": `"]`, "json": `"}`, "plan": `"}`, "ledger": "\"}\n", "days": ""}[form]+"\n")
	}, false},
	{"a-gigabyte-of-nothing", "a file of a gigabyte that takes no room", "cue yaml json plan days ledger policy", func(w io.Writer, _ string) {
		if f, ok := w.(*os.File); ok {
			f.Truncate(1 << 30)
		}
	}, false},
	{"line-of-64-kb", "one line as long as a file may be", "cue yaml json", around("modality: \"handgrip\", x: \"", "a", `"`), false},
	{"deep-lists", "lists in lists", "cue yaml json", func(w io.Writer, form string) {
		open := map[string]string{"json": `{"x": `}[form]
		if open == "" {
			open = "x: "
		}
		fmt.Fprint(w, open)
		fill(w, "[", 32_000)
		fill(w, "]", 32_000)
		fmt.Fprint(w, map[string]string{"json": "}"}[form])
	}, false},
	{"deep-lists-9900", "lists in lists, as deep as the readers beneath allow", "cue yaml json", func(w io.Writer, form string) {
		fmt.Fprint(w, map[string]string{"json": `{"x": `, "cue": "x: ", "yaml": "x: "}[form])
		fill(w, "[", 9_900)
		fill(w, "]", 9_900)
		fmt.Fprint(w, map[string]string{"json": "}"}[form])
	}, false},
	{"deep-records", "records in records", "cue yaml json", func(w io.Writer, form string) {
		fill(w, map[string]string{"json": `{"a":`, "cue": "a: {", "yaml": "{a: "}[form], 45_000)
		fmt.Fprint(w, "1")
		fill(w, "}", 9_000)
	}, false},
	{"deep-names", "names in a row", "cue", around("x: ", "a:", "1"), false},
	{"deep-dashes", "lists in lists without brackets", "yaml", around("", "- ", "1"), false},
	{"deep-questions", "keys of keys", "yaml", around("", "? ", "1"), false},
	{"parentheses", "parentheses that are never closed", "cue", around("x: ", "(", ""), false},
	{"operators", "a sum of thousands", "cue", around("x: 1", "+1", ""), false},
	{"choices", "a choice of thousands", "cue", around("x: 1", "|1", ""), false},
	{"selectors", "a way of thousands of names", "cue", around("x: a", ".b", ""), false},
	{"loops", "a loop in a loop, thousands of times", "cue", around("x: [", "for a in b ", "{}]"), false},
	{"patterns", "patterns in a row", "cue", around("", "[a]:", "1"), false},
	{"interpolations", "texts in texts", "cue", around("x: ", `"\(`, "1"), false},
	{"attributes", "thousands of attributes", "cue", around("x: 1 ", "@a()", ""), false},
	{"slips", "thousands of errors of syntax", "cue json", around("", `]\`, ""), false},
	{"quotes-open", "thousands of texts without an end", "cue yaml json", around("x: ", "'\n", ""), false},
	{"same-field", "one field thousands of times", "cue", around("", "weeks: 8\n", ""), false},
	{"same-field", "one field thousands of times", "yaml", around("", "weeks: 8\n", ""), false},
	{"same-field", "one field thousands of times", "json", around(`{"a": 1`, `,"weeks": 8`, "}"), false},
	{"many-fields", "thousands of fields that nobody knows", "cue yaml json", func(w io.Writer, form string) {
		record(w, form, "modality", less(3_900), func(i int) string { return fmt.Sprintf("f%d", i) }, "1")
	}, false},
	{"long-names", "a thousand long names that nobody knows", "cue yaml json", func(w io.Writer, form string) {
		record(w, form, "modality", less(900), func(i int) string { return strings.Repeat("a", 55) + fmt.Sprintf("%04d", i) }, "1")
	}, false},
	{"near-names", "a thousand names that are nearly known", "cue yaml json", func(w io.Writer, form string) {
		record(w, form, "modality", less(3_000), func(i int) string { return fmt.Sprintf("weekz%d", i) }, "1")
	}, false},
	{"unknown-answers", "thousands of screening answers that nobody asked for", "cue yaml json", func(w io.Writer, form string) {
		fmt.Fprint(w, map[string]string{"json": `{"measured": {}, "screening": {"date": "2027-01-02", "by": "B", "questions": 1, "answers": {`,
			"cue": `measured: {}, screening: {date: "2027-01-02", by: "B", questions: 1, answers: {`, "yaml": `{measured: {}, screening: {date: 2027-01-02, by: B, questions: 1, answers: {`}[form])
		for i := range less(2_900) {
			fmt.Fprintf(w, `"q-%d": "yes", `, i)
		}
		fmt.Fprint(w, `"end": "no"}}`+map[string]string{"json": "}", "yaml": "}"}[form])
	}, false},
	{"broken-ramp", "a ramp of hundreds of broken stages", "cue yaml json", func(w io.Writer, form string) {
		fmt.Fprint(w, map[string]string{"json": `{"modality": "handgrip", "ramp": [`, "cue": `modality: "handgrip", ramp: [`, "yaml": `{modality: handgrip, ramp: [`}[form])
		for range less(900) {
			fmt.Fprint(w, `{"wek": 1, "lod": 2}, `)
		}
		fmt.Fprint(w, `{"weeks": 1}]`+map[string]string{"json": "}", "yaml": "}"}[form])
	}, false},
	{"hard-ramp", "a ramp of hundreds of stages that every rule refuses", "cue", func(w io.Writer, _ string) {
		fmt.Fprint(w, `id: "p", title: "A", revision: 1, modality: "handgrip", load: fraction: 0.30, holdSeconds: 120, restSeconds: 240, rounds: 4, hands: "alternate", daysPerWeek: 3, sessionsPerDay: 1, weeks: 104, ramp: [`)
		fill(w, "{weeks: 1, load: fraction: 0.9, holdSeconds: 170}, ", less(45_000))
		fmt.Fprint(w, "]\n")
	}, false},
	{"many-protocols", "hundreds of protocols that every rule refuses", "cue", func(w io.Writer, _ string) {
		for i := range less(240) {
			fmt.Fprintf(w, "p%d: {id: \"p%d\", title: \"No tablets: -30 mmHg\", revision: 1, modality: \"handgrip\", load: fraction: 0.95, holdSeconds: 120, restSeconds: 2, rounds: 50, hands: \"alternate\", daysPerWeek: 7, sessionsPerDay: 1, weeks: 8}\n", i, i)
		}
	}, false},
	{"comments", "nothing but comments", "cue", around("", "//\n", "x: 1"), false},
	{"comments", "nothing but comments", "yaml", around("", "#\n", "x: 1"), false},
	{"aliases-flat", "one long list that is named thousands of times", "yaml", func(w io.Writer, _ string) {
		fmt.Fprint(w, "a: &a [")
		fill(w, "x,", 12_000)
		fmt.Fprint(w, "]\nb: [")
		fill(w, "*a,", 45_000)
		fmt.Fprint(w, "]\n")
	}, false},
	{"aliases-of-text", "one long text that is named thousands of times", "yaml", func(w io.Writer, _ string) {
		fmt.Fprint(w, "a: &a ")
		fill(w, "x", 8_000)
		fmt.Fprint(w, "\nb: [")
		fill(w, "*a,", 45_000)
		fmt.Fprint(w, "]\n")
	}, false},
	{"aliases-in-levels", "nine of nine of nine, twenty times", "yaml", func(w io.Writer, _ string) {
		fmt.Fprint(w, "a: &a [x,x,x,x,x,x,x,x,x]\n")
		for c := 'b'; c < 'v'; c++ {
			fmt.Fprintf(w, "%c: &%c [%s]\n", c, c, strings.Repeat(fmt.Sprintf("*%c,", c-1), 9))
		}
	}, false},
	{"merges", "one record merged thousands of times", "yaml", func(w io.Writer, _ string) {
		fmt.Fprint(w, "a: &a {")
		for i := range 2_500 {
			fmt.Fprintf(w, "k%d: 1,", i)
		}
		fmt.Fprint(w, "}\nb:\n  <<: [")
		fill(w, "*a,", 30_000)
		fmt.Fprint(w, "]\n")
	}, false},
	{"merge-then-fields", "a merge before thousands of fields", "yaml", func(w io.Writer, _ string) {
		fmt.Fprint(w, "x: {<<: {}")
		for i := range 7_000 {
			fmt.Fprintf(w, ",k%d: 1", i)
		}
		fmt.Fprint(w, "}\n")
	}, false},
	{"tags", "a tag thousands of times", "yaml", around("x: ", "!!str ", "a"), false},
	{"documents", "thousands of documents", "yaml", around("", "---\na\n", ""), false},
	{"directives", "thousands of directives", "yaml", around("", "%A 1\n", ""), false},
	{"folded", "a folded text of thousands of lines", "yaml", around("x: >\n", " a\n\n", ""), false},
	{"rule-squares", "facts that square each other", "policy", func(w io.Writer, _ string) {
		facts := "f0: given.holdSeconds"
		for i := 1; i < 40; i++ {
			facts += fmt.Sprintf("\n\t\tf%d: f%d * f%d", i, i-1, i-1)
		}
		fmt.Fprint(w, rules(1, facts, "facts.f39", "<=1", 1))
	}, false},
	{"rule-expressions", "regular expressions with repeats", "policy", func(w io.Writer, _ string) {
		fmt.Fprint(w, rules(1, "", "given.hands", `=~"`+strings.Repeat("(?i)[^a]{1,990}", 500)+`"`, 1))
	}, false},
	{"rule-many-expressions", "a hundred regular expressions of the largest size", "policy", func(w io.Writer, _ string) {
		fmt.Fprint(w, rules(less(100), "", "given.hands", `=~"(a|b|c|d|e|f|g){1,120}[^z]{1,400}$"`, 1))
	}, false},
	{"rule-examples", "a rule with thousands of examples", "policy", func(w io.Writer, _ string) {
		fmt.Fprint(w, rules(1, "", "given.holdSeconds", "<=180", less(2_500)))
	}, true},
	{"rule-many", "as many rules as a policy holds", "policy", func(w io.Writer, _ string) {
		fmt.Fprint(w, rules(less(75), "", "given.holdSeconds", "<=180", 1))
	}, true},
	{"limits-unknown", "a thousand limits of rules that are not there", "policy", func(w io.Writer, _ string) {
		fmt.Fprint(w, "limits: {")
		for i := range less(950) {
			fmt.Fprintf(w, "\"grip-load-ceilin%d\": {ceiling: 1}, ", i)
		}
		fmt.Fprint(w, "}\n")
	}, false},
	{"values", "a text of nothing, a million times", "plan", func(w io.Writer, _ string) {
		fmt.Fprint(w, `{"version": 1, "waivers": [`)
		fill(w, `"",`, 7_000_000)
		fmt.Fprint(w, `""]}`)
	}, false},
	{"sessions", "a session of nothing, a million times", "plan", func(w io.Writer, _ string) {
		fmt.Fprint(w, `{"version": 1, "sessions": [`)
		fill(w, "{},", 7_000_000)
		fmt.Fprint(w, `{}]}`)
	}, false},
	{"long-session", "a session of a hundred thousand steps", "plan", func(w io.Writer, _ string) {
		fmt.Fprint(w, `{"version": 1, "client": "a", "start": "2027-01-04", "zone": "Europe/Berlin", "kinds": {"k": {"title": "A", "steps": [`)
		fill(w, `{"kind":"hold"},`, 1_600_000)
		fmt.Fprint(w, `{"kind":"hold"}]}}, "sessions": [`)
		for i := range 10_000 {
			fmt.Fprintf(w, `{"uid":"%d","kind":"k","week":1,"slot":1,"seconds":60,"status":"confirmed","start":"2027-01-04T08:00"},`, i)
		}
		fmt.Fprint(w, `{"uid":"a","kind":"k","week":1,"slot":1,"seconds":60,"status":"confirmed","start":"2027-01-04T08:00"}]}`)
	}, false},
	{"deep", "lists in lists, millions deep", "plan", func(w io.Writer, _ string) {
		fmt.Fprint(w, `{"version": 1, "sessions": `)
		fill(w, "[", 4_000_000)
	}, false},
	{"fields", "a million fields of one record", "plan", func(w io.Writer, _ string) {
		fmt.Fprint(w, `{"version": 1`)
		for i := range 400_000 {
			fmt.Fprintf(w, `,"k%d":1`, i)
		}
		fmt.Fprint(w, `}`)
	}, false},
	{"days", "a hundred thousand closing days", "days", func(w io.Writer, _ string) { fill(w, "2027-03-01\n", 1_000_000) }, true},
	{"days-apart", "tens of thousands of closing days, none beside another", "days", func(w io.Writer, _ string) {
		for day := time.Date(2027, 1, 5, 0, 0, 0, 0, time.UTC); day.Year() < 2500; day = day.AddDate(0, 0, 3) {
			fmt.Fprintln(w, day.Format(time.DateOnly))
		}
	}, false},
	{"days-of-centuries", "a closing span of ten thousand years", "days", func(w io.Writer, _ string) { fmt.Fprint(w, "0001-01-01..9999-12-31\n") }, false},
	{"events", "a calendar of thousands of closing days", "days", func(w io.Writer, _ string) {
		fmt.Fprint(w, "BEGIN:VCALENDAR\nVERSION:2.0\n")
		fill(w, "BEGIN:VEVENT\nDTSTART;VALUE=DATE:20270326\nEND:VEVENT\n", 1_000_000)
		fmt.Fprint(w, "END:VCALENDAR\n")
	}, true},
	{"components", "components in components", "days", func(w io.Writer, _ string) { fill(w, "BEGIN:VCALENDAR\n", 1_000_000) }, false},
	{"folds", "one line of a calendar, folded a hundred thousand times", "days", func(w io.Writer, _ string) {
		fmt.Fprint(w, "BEGIN:VCALENDAR\nSUMMARY:a")
		fill(w, "\n a", 1_000_000)
		fmt.Fprint(w, "\nEND:VCALENDAR\n")
	}, false},
	{"lines", "a ledger of a million empty records", "ledger", func(w io.Writer, _ string) { fill(w, "{}\n", 10_000_000) }, false},
	{"depth", "a ledger line of lists in lists", "ledger", func(w io.Writer, _ string) {
		fmt.Fprint(w, `{"sources": `)
		fill(w, "[", 10_000_000)
		fmt.Fprint(w, "\n")
	}, false},
}
