// Package docs makes the pages of docs/ that are views of data: the rule pages, the fields, the command line and the
// evidence. Nothing on them is typed twice: a claim, a limit or a source stands in schema/, a flag in cli, and sample
// output is what the checker printed when the page was made. A test compares the pages with the files on disk; write
// them anew with
//
//	go test ./cmd/isocue/docs -update
//
// The package also holds the tests of what no single room can test: that docs/words.md knows every word of the
// interface, which package may import which, and what no file of the repository may hold.
package docs

import (
	"fmt"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/judged"
	"isocue.example/compiler/rule"
)

// Generate makes every generated page, by its path in the repository.
func Generate() (map[string][]byte, error) {
	c, err := compiler.New(nil)
	if err != nil {
		return nil, err
	}
	out := map[string][]byte{}
	if err := rulePages(c, out); err != nil {
		return nil, err
	}
	for name, page := range map[string]func(*compiler.Compiler) ([]byte, error){
		"docs/fields.md": fieldPage, "docs/cli.md": cliPage, "docs/evidence.md": evidencePage,
	} {
		if out[name], err = page(c); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
	}
	return out, nil
}

const generated = "<!-- Generated from data; change the data, then run: go test ./cmd/isocue/docs -update -->\n\n"

// modalityTitle heads the part of a page about one modality; the empty one stands for rules of more than one.
func modalityTitle(m record.Modality) string {
	if m == "" {
		return "More than one modality"
	}
	return upper(strings.ReplaceAll(string(m), "-", " "))
}

// homeOf is the one modality that a rule is about, empty where it is about several.
func homeOf(r *rule.Rule) record.Modality {
	var may []record.Modality
	for _, m := range record.Modalities {
		if r.MayConcern(m) {
			may = append(may, m)
		}
	}
	if len(may) == 1 {
		return may[0]
	}
	return ""
}

// cell makes text safe inside a Markdown table.
func cell(s string) string {
	return strings.ReplaceAll(strings.Join(strings.Fields(s), " "), "|", "\\|")
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// citation is a source as a list item, with how far it was read and the figures a rule rests on.
func citation(s rule.Source) string {
	t := s.Cite()
	if !s.Unpublished() {
		t += " (" + judged.SeenWords(s) + ")"
	}
	if s.Figures != "" {
		t += ". Figures: " + s.Figures
	}
	if s.Says != "" {
		t += ". Words: " + s.Says
	}
	return "- `" + s.Key + "`: " + t + "\n"
}
