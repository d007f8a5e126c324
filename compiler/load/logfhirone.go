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
	said   map[string]version
}

// version is what an Observation says, and where.
type version struct {
	says string
	line int
}

// about takes whom an Observation is about. Nothing of the person is repeated.
func (o *bundleOnce) about(s bundleSubject, line int) error {
	person := s.Identifier.System + "|" + s.Identifier.Value
	if s.Reference != "" { // a server writes one resource as Patient/1, as a whole address, or with its version
		person = refName(s.Reference)
	}
	switch {
	case person == "|", strings.HasPrefix(person, "#"): // one that stands in the resource itself has no name
	case o.person == "":
		o.person, o.line = person, line
	case o.person != person:
		return fmt.Errorf("the entry on line %d is about another person than that on line %d, allowed: one person in a log; ask for the Observations of one", line, o.line)
	}
	return nil
}

// version is an error for an Observation that stands there already in another version; one that says the same is the log's affair.
func (o *bundleOnce) version(x *observation) error {
	if x.key == "" || strings.HasPrefix(x.key, "#") {
		return nil
	}
	says := fmt.Sprint(x.at, x.arm, x.posture, x.note, x.symptoms, x.trouble, x.both, x.systolic, x.diastolic, x.pulse, x.pressed, x.pulsed, x.held)
	before, known := o.said[x.key]
	switch {
	case !known:
		if o.said == nil {
			o.said = map[string]version{}
		}
		o.said[x.key] = version{says, x.line}
	case before.says != says:
		return fmt.Errorf("the Observation on line %d stands on line %d in another version, allowed: each once, as it is now; ask for no history", x.line, before.line)
	}
	return nil
}

// noArm are words for other places at which pressure is taken: what is read there is no upper arm's reading.
var noArm = []string{"wrist", "forearm", "finger", "thigh", "leg", "knee", "calf", "ankle", "foot", "toe"}

// arm is the arm that a place of the body names in English words; an error where the words name another place.
func (c concept) arm() (string, error) {
	left, right := slices.Contains(c.words, "left"), slices.Contains(c.words, "right")
	switch {
	case slices.ContainsFunc(c.words, func(w string) bool { return slices.Contains(noArm, w) }):
		return "", errors.New("it was taken elsewhere than at an upper arm")
	case left && !right:
		return "left", nil
	case right && !left:
		return "right", nil
	}
	return "", nil
}
