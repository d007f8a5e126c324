package guard

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"

	"go.yaml.in/yaml/v3"

	"isocue.example/compiler/finding"
)

// octalNumber is what older readers of YAML count in eights, newer ones in tens, and people always in tens: 0170.
var octalNumber = regexp.MustCompile(`^[-+]?0[0-9_]+$`)

// octal refuses whole numbers that begin with a zero: a pressure of 0170 would be read as 120. Whatever else is wrong with the text is
// told by the reader beneath.
func octal(name string, src []byte) (out []finding.Finding) {
	c := &checker{name: name}
	defer func() { // a reader of others that fails on a file has not read it
		if recover() != nil {
			out = finding.Sort(c.out)
		}
	}()
	for d := yaml.NewDecoder(bytes.NewReader(src)); ; {
		var n yaml.Node
		if d.Decode(&n) != nil {
			return finding.Sort(c.out)
		}
		c.octal(&n)
	}
}

func (c *checker) octal(n *yaml.Node) {
	if len(c.out) == maxFindings {
		return
	}
	if n.Kind == yaml.ScalarNode && n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) == 0 && octalNumber.MatchString(n.Value) {
		sign, plain := "", strings.TrimLeft(strings.ReplaceAll(n.Value, "_", ""), "+-0")
		if n.Value[0] == '-' {
			sign = "-"
		}
		if plain == "" {
			plain = "0"
		}
		c.add(finding.Pos{File: c.name, Line: max(n.Line, 1), Column: max(n.Column, 1)}, Unreadable,
			fmt.Sprintf("%s begins with a zero, so that some programs count it in eights, allowed: a number without one", cut(n.Value)),
			fmt.Sprintf("write %s%s, or put a text in quotes", sign, cut(plain)), unreadWhy)
	}
	for _, m := range n.Content {
		c.octal(m)
	}
}
