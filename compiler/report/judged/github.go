package judged

import (
	"fmt"
	"io"
	"strings"
	"unicode"

	"isocue.example/compiler/report"
)

// asGitHub prints a judgement as workflow commands, a line a finding, which GitHub shows beside the author's line; then the
// summary, for the log. Source: GitHub Docs, "Workflow commands for GitHub Actions".
func asGitHub(w io.Writer, j Judgement) error {
	cards, _ := j.cards()
	for _, c := range cards {
		command := "warning"
		switch {
		case c.refuses:
			command = "error"
		case c.waived != "":
			command = "notice"
		}
		says := c.says + "\nfix: " + c.fix + "\nwhy: " + c.why
		if c.waived != "" {
			says += "\n" + c.waived
		}
		props := fmt.Sprintf("file=%s,line=%d", property(c.file), c.line)
		if c.column > 0 {
			props += fmt.Sprintf(",col=%d", c.column)
		}
		if _, err := fmt.Fprintf(w, "::%s %s,title=%s::%s\n", command, props, property(c.rule+" ("+string(c.verdict)+")"), data(says)); err != nil {
			return err
		}
	}
	for _, s := range j.Summary {
		if _, err := fmt.Fprintln(w, unbroken(s)); err != nil {
			return err
		}
	}
	return nil
}

// data escapes the text of a command: the runner ends a command at a line's end, and reads %XX.
func data(s string) string {
	return strings.NewReplacer("%", "%25", "\r", "%0D", "\n", "%0A").Replace(visible(s))
}

// property escapes the value of a property, which ends at a comma or a colon too.
func property(s string) string {
	return strings.NewReplacer(":", "%3A", ",", "%2C").Replace(data(s))
}

// unbroken keeps a plain line of the log plain: the runner reads ##[...] as a command wherever it stands.
func unbroken(s string) string { return strings.ReplaceAll(report.Clean(s), "##[", "## [") }

// visible puts a replacement character where a log or an XML text can hold none: in names of files alone, as Clean has taken
// them out of everything else.
func visible(s string) string {
	return strings.Map(func(r rune) rune {
		if r != '\n' && r != '\r' && r != '\t' && report.Hidden(r) {
			return unicode.ReplacementChar
		}
		return r
	}, strings.ToValidUTF8(s, string(unicode.ReplacementChar)))
}
