package docs

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"cuelang.org/go/cue/format"

	"isocue.example/compiler"
	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/report"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
)

// examples shows a rule's own cases. Each is judged here and now: a case that does not do what it is shown for stops
// the page from being made.
func examples(w io.Writer, c *compiler.Compiler, r *rule.Rule) error {
	over := "the standard protocol"
	if _, ok := c.Check.Base.Samples[r.Example.Of]; ok {
		over = "the sample"
	}
	fmt.Fprintf(w, "\n## Examples\n\nLaid over %s `%s`.\n\nPasses:\n\n", over, r.Example.Of)
	for _, ex := range r.Example.Pass {
		if f, err := judge(c, r, ex); err != nil {
			return err
		} else if f != nil {
			return fmt.Errorf("an example that should pass fires: %s", f.Message)
		}
		fmt.Fprintf(w, "```cue\n%s\n```\n\n", cueText(ex))
	}
	fmt.Fprint(w, "Fails:\n\n")
	for _, ex := range r.Example.Fail {
		f, err := judge(c, r, ex)
		if err != nil {
			return err
		}
		if f == nil {
			return fmt.Errorf("an example that should fail is silent")
		}
		f.Pos = finding.Pos{File: "example"} // it stands in no file
		var said bytes.Buffer
		if err := report.Text(&said, []finding.Finding{*f}, func(string) []byte { return nil }, report.Style{}); err != nil {
			return err
		}
		fmt.Fprintf(w, "```cue\n%s\n```\n\n```text\n%s```\n\n", cueText(ex), said.String())
	}
	return nil
}

// judge is what the checker says about a case: the finding of the first stage that has one, nil when all are silent.
func judge(c *compiler.Compiler, r *rule.Rule, ex *tree.Node) (*finding.Finding, error) {
	gs, err := check.ExampleGivens(c.Check.Base, c.Standard, r, ex)
	if err != nil {
		return nil, err
	}
	for _, g := range gs {
		if f, ok := r.Judge(g); !ok {
			return &f, nil
		}
	}
	return nil, nil
}

// cueText writes a case as CUE, one field a line.
func cueText(n *tree.Node) string {
	src := plain(n)
	if n.Kind == tree.Record && len(n.Keys) > 0 {
		var lines []string
		for _, k := range n.Keys {
			lines = append(lines, fmt.Sprintf("%q: %s", k, plain(n.Field[k])))
		}
		src = strings.Join(lines, "\n")
	}
	out, err := format.Source([]byte(src), format.Simplify())
	if err != nil {
		return src
	}
	return strings.TrimSpace(string(out))
}

// plain writes a value with all its quotes and braces. A record of one field is written as a path, others have one
// field a line; format sets the rest.
func plain(n *tree.Node) string {
	switch n.Kind {
	case tree.Record:
		var parts []string
		for _, k := range n.Keys {
			parts = append(parts, fmt.Sprintf("%q: %s", k, plain(n.Field[k])))
		}
		switch len(parts) {
		case 0:
			return "{}"
		case 1:
			if n.Field[n.Keys[0]].Kind != tree.Record {
				return "{" + parts[0] + "}"
			}
		}
		return "{\n" + strings.Join(parts, "\n") + "\n}"
	case tree.List:
		var parts []string
		for _, e := range n.Elem {
			parts = append(parts, plain(e))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case tree.Null:
		return "null"
	case tree.Text:
		return fmt.Sprintf("%q", n.Str)
	}
	return n.Raw
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
