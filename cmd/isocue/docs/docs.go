// Package docs makes the pages of docs/ that are views of data: the rule pages, the fields, the command line and the
// evidence. A test compares them with the files on disk; write them anew with
//
//	go test ./cmd/isocue/docs -update
package docs

import (
	"fmt"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/rule"
)

// Generate makes every generated page, by its path in the repository.
func Generate() (map[string][]byte, error) {
	c, err := compiler.New()
	if err != nil {
		return nil, err
	}
	out := map[string][]byte{}
	if err := rulePages(c, out); err != nil {
		return nil, err
	}
	fields, err := fieldPage()
	if err != nil {
		return nil, err
	}
	out["docs/fields.md"] = fields
	out["docs/cli.md"] = cliPage()
	out["docs/evidence.md"] = evidencePage(c.Check.Base)
	return out, nil
}

const generated = "<!-- Generated from data; change the data, then run: go test ./cmd/isocue/docs -update -->\n\n"

// cell makes text safe inside a Markdown table.
func cell(s string) string {
	return strings.ReplaceAll(strings.Join(strings.Fields(s), " "), "|", "\\|")
}

// citation is a source as a list item, with how far it was read and the figures a rule rests on.
func citation(s rule.Source) string {
	t := fmt.Sprintf("- `%s`: %s", s.Key, s.Cite())
	if s.Kind != "practice" && s.Kind != "judgement" {
		t += fmt.Sprintf(" (%s; %s)", s.Kind, seen[s.Seen])
	}
	if s.Figures != "" {
		t += ". Figures: " + s.Figures
	}
	return t + "\n"
}

var seen = map[string]string{"read": "figures read", "secondary": "figures read on a page that reports it", "memory": "figures from memory"}
