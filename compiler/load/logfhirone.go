package load

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// What a Bundle could mix: persons, versions of one Observation, and places of the body.

// bundleOnce holds a Bundle to one person and to one version of each Observation.
type bundleOnce struct {
	person string
	line   int // where the person was named
	rows   map[string]tableRow
}

// about takes whom an Observation is about. Nothing of the person is repeated.
func (o *bundleOnce) about(s bundleSubject, line int) error {
	person := s.Identifier.System + "|" + s.Identifier.Value
	if s.Reference != "" { // a server writes one resource as Patient/1, as a whole address, or with its version
		parts := strings.Split(s.Reference, "/")
		if i := slices.Index(parts, "_history"); i > 0 {
			parts = parts[:i]
		}
		person = strings.Join(parts[max(0, len(parts)-2):], "/")
	}
	switch {
	case person == "|":
	case o.person == "":
		o.person, o.line = person, line
	case o.person != person:
		return fmt.Errorf("the entry on line %d is about another person than that on line %d, allowed: one person in a log; ask for the Observations of one", line, o.line)
	}
	return nil
}

// version is an error for a row that stands there already in another version; one that says the same is the log's affair.
func (o *bundleOnce) version(key string, r tableRow) error {
	before, known := o.rows[key]
	switch {
	case key == "":
	case !known:
		if o.rows == nil {
			o.rows = map[string]tableRow{}
		}
		o.rows[key] = r
	case before.trouble != r.trouble || !slices.Equal(before.cells, r.cells):
		return fmt.Errorf("the Observation on line %d stands on line %d in another version, allowed: each once, as it is now; ask for no history", r.line, before.line)
	}
	return nil
}

// noArm are words for other places at which pressure is taken: what is read there is no upper arm's reading.
var noArm = []string{"wrist", "forearm", "finger", "thigh", "leg", "knee", "calf", "ankle", "foot", "toe"}

// arm is the arm that a place of the body names in English words; an error where the words name another place.
func (c bundleConcept) arm() (string, error) {
	site := c.Text
	for _, x := range c.Coding {
		site += " " + x.Display
	}
	words := strings.FieldsFunc(strings.ToLower(site), func(r rune) bool { return r < 'a' || r > 'z' })
	left, right := slices.Contains(words, "left"), slices.Contains(words, "right")
	switch {
	case slices.ContainsFunc(words, func(w string) bool { return slices.Contains(noArm, w) }):
		return "", errors.New("it was taken elsewhere than at an upper arm")
	case left && !right:
		return "left", nil
	case right && !left:
		return "right", nil
	}
	return "", nil
}
