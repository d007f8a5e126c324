package docs

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report/judged"
	"isocue.example/compiler/rule"
)

// examples shows a rule's own cases. Each is judged here and now: a case that does not do what it is shown for stops
// the page from being made.
func examples(w io.Writer, c *compiler.Compiler, r *rule.Rule) error {
	over := "the standard protocol"
	if _, ok := c.Check.Base.Samples()[r.Example.Of]; ok {
		over = "the sample"
	}
	fmt.Fprintf(w, "\n## Examples\n\nLaid over %s `%s`.\n\nPasses:\n\n", over, r.Example.Of)
	for _, ex := range r.Example.Pass {
		if f, err := check.JudgeExample(c.Check.Base, c.Standard, r, ex); err != nil {
			return err
		} else if f != nil {
			return fmt.Errorf("an example that should pass fires: %s", f.Message)
		}
		fmt.Fprintf(w, "```cue\n%s\n```\n\n", load.CUEText(ex))
	}
	fmt.Fprint(w, "Fails:\n\n")
	for _, ex := range r.Example.Fail {
		f, err := check.JudgeExample(c.Check.Base, c.Standard, r, ex)
		if err != nil {
			return err
		}
		if f == nil {
			return fmt.Errorf("an example that should fail is silent")
		}
		var said bytes.Buffer
		if err := judged.Formats.Write(&said, "text", judged.Judgement{Why: true, Findings: []finding.Finding{*f}, Source: func(string) []byte { return nil }}); err != nil {
			return err
		}
		fmt.Fprintf(w, "```cue\n%s\n```\n\n```text\n%s```\n\n", load.CUEText(ex), said.String())
	}
	return nil
}

// unbraced takes the outer braces off a condition.
func unbraced(s string) string {
	in, ok := strings.CutPrefix(s, "{\n")
	in, end := strings.CutSuffix(in, "\n}")
	if !ok || !end {
		return s
	}
	return strings.TrimPrefix(strings.ReplaceAll(in, "\n\t", "\n"), "\t")
}
