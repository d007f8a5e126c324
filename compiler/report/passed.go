package report

import (
	"fmt"
	"strings"
)

// Passed is a file or folder that stands where isocue looked and that it did not look into, and why. Named: a person may take it
// for one that counts, so that text names it before the others.
type Passed struct {
	File  string `json:"file"`
	Why   string `json:"why"`
	Named bool   `json:"-"`
}

// passedMost is how many are named in text; JSON has all.
const passedMost = 8

// PassedText is one line for people about what was passed over, "" where nothing was.
func PassedText(ps []Passed) string {
	if len(ps) == 0 {
		return ""
	}
	var names []string
	for _, first := range []bool{true, false} {
		for _, p := range ps {
			if p.Named == first {
				names = append(names, fmt.Sprintf("%s (%s)", Clean(p.File), Clean(p.Why)))
			}
		}
	}
	if n := len(names) - passedMost; n > 0 {
		names = append(names[:passedMost], fmt.Sprintf("%d more", n))
	}
	return fmt.Sprintf("passed over: %d %s: %s", len(ps), Plural(len(ps), "file", "files"), strings.Join(names, ", "))
}

// PassedJSON is the list for programs: never null.
func PassedJSON(ps []Passed) []Passed {
	if ps == nil {
		return []Passed{}
	}
	return ps
}
