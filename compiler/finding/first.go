package finding

import (
	"regexp"
	"strings"
)

// limits are the words by which a finding goes on to what is allowed.
var limits = []string{", allowed", "; allowed", ", usual: ", ", needed", ", and nothing opens training again"}

// Plain is what a finding says first: what was found, without what is allowed.
func Plain(message string) string {
	for _, l := range limits {
		if before, _, ok := strings.Cut(message, l); ok {
			message = before
		}
	}
	return single.ReplaceAllString(message, "${1}1 $2")
}

// single is one of a thing that a message counts, which is written for more than one.
var single = regexp.MustCompile(`(^|[^.0-9])1 (reading|day|week|session|row|time|clearance)s\b`)
