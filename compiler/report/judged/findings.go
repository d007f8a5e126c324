// Package judged prints what was judged, and by what: findings in five formats, two protocols compared, rules and their pages.
//
// Text quoted from a file is stripped of control sequences before it reaches a terminal, and the formats that leave the clinic say
// nothing that a client's file says.
package judged

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/report"
)

// NotClearance is what a clean judgement is worth.
const NotClearance = "no rule refused this; it is not a medical clearance"

// OnHold is what a judgement is worth that holds a protocol.
const OnHold = "on hold, as is said above: not to be trained; nothing else is refused; it is not a medical clearance"

// worth is what findings come to, in words: that nothing refuses is never said beside a hold.
func worth(fs []finding.Finding, refused bool) string {
	switch {
	case refused:
		return "refused"
	case slices.ContainsFunc(fs, func(f finding.Finding) bool { return f.Held != "" }):
		return OnHold
	}
	return NotClearance
}

// asText prints findings for people: place, verdict, message and rule, the author's line with a mark, then how to repair it and why;
// of a client one sentence; then the summary. No meaning is carried by colour alone.
func asText(w io.Writer, j Judgement) error {
	told, more := lists(j.Findings)
	short := false
	for i, f := range j.Findings {
		if told[i] {
			continue
		}
		if f.Private && !j.Why {
			short = true
			if _, err := io.WriteString(w, plainly(f, more[i])); err != nil {
				return err
			}
			continue
		}
		var b strings.Builder
		verdict := string(f.Verdict)
		if j.Color {
			verdict = "\x1b[1m" + verdict + "\x1b[0m"
		}
		fmt.Fprintf(&b, "%s: %s: %s [%s]\n", report.Clean(f.Pos.String()), verdict, report.Clean(f.Message), report.Clean(f.Rule))
		if !f.Private && f.Pos.IsValid() {
			if line := lineOf(j.Source(f.Pos.File), f.Pos.Line); len(line) > 0 {
				quote(&b, line, f.Pos.Column)
			}
		}
		if more[i] != "" {
			fmt.Fprintf(&b, "    also at %s\n", report.Clean(more[i]))
		}
		if f.Waiver.Signed() {
			fmt.Fprintf(&b, "    waived by %s\n", report.Clean(f.Waiver.String()))
		}
		if f.Held != "" {
			fmt.Fprintf(&b, "    held: %s is closed for now, and its sessions are cancelled\n", report.Clean(f.Held))
		}
		fmt.Fprintf(&b, "    fix: %s\n", report.Clean(f.Remedy))
		why := report.Clean(f.Rationale)
		if len(f.Sources) > 0 {
			why += " (" + strings.Join(f.Sources, ", ") + ")"
		}
		fmt.Fprintf(&b, "    why: %s\n", why)
		if _, err := io.WriteString(w, b.String()); err != nil {
			return err
		}
	}
	if short {
		if _, err := fmt.Fprintln(w, "--why says the rule, the place, the reason and the sources of each"); err != nil {
			return err
		}
	}
	for _, s := range j.Summary {
		if _, err := fmt.Fprintln(w, s); err != nil {
			return err
		}
	}
	return nil
}

// plainly is a finding about a client as a trainer reads it first: in which file, what is wrong and what to do. Where the file cannot be
// used as it stands, and of a row, the line comes before it.
func plainly(f finding.Finding, more string) string {
	says, where := finding.Plain(f.Message), f.Pos.File
	first := report.Sentence
	if f.Pos.IsValid() && (f.Verdict == finding.Malformed || strings.HasSuffix(strings.ToLower(where), ".csv")) { // each row is another client or day
		where = fmt.Sprintf("%s, line %d", where, f.Pos.Line)
	}
	switch {
	case f.Verdict == finding.Malformed:
		says, first = asWritten(says, f.Path), func(s string) string { return report.Clean(s) + "." } // a field's name keeps its letters
	case f.Held != "":
		says = f.Held + " is held: " + says
	case f.Verdict == finding.Caution:
		says = "caution: " + says
	}
	out := report.Clean(where) + ": " + first(says) + " " + report.Sentence(f.Remedy)
	if more != "" {
		out += " " + report.Sentence("the same at "+more)
	}
	return strings.TrimPrefix(strings.TrimSuffix(out, " "), ": ") + "\n"
}

var element = regexp.MustCompile(`^(.*)\[([0-9]+)\]$`)

// asWritten says what is wrong with a field by the name that stands on its line: whoever reads the line needs no path.
func asWritten(says, path string) string {
	rest, ok := strings.CutPrefix(says, path)
	if !ok || path == "" {
		return says
	}
	of, name := "", path[strings.LastIndexByte(path, '.')+1:]
	if parent := index.ReplaceAllString(strings.TrimSuffix(path, "."+name), ""); parent != name {
		of = " of " + parent[strings.LastIndexByte(parent, '.')+1:]
	}
	if m := element.FindStringSubmatch(name); m != nil {
		n, _ := strconv.Atoi(m[2])
		of, name = "", fmt.Sprintf("entry %d of %s", n+1, m[1])
	}
	return name + of + rest
}

// maxSame bounds the places of one list in which one rule's findings are told singly.
const maxSame = 3

var index = regexp.MustCompile(`\[[0-9]+\]`)

// lists finds where one rule finds the same in many entries of one list, or in many days of a file: those findings are told with the first of them, by their number
// and first places. The formats for programs have each.
func lists(fs []finding.Finding) (told []bool, more map[int]string) {
	type key struct {
		rule, file, path string
		waiver           finding.Waiver
	}
	at := map[key][]int{}
	var keys []key
	for i, f := range fs {
		path := index.ReplaceAllString(f.Path, "[]")
		if strings.Contains(f.Message, ", after today, ") {
			path = "after today" // one wrong clock or year spoils every day of a file
		}
		if path != f.Path {
			k := key{f.Rule, f.Pos.File, path, f.Waiver}
			if at[k] == nil {
				keys = append(keys, k)
			}
			at[k] = append(at[k], i)
		}
	}
	told, more = make([]bool, len(fs)), map[int]string{}
	for _, k := range keys {
		same := at[k]
		if len(same) <= maxSame {
			continue
		}
		var places []string
		for n, i := range same[1:] {
			told[i] = true
			if n < maxSame {
				places = append(places, fs[i].Path)
			}
		}
		more[same[0]] = strings.Join(places, ", ")
		if rest := len(same) - 1 - maxSame; rest > 0 {
			more[same[0]] += fmt.Sprintf(" and %d more: %d in all", rest, len(same))
		}
	}
	return told, more
}

// maxQuote bounds a quoted line, in runes.
const maxQuote = 120

func quote(b *strings.Builder, line []byte, column int) {
	const most = 8 * maxQuote // bytes, so that a very long line costs no more than another
	column = min(column, len(line)+1)
	if column > most {
		return
	}
	before := report.Clean(string(line[:column-1]))
	after := report.Clean(string(line[column-1 : min(len(line), column-1+most)]))
	if utf8.RuneCountInString(before) > maxQuote {
		return
	}
	trimmed := strings.TrimLeft(before, " ")
	if r := []rune(after); len(r) > maxQuote {
		after = string(r[:maxQuote]) + "…"
	}
	mark := 0
	for _, r := range after {
		if unicode.IsSpace(r) || strings.ContainsRune(",}])", r) {
			break
		}
		mark++
	}
	fmt.Fprintf(b, "    | %s%s\n    | %s%s\n", trimmed, strings.TrimRight(after, " "), strings.Repeat(" ", utf8.RuneCountInString(trimmed)), strings.Repeat("^", max(mark, 1)))
}

// lineOf is a line of a text, without its end.
func lineOf(src []byte, n int) []byte {
	for ; n > 1; n-- {
		i := bytes.IndexByte(src, '\n')
		if i < 0 {
			return nil
		}
		src = src[i+1:]
	}
	line, _, _ := bytes.Cut(src, []byte("\n"))
	return bytes.TrimRight(line, "\r")
}

// Kind is how many files of one kind were judged, with the kind's name for one and for more.
type Kind struct {
	N         int
	One, Many string
}

// maxNamed bounds the files that an overview names.
const maxNamed = 8

// Overview says how many files of which kind were judged, and which were refused, for what. It stands before the last line.
func Overview(kinds []Kind, fs []finding.Finding) string {
	var counts, names []string
	for _, k := range kinds {
		if k.N > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", k.N, report.Plural(k.N, k.One, k.Many)))
		}
	}
	refusing := map[string][]finding.Finding{}
	for _, f := range fs { // in the order of files
		if f.Rejects() {
			if refusing[f.Pos.File] == nil {
				names = append(names, f.Pos.File)
			}
			refusing[f.Pos.File] = append(refusing[f.Pos.File], f)
		}
	}
	for i, n := range names {
		names[i] = fmt.Sprintf("%s (%s)", report.Clean(n), tally(refusing[n]))
	}
	if len(names) > maxNamed {
		names = append(names[:maxNamed], fmt.Sprintf("%d more", len(names)-maxNamed))
	}
	out := strings.Join(counts, ", ")
	if len(names) > 0 {
		out += "; refused: " + strings.Join(names, ", ")
	}
	return out
}

// tally counts findings by verdict, in words; "" for none.
func tally(fs []finding.Finding) string {
	c := finding.Tally(fs)
	var parts []string
	for _, x := range []struct {
		n    int
		name string
	}{{c.Malformed, "malformed"}, {c.Unsafe, "unsafe"}, {c.OutOfEvidence, "out-of-evidence"}, {c.Caution, "caution"}, {c.Waived, "waived"}} {
		if x.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", x.n, x.name))
		}
	}
	return strings.Join(parts, ", ")
}

// Summary is the last line of a judgement.
func Summary(files int, fs []finding.Finding, policy string) string {
	head := fmt.Sprintf("%d %s judged", files, report.Plural(files, "file", "files"))
	if t := tally(fs); t != "" {
		head += ": " + t
	}
	return head + "; " + worth(fs, finding.Rejected(fs)) + "; " + report.Clean(policy)
}
